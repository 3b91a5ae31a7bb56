//! One cloth: every lay that it may have is worked out, the best is taken.

use indexmap::IndexMap;

use super::best::{self, Candidate};
use super::buy::{cost, step_less, to_buy};
use super::stages::{Bench, Outcome, Progress, Worked};
use super::{Observer, Options};
use crate::cut_list::{CutEntry, CutList};
use crate::error::Problem;
use crate::lay::{self, Arrangement, LaidOut, NotPossible, Order};
use crate::layout::{self, Buy, ClothNotes, ClothPlan, Tried, rounded};
use crate::nest::{Effort, Stopwatch, Store};
use crate::project::{LayKind, Lays, Project};
use crate::units::{Mm, Rounding, amount, both};

/// What is to be worked out for one cloth.
pub(super) struct Search<'a> {
    pub(super) name: &'a str,
    pub(super) order: Order<'a>,
    lays: Vec<(LayKind, Result<Vec<Arrangement>, NotPossible>)>,
}

/// The part of the whole work that one cloth is.
pub(super) struct Share<'a> {
    /// What was done before it, 0 to 1.
    pub(super) before: f64,
    /// How much of the whole it is.
    pub(super) of: f64,
    /// The time that is left for everything.
    pub(super) clock: &'a Stopwatch,
    /// The part of the effort's work that it gets.
    pub(super) portion: f64,
    /// What is worked out of the pieces once for all cloths.
    pub(super) store: &'a Store,
}

/// A search for every cloth that something is cut from.
pub(super) fn searches<'a>(project: &'a Project, list: &'a CutList) -> Vec<Search<'a>> {
    orders(project, list).map(|(name, order)| Search::new(name, order)).collect()
}

/// What is to be laid out on every cloth that something is cut from, by the cloth's name.
pub(super) fn orders<'a>(project: &'a Project, list: &'a CutList) -> impl Iterator<Item = (&'a str, Order<'a>)> {
    list.cloths.iter().filter_map(|(name, cuts)| {
        let cloth = project.cloths.get(name)?;
        Some((name.as_str(), Order { cloth, cuts, pieces: &project.pieces, flaws: &[] }))
    })
}

/// The kinds of lay worth trying. Without nap the crosswise fold gives all that cutting and turning does.
fn sensible(nap: bool) -> Vec<LayKind> {
    LayKind::ALL.into_iter().filter(|kind| nap || *kind != LayKind::CutAndTurned).collect()
}

impl<'a> Search<'a> {
    /// The search for one cloth, with every lay that it may have.
    pub(super) fn new(name: &'a str, order: Order<'a>) -> Self {
        let kinds = match &order.cloth.lays {
            Lays::Best => sensible(order.cloth.nap),
            Lays::These(kinds) => kinds.clone(),
        };
        let lays = kinds.into_iter().map(|kind| (kind, lay::arrangements(kind, &order))).collect();
        Self { name, order, lays }
    }
}

