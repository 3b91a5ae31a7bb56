//! Lays: from cuts to strip problems, and from packed strips back to plies on the flat cloth.
//!
//! A lay is one or more sections end to end along the cloth. Each section is one strip for the nester: the whole usable
//! width for open cloth, half of it for a lengthwise fold (the fold at the strip's upper edge, the under layer its
//! reflection). A cut that a fold cannot give goes to an open section at the end.

mod flat;
mod section;
mod turns;

use indexmap::IndexMap;

use crate::cut_list::CutEntry;
use crate::layout;
use crate::nest;
use crate::piece::Piece;
use crate::project::{Cloth, LayKind};
use crate::units::Mm;

pub use section::SectionJob;

/// What is to be laid out on one cloth.
#[derive(Debug, Clone, Copy)]
pub struct Order<'a> {
    /// The cloth.
    pub cloth: &'a Cloth,
    /// What is cut from it.
    pub cuts: &'a [CutEntry],
    /// The project's pieces, by key.
    pub pieces: &'a IndexMap<String, Piece>,
}

/// Why a lay cannot be done: for people.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotPossible {
    /// The cut that stands in the way; empty where it is not one cut's doing.
    pub cut: String,
    /// What is in the way.
    pub reason: String,
}

/// A lay that is worked out: every ply on the flat cloth.
#[derive(Debug, Clone, PartialEq)]
pub struct LaidOut {
    /// Its kind.
    pub kind: LayKind,
    /// Cloth used along the length.
    pub length: Mm,
    /// Its sections, end to end.
    pub sections: Vec<layout::Section>,
    /// Every ply, in the order of the cuts.
    pub plies: Vec<layout::Ply>,
    /// How many times a piece is laid down and cut round.
    pub placements: usize,
}

/// The strips that a kind of lay comes to.
///
/// # Errors
/// Why that kind of lay cannot be done.
pub fn sections(kind: LayKind, order: &Order) -> Result<Vec<SectionJob>, NotPossible> {
    match kind {
        LayKind::Open => section::open(order),
        LayKind::LengthwiseFold => section::lengthwise_fold(order),
    }
}

/// The least length that any lay of this order can have, proved: every lay unfolds to an open one.
pub fn least_possible(order: &Order) -> Mm {
    section::unrestricted(order).and_then(|job| nest::least_possible(&job.problem).ok()).unwrap_or(0.0)
}

/// Puts packed sections end to end and unfolds them onto the flat cloth.
pub fn laid_out(kind: LayKind, order: &Order, packed: &[(SectionJob, nest::Solution)]) -> LaidOut {
    flat::laid_out(kind, order, packed)
}

/// A folded lay opened out: the same plies, each cut by itself.
///
/// Any folded layout is also a layout of open cloth.
#[must_use]
pub fn opened_out(folded: &LaidOut) -> LaidOut {
    let section = layout::Section { from: 0.0, to: folded.length, fold: "none".to_owned(), fold_lines: Vec::new() };
    let plies: Vec<layout::Ply> = folded.plies.iter().map(|ply| layout::Ply { section: 0, ..ply.clone() }).collect();
    LaidOut { kind: LayKind::Open, length: folded.length, sections: vec![section], placements: plies.len(), plies }
}
