//! The print of a cloth in the plan document: how it repeats, and which cuts match on it.

use serde::{Deserialize, Serialize};

use super::PlanPoint;

/// How a print repeats, where the motif lies on the flat cloth, and what matches.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PrintPlan {
    /// From one motif to the next along the cloth as it lies on the table, in mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub repeat_length: Option<f64>,
    /// From one motif to the next across it, in mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub repeat_width: Option<f64>,
    /// The x of the middle of a motif, where something is matched along the cloth.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub middle_along: Option<f64>,
    /// The y of the middle of a motif.
    pub middle_across: f64,
    /// What matches.
    pub matches: Vec<MatchPlan>,
    /// The same cloth were nothing matched; absent where that was not worked out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub without: Option<Without>,
}

/// Points of cuts that lie at the same place of the print.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MatchPlan {
    /// Its name in the project.
    pub name: String,
    /// Where in the repeat along the cloth: "alike", "middle" or "between"; absent where that is free.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub along: Option<String>,
    /// The same across the cloth.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub across: Option<String>,
    /// The points.
    pub points: Vec<MatchPoint>,
}

/// A matched point, on the stitching line.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MatchPoint {
    /// The cut whose plies have it.
    pub cut: String,
    /// Its name in the project.
    pub name: String,
    /// Where it lies on the piece.
    pub at: PlanPoint,
}

/// What the cloth would take were nothing matched on it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Without {
    /// The lay that would then be taken.
    pub lay: String,
    /// Cloth used, in mm.
    pub length: f64,
    /// What to ask for in the shop, in mm.
    pub buy: f64,
    /// How many plies lie one behind the other there, at most.
    pub rows: usize,
}
