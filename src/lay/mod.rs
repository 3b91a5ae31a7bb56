//! Lays: from cuts to strip problems, and from packed strips back to plies on the flat cloth.
//!
//! A lay is one or more sections end to end along the cloth, each folded in one way. A section is one strip for the nester:
//! the cloth as it lies on the table, with zones that are single or double. A cut that a fold cannot give goes to single
//! cloth, beside the fold or in an open section at the end.

mod arrange;
mod border;
mod flat;
mod fold;
mod repeat;
mod section;
mod turns;

use indexmap::IndexMap;

use crate::cut_list::{CutEntry, Matching};
use crate::geometry::Shape;
use crate::layout;
use crate::nest;
use crate::piece::Piece;
use crate::project::{Cloth, LayKind};
use crate::units::Mm;

pub use arrange::{Arrangement, arrangements, sections};
pub use fold::{Fold, Under};
pub use section::{Gives, SectionJob, Ticket};

/// What is to be laid out on one cloth.
#[derive(Debug, Clone, Copy)]
pub struct Order<'a> {
    /// The cloth.
    pub cloth: &'a Cloth,
    /// What is cut from it.
    pub cuts: &'a [CutEntry],
    /// The project's pieces, by key.
    pub pieces: &'a IndexMap<String, Piece>,
    /// Places on the flat cloth that no ply may touch: y from the edge of the usable width.
    pub flaws: &'a [Shape],
    /// Where matched cuts lie in the repeat of the cloth's print; none where nothing is matched.
    pub matching: Option<&'a Matching>,
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
    /// What it is to cut.
    pub work: TableWork,
    /// The x of the middle of a motif, where something is matched along the cloth.
    pub middle: Option<Mm>,
}

/// Work at the table, the most laborious first: less is compared field by field.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct TableWork {
    /// How many times a piece is laid down and cut round.
    pub placements: usize,
    /// How many times the cloth is folded, or cut and laid on itself.
    pub folds: usize,
    /// How many times it is laid anew for another section.
    pub relaid: usize,
}

/// The least length that any lay of this order can have, proved: every lay unfolds to an open one.
pub fn least_possible(order: &Order) -> Mm {
    let free: Vec<CutEntry> = order.cuts.iter().map(|entry| CutEntry { lay: None, ..entry.clone() }).collect();
    let order = Order { cuts: &free, matching: None, ..*order };
    let open = arrangements(LayKind::Open, &order).ok().and_then(|mut all| all.pop());
    let job = open.and_then(|open| sections(&open, &order).ok()).and_then(|mut jobs| jobs.pop());
    job.and_then(|job| nest::least_possible(&job.problem).ok()).unwrap_or(0.0)
}

/// The strip of a section with the flaws of the cloth on it, where the section begins at `start`.
pub fn with_flaws(job: &SectionJob, order: &Order, start: Mm) -> nest::Problem {
    let usable = order.cloth.usable_width();
    let flaws = order.flaws.iter().filter_map(|flaw| job.fold.flaw_on_strip(flaw, usable, start)).flatten();
    nest::Problem { keep_out: flaws.collect(), ..job.problem.clone() }
}

/// A section's strip with the lines of the print's repeat where they lie on it, after the sections that are packed.
pub fn in_repeat(
    job: &SectionJob,
    order: &Order,
    packed: &[(SectionJob, nest::Solution)],
    problem: nest::Problem,
) -> nest::Problem {
    let middle = flat::middle(order, packed).or(job.repeat.map(|repeat| repeat.from)).unwrap_or(0.0);
    repeat::in_repeat(job, packed.is_empty(), order.cloth.gap, middle, next_start(order, packed), problem)
}

/// Where the next section's pieces may begin, after the sections that are packed.
pub fn next_start(order: &Order, packed: &[(SectionJob, nest::Solution)]) -> Mm {
    flat::stretches(order, packed).last().map_or(0.0, |last| last.to + order.cloth.gap)
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
    let work = TableWork { placements: plies.len(), folds: 0, relaid: 0 };
    LaidOut { kind: LayKind::Open, length: folded.length, sections: vec![section], plies, work, middle: folded.middle }
}
