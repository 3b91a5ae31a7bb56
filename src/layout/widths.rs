//! How much of one cloth to buy at several widths. This is the public format of `ellwand widths --json`.

use indexmap::IndexMap;
use serde::{Deserialize, Serialize};

use super::Taken;

/// One cloth at several widths, with and without nap; lengths in millimetres.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WidthTable {
    /// The version of this format: 1.
    pub ellwand_widths: u32,
    /// The project's name.
    pub project: String,
    /// What was chosen for each choice.
    pub chosen: IndexMap<String, String>,
    /// The cloth's key in the project.
    pub cloth: String,
    /// What the cloth is.
    pub name: String,
    /// Its width in the project.
    pub width: f64,
    /// Whether it has nap in the project.
    pub nap: bool,
    /// The seed of the search.
    pub seed: u64,
    /// How hard it searched: "quick", "steady" or "thorough".
    pub effort: String,
    /// The share of that effort, 0 to 1, that went into each row but the project's own.
    pub share_of_others: f64,
    /// Always "mm".
    pub units: String,
    /// The widths, the narrowest first.
    pub rows: Vec<WidthRow>,
}

/// One width.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WidthRow {
    /// From selvedge to selvedge.
    pub width: f64,
    /// The price of a metre of it, where one is given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price_per_metre: Option<f64>,
    /// What it takes where all tops must point one way; absent where it is not possible.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub with_nap: Option<Taken>,
    /// What it takes where tops may point either way; absent where it is not possible.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub without_nap: Option<Taken>,
    /// Why it is not possible, with nap or without.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub not_possible: Option<String>,
}

impl WidthTable {
    /// What a row takes of the cloth as it is in the project: with nap or without.
    pub fn own<'r>(&self, row: &'r WidthRow) -> Option<&'r Taken> {
        if self.nap { row.with_nap.as_ref() } else { row.without_nap.as_ref() }
    }

    /// The row that costs least; none where no prices are given.
    pub fn cheapest(&self) -> Option<&WidthRow> {
        let priced = self.rows.iter().filter_map(|row| Some((row, self.own(row)?.buy.cost?)));
        priced.min_by(|a, b| a.1.total_cmp(&b.1)).map(|(row, _)| row)
    }
}