impl Search<'_> {
    /// The problem, where none of the lays can be done.
    pub(super) fn impossible(&self) -> Option<Problem> {
        let mut reasons: IndexMap<&str, Vec<&str>> = IndexMap::new();
        let mut at = None;
        for (kind, result) in &self.lays {
            let reason = result.as_ref().err()?;
            at.get_or_insert_with(|| reason.cut.clone());
            reasons.entry(&reason.reason).or_default().push(kind.name());
        }
        let reasons: Vec<String> =
            reasons.into_iter().map(|(reason, kinds)| format!("{}: {reason}", kinds.join(", "))).collect();
        let cause = format!("It cannot be cut from the cloth \"{}\". {}", self.name, reasons.join("; "));
        let hint = "take a wider cloth, join the piece from two, or allow another lay, grain or direction";
        let keys = match at {
            Some(cut) if !cut.is_empty() => format!("cuts.{cut}"),
            _ => format!("cloths.{}", self.name),
        };
        Some(Problem::at(keys, cause, hint))
    }

    /// What is in the way of the plainest lay, where none of them can be done.
    pub(super) fn in_the_way(&self) -> Option<String> {
        self.impossible()?;
        Some(self.lays.first()?.1.as_ref().err()?.reason.clone())
    }

    /// How much work it is, in plies to be placed on every kind of lay.
    pub(super) fn weight(&self) -> f64 {
        let plies: usize = self.order.cuts.iter().map(CutEntry::plies).sum();
        let lays = self.lays.iter().filter(|(_, result)| result.is_ok()).count();
        (plies * lays.clamp(1, 3)) as f64
    }

    /// Works out every lay and takes the best.
    pub(super) fn run(
        &self,
        options: &Options,
        share: &Share,
        observer: &dyn Observer,
    ) -> Result<(ClothPlan, ClothNotes), Problem> {
        let bench = Bench {
            order: self.order,
            options,
            portion: share.portion,
            store: share.store,
            clock: share.clock,
            time_share: share.of,
            progress: Progress { observer, before: share.before, of: share.of, doing: self.name },
        };
        let lays: Vec<(LayKind, &[Arrangement])> = self
            .lays
            .iter()
            .filter_map(|(kind, result)| result.as_ref().ok().map(|arrangements| (*kind, &arrangements[..])))
            .collect();
        let mut outcome = bench.work_out(&lays)?;
        open_is_no_worse(&mut outcome.worked);
        self.choose(outcome, options.effort)
    }

    fn choose(&self, outcome: Outcome, effort: Effort) -> Result<(ClothPlan, ClothNotes), Problem> {
        let cloth = self.order.cloth;
        let candidates: Vec<Candidate> = outcome
            .worked
            .iter()
            .map(|Worked { kind, laid }| Candidate {
                lay: kind.name(),
                length: laid.length,
                buy: to_buy(laid.length, cloth),
                work: laid.work,
            })
            .collect();
        let not_possible: Vec<(String, String)> = self
            .lays
            .iter()
            .filter_map(|(kind, result)| Some((kind.name().to_owned(), result.as_ref().err()?.reason.clone())))
            .collect();
        let tried: Vec<Tried> = candidates
            .iter()
            .map(|c| Tried { lay: c.lay.to_owned(), length: rounded(c.length), buy: rounded(c.buy) })
            .collect();
        let Some((index, why)) = best::best(&candidates) else {
            let keys = format!("cloths.{}", self.name);
            return Err(Problem::at(keys, "No lay could be worked out.", "allow another lay"));
        };
        let taken = &candidates[index];
        let mut warnings = self.warnings();
        warnings.extend(just_over(taken, cloth));
        let laid = outcome.worked.into_iter().nth(index).map(|worked| worked.laid);
        let plan = self.cloth_plan(laid, tried, taken.buy);
        let notes = ClothNotes {
            cloth: self.name.to_owned(),
            why,
            stopped: best::stopped(&outcome.stops, effort),
            not_possible,
            warnings,
        };
        plan.map(|plan| (plan, notes)).ok_or_else(|| Problem::at(format!("cloths.{}", self.name), "No lay.", ""))
    }

    /// What is allowed but seldom meant.
    fn warnings(&self) -> Vec<String> {
        let halves = self.order.cuts.iter().filter(|entry| {
            !entry.on_fold && self.order.pieces.get(&entry.piece).is_some_and(|piece| piece.fold.is_some())
        });
        let warning = |entry: &CutEntry| {
            format!("\"{}\" is cut as halves: its piece has a fold edge, but the cut does not say on_fold", entry.cut)
        };
        halves.map(warning).collect()
    }

    fn cloth_plan(&self, laid: Option<LaidOut>, tried: Vec<Tried>, buy: Mm) -> Option<ClothPlan> {
        let laid = laid?;
        let cloth = self.order.cloth;
        let length = rounded(laid.length);
        let usable_width = rounded(cloth.usable_width());
        let area: f64 = laid.plies.iter().map(layout::Ply::area).sum();
        let sections = laid
            .sections
            .into_iter()
            .map(|section| layout::Section {
                from: rounded(section.from),
                to: rounded(section.to),
                fold_lines: section.fold_lines.into_iter().map(rounded).collect(),
                ..section
            })
            .collect();
        Some(ClothPlan {
            cloth: self.name.to_owned(),
            width: rounded(cloth.width),
            usable_width,
            lay: laid.kind.name().to_owned(),
            length,
            // A bound that meets the length may exceed it by the last bits of its sum.
            least_possible: rounded(lay::least_possible(&self.order)).min(length),
            used_share: area / (usable_width * length),
            buy: Buy { length: rounded(buy), cost: cost(buy, cloth) },
            sections,
            plies: laid.plies,
            tried,
        })
    }
}

/// Any folded layout is a layout of open cloth: open cloth never needs more than the best fold found.
fn open_is_no_worse(worked: &mut [Worked]) {
    let folded = worked.iter().filter(|worked| worked.kind != LayKind::Open);
    let shortest = folded.min_by(|a, b| a.laid.length.total_cmp(&b.laid.length)).map(|worked| worked.laid.clone());
    if let Some(folded) = shortest {
        for open in worked.iter_mut().filter(|w| w.kind == LayKind::Open && w.laid.length > folded.length) {
            open.laid = lay::opened_out(&folded);
        }
    }
}

/// What a step less would nearly have done is worth knowing before buying.
fn just_over(taken: &Candidate, cloth: &crate::project::Cloth) -> Option<String> {
    let enough = step_less(taken.length, cloth);
    let over = taken.length - enough;
    (enough > 0.0 && over <= JUST_OVER).then(|| {
        format!(
            "only {} over what {} would do: a narrower gap or allowance, or a more thorough search, may save a step",
            both(over, Rounding::Up),
            amount(taken.buy - cloth.sold_by)
        )
    })
}

/// So little over what a step less would give is worth saying, in mm.
const JUST_OVER: Mm = 15.0;
