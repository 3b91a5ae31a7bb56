//! The independent verifier: it judges a finished plan on the flat cloth and knows nothing of how it was made.
//!
//! [`faults`] needs the plan alone: no two plies overlap, every ply is inside the cloth and its section, each is a rigid
//! copy of its piece, a folded section is the same on both layers, figures agree with each other. [`faults_against`] also
//! holds the plan against what was asked for: counts, mirroring, grain, nap, gaps, amounts. Overlaps are measured with
//! `geo-clipper`, which the nester does not use.

mod border;
mod cloth;
mod figures;
mod hand;
mod layers;
mod print;
mod rules;
mod shapes;

use std::fmt;

use indexmap::IndexMap;

use crate::layout::PlanDocument;
use crate::piece::Piece;
use crate::units::Mm;

pub use rules::{ClothRules, CutRules, HaveRules};

/// Two plies overlap when they share more than this, in square mm.
pub const OVERLAP_TOLERANCE: f64 = 0.01;

/// Places agree when they differ by no more than this, in mm: ten times the rounding of the plan document.
pub const PLACE_TOLERANCE: Mm = 1e-5;

/// Matched points lie at the same place of the repeat when they differ by no more than this, in mm. The plan's own are off by
/// at most 0.25 where matches contradict each other, and 0.2 under a fold.
pub const MATCH_TOLERANCE: Mm = 0.5;

/// Something wrong with a plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// The cloth, or empty for the plan as a whole.
    pub cloth: String,
    /// What is wrong.
    pub what: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.cloth.is_empty() { write!(f, "{}", self.what) } else { write!(f, "{}: {}", self.cloth, self.what) }
    }
}

/// Everything wrong with a plan that can be seen from the plan alone.
pub fn faults(document: &PlanDocument) -> Vec<Fault> {
    let mut faults = Vec::new();
    figures::check_document(document, &mut faults);
    for cloth in &document.cloths {
        let mut found = Vec::new();
        figures::check_cloth(cloth, &mut found);
        cloth::check(document, cloth, &mut found);
        faults.extend(found.into_iter().map(|what| Fault { cloth: cloth.label(), what }));
    }
    cloth::check_numbers(document, &mut faults);
    faults
}

/// Everything wrong with a plan, held against what was asked for.
pub fn faults_against(document: &PlanDocument, rules: &[ClothRules], pieces: &IndexMap<String, Piece>) -> Vec<Fault> {
    let mut faults = faults(document);
    rules::check(document, rules, pieces, &mut faults);
    faults
}
