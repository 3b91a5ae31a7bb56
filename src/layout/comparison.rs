//! What the choices of a project come to, beside each other. This is the public format of `ellwand compare --json`.

use indexmap::IndexMap;
use serde::{Deserialize, Serialize};

use super::Buy;

/// Every combination of choices with what it takes; lengths in millimetres.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Comparison {
    /// The version of this format: 1.
    pub ellwand_comparison: u32,
    /// The project's name.
    pub project: String,
    /// The choices that vary.
    pub by: Vec<String>,
    /// What is chosen: the combination that the others are compared with.
    pub chosen: IndexMap<String, String>,
    /// The seed of the search.
    pub seed: u64,
    /// How hard it searched: "quick", "steady" or "thorough".
    pub effort: String,
    /// The share of that effort, 0 to 1, that went into cloths which the chosen combination does not have.
    pub share_of_others: f64,
    /// Always "mm".
    pub units: String,
    /// Every cloth that any combination is cut from: its key, and what it is.
    pub cloths: IndexMap<String, String>,
    /// Every combination.
    pub combinations: Vec<Combination>,
}

/// One combination of choices.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Combination {
    /// What is chosen for each choice.
    pub chosen: IndexMap<String, String>,
    /// What it takes of each cloth, by the cloth's key; empty where it is not possible.
    pub cloths: IndexMap<String, Taken>,
    /// What all of it costs; absent where a cloth has no price.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cost: Option<f64>,
    /// How it differs from the chosen combination.
    pub in_words: String,
    /// Why it cannot be done.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub not_possible: Option<String>,
}

/// What is taken of one cloth.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Taken {
    /// The lay.
    pub lay: String,
    /// Cloth used along the length as it lies on the table.
    pub length: f64,
    /// What to ask for in the shop.
    pub buy: Buy,
}

impl Comparison {
    /// The chosen combination.
    pub fn chosen_one(&self) -> Option<&Combination> {
        self.combinations.iter().find(|combination| combination.chosen == self.chosen)
    }
}
