//! Cloth in hand, as a plan has it.

use serde::{Deserialize, Serialize};

use super::PlanPoint;

/// A length in hand that plies are cut from. Coordinates are those of the cloth on the table: shrunk, its ends straightened,
/// y from the edge of the usable width.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct InHand {
    /// Which of the cloth's lengths in hand, counted from 1 in the order of the project.
    pub number: usize,
    /// What it is called, where it has a name.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// How long it is on the table, in mm.
    pub length: f64,
    /// What nothing may be cut from.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub flaws: Vec<PlanFlaw>,
    /// What is left of it.
    pub remains: Remains,
}

/// A hole, stain or fault.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlanFlaw {
    /// What it is.
    pub name: String,
    /// Where it lies, counter-clockwise, first point not repeated. It may reach over the edge of what is cut from.
    pub outline: Vec<PlanPoint>,
}

/// What is left of a length once its plies are cut out, flaws not counted in.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Remains {
    /// Two opposite corners of the largest rectangle; absent where nothing is left.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rectangle: Option<[PlanPoint; 2]>,
    /// How long the end is that is whole over the full width, the longer of the two, in mm.
    pub full_width_end: f64,
}

/// What the cloth in hand is good for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct HandAnswer {
    /// The cloth's key in the project.
    pub cloth: String,
    /// Everything can be cut from it.
    pub fits: bool,
    /// The lengths that are kept whole, by their numbers, where everything can be cut from the others.
    pub kept: Vec<usize>,
    /// What has to be left out where nothing more can be had, by priority; empty where everything fits.
    pub left_over: Vec<LeftOver>,
    /// The least that has to be had besides, all in hand being used; absent where everything fits.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub extra: Option<Extra>,
}

/// Plies of a cut that the cloth in hand cannot give.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct LeftOver {
    /// The cut's key in the project.
    pub cut: String,
    /// How many of its plies.
    pub plies: usize,
    /// Of how many.
    pub of: usize,
}

/// A length to be had besides, in mm.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Extra {
    /// How long it has to be before it is washed and its ends are straightened, not rounded up to any step.
    pub length: f64,
    /// What to ask for in the shop.
    pub buy: f64,
}
