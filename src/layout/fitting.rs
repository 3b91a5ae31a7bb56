//! Whether cloth in hand does, by choice. This is the public format of `ellwand fit --json`.

use indexmap::IndexMap;
use serde::{Deserialize, Serialize};

use super::{ClothPlan, Extra, HandAnswer, LeftOver, Remains};

/// Every combination of choices with what the cloth in hand does for it; lengths in millimetres.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fitting {
    /// The version of this format: 1.
    pub ellwand_fit: u32,
    /// The project's name.
    pub project: String,
    /// The cloth's key.
    pub cloth: String,
    /// The lengths in hand.
    pub have: Vec<InStock>,
    /// The choices that vary.
    pub by: Vec<String>,
    /// What is chosen.
    pub chosen: IndexMap<String, String>,
    /// The seed of the search.
    pub seed: u64,
    /// How hard it searched: "quick", "steady" or "thorough".
    pub effort: String,
    /// Always "mm".
    pub units: String,
    /// Every combination.
    pub combinations: Vec<Fits>,
}

/// A length in hand as it lies there.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct InStock {
    /// Counted from 1.
    pub number: usize,
    /// What it is called, where it has a name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// How long it is.
    pub length: f64,
    /// How wide it is, from selvedge to selvedge.
    pub width: f64,
    /// How many flaws it has.
    pub flaws: usize,
}

/// What the cloth in hand does for one combination.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fits {
    /// What is chosen for each choice.
    pub chosen: IndexMap<String, String>,
    /// Everything can be cut from it; also where nothing is cut from this cloth.
    pub fits: bool,
    /// The lengths that are used.
    pub used: Vec<Used>,
    /// The lengths that are kept whole, where everything fits.
    pub kept: Vec<usize>,
    /// What has to be left out where nothing more can be had.
    pub left_over: Vec<LeftOver>,
    /// The least that has to be had besides.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub extra: Option<Extra>,
    /// Why it cannot be planned at all.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub not_possible: Option<String>,
}

/// What is used of a length.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Used {
    /// Its number.
    pub number: usize,
    /// Its lay.
    pub lay: String,
    /// How much of it, on the table.
    pub length: f64,
    /// Of how much.
    pub of: f64,
    /// What is left of it.
    pub remains: Remains,
}

impl Fits {
    /// From a plan of the one cloth and its answer; without an answer nothing is cut from it.
    pub fn new(chosen: IndexMap<String, String>, cloths: &[ClothPlan], answer: Option<&HandAnswer>) -> Self {
        let used = |cloth: &ClothPlan| {
            let hand = cloth.in_hand.as_ref()?;
            let (lay, remains) = (cloth.lay.clone(), hand.remains);
            Some(Used { number: hand.number, lay, length: cloth.length, of: hand.length, remains })
        };
        Self {
            chosen,
            fits: answer.is_none_or(|answer| answer.fits),
            used: cloths.iter().filter_map(used).collect(),
            kept: answer.map(|answer| answer.kept.clone()).unwrap_or_default(),
            left_over: answer.map(|answer| answer.left_over.clone()).unwrap_or_default(),
            extra: answer.and_then(|answer| answer.extra),
            not_possible: None,
        }
    }
}
