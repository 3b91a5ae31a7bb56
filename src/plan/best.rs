//! Which of several lays is taken, and why.

use crate::nest::{Effort, StopReason};
use crate::units::{Mm, amount};

/// A lay that was worked out.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Candidate {
    pub(super) lay: &'static str,
    pub(super) length: Mm,
    pub(super) buy: Mm,
    pub(super) placements: usize,
}

/// The one that needs least to be bought; among equals the least cutting; then the least length. With the reason.
pub(super) fn best(candidates: &[Candidate]) -> Option<(usize, String)> {
    let order = |a: &Candidate, b: &Candidate| {
        a.buy.total_cmp(&b.buy).then(a.placements.cmp(&b.placements)).then(a.length.total_cmp(&b.length))
    };
    let (index, taken) = candidates.iter().enumerate().min_by(|a, b| order(a.1, b.1))?;
    let others = candidates.iter().enumerate().filter(|(i, _)| *i != index).map(|(_, c)| c);
    let reasons: Vec<String> = others.map(|other| reason(taken, other)).collect();
    let why = if reasons.is_empty() { "the only lay that was worked out".to_owned() } else { reasons.join("; ") };
    Some((index, why))
}

fn reason(taken: &Candidate, other: &Candidate) -> String {
    let amount = |c: &Candidate| amount(c.buy);
    if taken.buy < other.buy {
        format!("less to buy: {} against {} {}", amount(taken), amount(other), other.lay)
    } else if taken.placements < other.placements {
        format!(
            "as much to buy as {}, less cutting: {} placements against {}",
            other.lay, taken.placements, other.placements
        )
    } else if taken.length < other.length {
        format!("as much to buy and to cut as {}, but more left over", other.lay)
    } else {
        format!("the same as {} in every way", other.lay)
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
