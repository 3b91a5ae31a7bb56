//! Which of several lays is taken, and why.

use crate::lay::TableWork;
use crate::nest::{Effort, StopReason};
use crate::units::{Mm, amount};

/// A lay that was worked out.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Candidate {
    pub(super) lay: &'static str,
    pub(super) length: Mm,
    pub(super) buy: Mm,
    pub(super) work: TableWork,
}

/// What counts of a length used of cloth in hand: steps of 5 cm, since a finger's width more or less is worth no work.
pub(super) fn in_hand(length: Mm) -> Mm {
    const STEP: Mm = 50.0;
    (length / STEP - 1e-9).ceil() * STEP
}

/// The one that needs least to be bought; among equals the least work at the table; then the least length. With the reason.
///
/// Of cloth in hand nothing is bought: there it is the least that is used.
pub(super) fn best(candidates: &[Candidate], in_hand: bool) -> Option<(usize, String)> {
    let (least, as_much) = if in_hand { ("less used", "as much used") } else { ("less to buy", "as much to buy") };
    let order = |a: &Candidate, b: &Candidate| {
        a.buy.total_cmp(&b.buy).then(a.work.cmp(&b.work)).then(a.length.total_cmp(&b.length))
    };
    let (index, taken) = candidates.iter().enumerate().min_by(|a, b| order(a.1, b.1))?;
    let others: Vec<&Candidate> = candidates.iter().enumerate().filter(|(i, _)| *i != index).map(|(_, c)| c).collect();
    let mut reasons: Vec<String> =
        others.iter().filter(|other| taken.buy >= other.buy).map(|other| reason(taken, other, as_much)).collect();
    let dearer: Vec<String> = others
        .iter()
        .filter(|other| taken.buy < other.buy)
        .map(|other| format!("{} ({})", other.lay, amount(other.buy)))
        .collect();
    if !dearer.is_empty() {
        reasons.insert(0, format!("{least} ({}) than {}", amount(taken.buy), dearer.join(", ")));
    }
    let why = if reasons.is_empty() { "the only lay that was worked out".to_owned() } else { reasons.join("; ") };
    Some((index, why))
}

/// What speaks for a lay against another that needs as much to be bought.
fn reason(taken: &Candidate, other: &Candidate, as_much: &str) -> String {
    if taken.work < other.work {
        format!("{as_much} as {}, {}", other.lay, less_work(taken.work, other.work))
    } else if taken.length < other.length {
        format!("{as_much} and as much to cut as {}, but more left over", other.lay)
    } else {
        format!("the same as {} in every way", other.lay)
    }
}

/// What of the work at the table is less.
fn less_work(taken: TableWork, other: TableWork) -> String {
    if taken.placements < other.placements {
        format!("less cutting: {} placements against {}", taken.placements, other.placements)
    } else if taken.folds < other.folds {
        format!("less folding: {} against {}", taken.folds, other.folds)
    } else {
        format!("laid anew less often: {} against {}", taken.relaid, other.relaid)
    }
}

/// Why the searches for one cloth ended, in words.
pub(super) fn stopped(stops: &[StopReason], effort: Effort) -> String {
    if stops.contains(&StopReason::Cancelled) {
        "stopped when asked to, with the best so far".to_owned()
    } else if stops.contains(&StopReason::TimeUp) {
        "stopped when its time was up, with the best so far; another run may differ".to_owned()
    } else if stops.iter().all(|stop| *stop == StopReason::BoundMet) {
        "nothing shorter exists: the proved least length is met".to_owned()
    } else {
        format!("did all the work of the effort \"{}\"", effort.name())
    }
}
