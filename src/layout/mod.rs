//! The finished answer as plain data: the plan document, its cloths, sections and plies on the flat cloth.
//!
//! Every ply lies on the open, right-side-up cloth of the usable width, whatever the fold: x along the length, y across
//! the width, y = 0 at the first selvedge, millimetres. This is the public format of `ellwand plan --json`.

mod comparison;
mod fitting;
mod hand;
mod notes;
mod print;
mod rounding;
mod shopping;
mod widths;

use indexmap::IndexMap;
use serde::{Deserialize, Serialize};

use crate::geometry::{Point, ring_area};

pub use comparison::{Combination, Comparison, Taken};
pub use fitting::{Fits, Fitting, InStock, Used};
pub use hand::{Extra, HandAnswer, InHand, LeftOver, PlanFlaw, Remains};
pub use notes::{ClothNotes, Notes};
pub use print::{MatchPlan, MatchPoint, PrintPlan, Without};
pub use rounding::{plan_points, rounded};
pub use shopping::{ButtonPlaces, ClothToBuy, NotionToBuy, ShoppingList};
pub use widths::{WidthRow, WidthTable};

/// A point of the plan, `[x, y]` in millimetres.
pub type PlanPoint = [f64; 2];

/// The plan document: the answer for every cloth of a project.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlanDocument {
    /// The version of this format: 1.
    pub ellwand_plan: u32,
    /// The project's name.
    pub project: String,
    /// What was chosen for each choice.
    pub chosen: IndexMap<String, String>,
    /// The seed of the search.
    pub seed: u64,
    /// How hard it searched: "quick", "steady" or "thorough".
    pub effort: String,
    /// Always "mm".
    pub units: String,
    /// The outlines that are really cut, by piece.
    pub pieces: IndexMap<String, PlanPiece>,
    /// One answer per cloth that is bought, and one per length in hand that is cut from; those of one cloth together, lengths
    /// in hand first.
    pub cloths: Vec<ClothPlan>,
}

/// A piece as cut: allowance on, curves flattened, grain along +x, the top of the garment towards +x.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlanPiece {
    /// Counter-clockwise, first point not repeated. Half the outline where there is a fold.
    pub outline: Vec<PlanPoint>,
    /// Cut-outs, clockwise.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub holes: Vec<Vec<PlanPoint>>,
    /// The two ends of the fold edge, for a piece given as half.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fold: Option<[PlanPoint; 2]>,
}

/// The answer for one cloth.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ClothPlan {
    /// The cloth's key in the project.
    pub cloth: String,
    /// The length in hand that this is; absent where the cloth is bought.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub in_hand: Option<InHand>,
    /// Nominal width in mm.
    pub width: f64,
    /// Width between the selvedges, after shrinking, in mm.
    pub usable_width: f64,
    /// The lay that was taken, e.g. "open" or "lengthwise fold".
    pub lay: String,
    /// Cloth used along the length as it lies on the table, in mm.
    pub length: f64,
    /// Proved: no layout on any lay is shorter, in mm.
    pub least_possible: f64,
    /// Area of the plies over usable width x length, 0 to 1.
    pub used_share: f64,
    /// What to ask for in the shop: nothing of a length in hand.
    pub buy: Buy,
    /// Stretches along the cloth that lie one way, end to end.
    pub sections: Vec<Section>,
    /// Every ply, in the order of the cuts.
    pub plies: Vec<Ply>,
    /// Every lay that was tried and could be done, with what it needs.
    pub tried: Vec<Tried>,
    /// The print, where something is matched on it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub print: Option<PrintPlan>,
}

/// What to buy of a cloth.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Buy {
    /// Length to ask for, in mm.
    pub length: f64,
    /// Its cost in the project's currency; absent where no price is given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cost: Option<f64>,
}

/// A stretch along the cloth that lies one way.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Section {
    /// x where it begins.
    pub from: f64,
    /// x where it ends.
    pub to: f64,
    /// "none" for open cloth, or the kind of fold: "lengthwise".
    pub fold: String,
    /// Where the folds lie: y for folds along the cloth.
    pub fold_lines: Vec<f64>,
}

/// One piece of cloth as cut.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Ply {
    /// The cut it belongs to, by its key in the project.
    pub cut: String,
    /// The piece it is a copy of.
    pub piece: String,
    /// Its number within the cut, from 1, counted on over all lengths of the cloth.
    pub number: usize,
    /// The section it lies in, counted from 0.
    pub section: usize,
    /// The piece reflected (y -> -y), before it is turned.
    pub mirrored: bool,
    /// The whole of a piece given as half, cut on a fold or unfolded on open cloth.
    pub across_fold: bool,
    /// Degrees counter-clockwise; 0: the top of the garment towards +x.
    pub turn: f64,
    /// Where it lies, counter-clockwise, first point not repeated.
    pub outline: Vec<PlanPoint>,
    /// Cut-outs, clockwise.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub holes: Vec<Vec<PlanPoint>>,
}

impl ClothPlan {
    /// The cloth's key, and which of its lengths in hand this is: "main", "main, length 2 in hand".
    pub fn label(&self) -> String {
        match &self.in_hand {
            None => self.cloth.clone(),
            Some(hand) => match &hand.name {
                Some(name) => format!("{}, length {} in hand ({name})", self.cloth, hand.number),
                None => format!("{}, length {} in hand", self.cloth, hand.number),
            },
        }
    }

    /// The same in short, for tables: "main, length 2".
    pub fn short_label(&self) -> String {
        match self.hand_number() {
            0 => self.cloth.clone(),
            number => format!("{}, length {number}", self.cloth),
        }
    }

    /// Which of the cloth's lengths in hand this is; 0 where it is bought.
    pub fn hand_number(&self) -> usize {
        self.in_hand.as_ref().map_or(0, |hand| hand.number)
    }
}

impl Ply {
    /// Its area in square mm, cut-outs taken off.
    pub fn area(&self) -> f64 {
        let ring = |ring: &Vec<PlanPoint>| ring_area(&ring.iter().map(|&[x, y]| Point { x, y }).collect::<Vec<_>>());
        ring(&self.outline) + self.holes.iter().map(ring).sum::<f64>()
    }
}

/// A lay that was tried.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tried {
    /// Its kind.
    pub lay: String,
    /// Cloth used, in mm.
    pub length: f64,
    /// What it would mean to buy, in mm; nothing of a length in hand.
    pub buy: f64,
}
