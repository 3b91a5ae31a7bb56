//! What is worth saying about a plan beside its figures: why this lay, why the search stopped, what could not be done.

/// Notes on a plan, cloth by cloth.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Notes {
    /// One entry per cloth that there is something to say about.
    pub cloths: Vec<ClothNotes>,
}

/// Notes on one cloth. Sentences in plain words; empty where there is nothing to say.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ClothNotes {
    /// The cloth's key in the project.
    pub cloth: String,
    /// Why this lay was taken.
    pub why: String,
    /// Why the search stopped.
    pub stopped: String,
    /// Lays that could not be done, each with the reason.
    pub not_possible: Vec<(String, String)>,
    /// What the user should know before buying or cutting.
    pub warnings: Vec<String>,
}
