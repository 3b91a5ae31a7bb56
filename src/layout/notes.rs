//! What there is to say about a plan beside its figures.

/// Notes on every cloth of a plan, in the plan's order.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Notes {
    /// One entry per cloth.
    pub cloths: Vec<ClothNotes>,
}

/// Notes on one cloth.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ClothNotes {
    /// The cloth's key.
    pub cloth: String,
    /// Why this lay was taken.
    pub why: String,
    /// Why the search stopped.
    pub stopped: String,
    /// Lays that cannot be done, each with the reason.
    pub not_possible: Vec<(String, String)>,
    /// What the user should know before buying.
    pub warnings: Vec<String>,
}
