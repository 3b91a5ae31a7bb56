//! What is worth saying about a plan beside its figures: why this lay, why the search stopped, what could not be done.

use super::{ClothPlan, HandAnswer};

/// Notes on a plan, cloth by cloth.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Notes {
    /// One entry per cloth, or length in hand, that there is something to say about.
    pub cloths: Vec<ClothNotes>,
    /// What the cloth in hand is good for, where there is any.
    pub hand: Vec<HandAnswer>,
}

impl Notes {
    /// What there is to say about one cloth of the plan.
    pub fn of(&self, cloth: &ClothPlan) -> Option<&ClothNotes> {
        self.cloths.iter().find(|notes| notes.cloth == cloth.cloth && notes.length == cloth.hand_number())
    }
}

/// Notes on one cloth. Sentences in plain words; empty where there is nothing to say.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ClothNotes {
    /// The cloth's key in the project.
    pub cloth: String,
    /// Which of its lengths in hand; 0 where it is bought.
    pub length: usize,
    /// Why this lay was taken.
    pub why: String,
    /// Why the search stopped.
    pub stopped: String,
    /// Lays that could not be done, each with the reason.
    pub not_possible: Vec<(String, String)>,
    /// What the user should know before buying or cutting.
    pub warnings: Vec<String>,
}
