//! One cloth: every lay that it may have is worked out, the best is taken.

use super::best::{self, Candidate};
use super::buy::{cost, to_buy};
use super::{Observer, Options};
use crate::cut_list::{CutEntry, CutList};
use crate::error::Problem;
use crate::lay::{self, LaidOut, NotPossible, Order, SectionJob};
use crate::layout::{self, Buy, ClothNotes, ClothPlan, Tried, rounded};
use crate::nest::{self, Effort, Settings, StopReason, Stopwatch};
use crate::project::{LayKind, Lays, Project};
use crate::units::Mm;

/// What is to be worked out for one cloth.
pub(super) struct Search<'a> {
    name: &'a str,
    order: Order<'a>,
    lays: Vec<(LayKind, Result<Vec<SectionJob>, NotPossible>)>,
}

/// The part of the whole work that one cloth is.
pub(super) struct Share<'a> {
    /// What was done before it, 0 to 1.
    pub(super) before: f64,
    /// How much of the whole it is.
    pub(super) of: f64,
    /// The time that is left for everything.
    pub(super) clock: &'a Stopwatch,
}

/// A search for every cloth that something is cut from.
pub(super) fn searches<'a>(project: &'a Project, list: &'a CutList) -> Vec<Search<'a>> {
    let search = |(name, cuts): (&'a String, &'a Vec<_>)| {
        let cloth = project.cloths.get(name)?;
        let order = Order { cloth, cuts, pieces: &project.pieces };
        let kinds = match &cloth.lays {
            Lays::Best => LayKind::ALL.to_vec(),
            Lays::These(kinds) => kinds.clone(),
        };
        let lays = kinds.into_iter().map(|kind| (kind, lay::sections(kind, &order))).collect();
        Some(Search { name, order, lays })
    };
    list.cloths.iter().filter_map(search).collect()
}

impl Search<'_> {
    /// The problem, where none of the lays can be done.
    pub(super) fn impossible(&self) -> Option<Problem> {
        let mut reasons = Vec::new();
        let mut at = None;
        for (kind, result) in &self.lays {
            let reason = result.as_ref().err()?;
            at.get_or_insert_with(|| reason.cut.clone());
            reasons.push(format!("{}: {}", kind.name(), reason.reason));
        }
        let cause = format!("It cannot be cut from the cloth \"{}\". {}", self.name, reasons.join("; "));
        let hint = "take a wider cloth, join the piece from two, or allow another lay, grain or direction";
        let keys = match at {
            Some(cut) if !cut.is_empty() => format!("cuts.{cut}"),
            _ => format!("cloths.{}", self.name),
        };
        Some(Problem::at(keys, cause, hint))
    }

    /// How much work it is, in placements to be found.
    pub(super) fn weight(&self) -> f64 {
        let jobs = self.lays.iter().filter_map(|(_, result)| result.as_ref().ok()).flatten();
        jobs.map(weight).sum()
    }

    /// Works out every lay and takes the best.
    pub(super) fn run(
        &self,
        options: &Options,
        share: &Share,
        observer: &dyn Observer,
    ) -> Result<(ClothPlan, ClothNotes), Problem> {
        let whole = self.weight();
        let store = nest::Store::new();
        let mut done = 0.0;
        let mut laid: Vec<LaidOut> = Vec::new();
        let mut stops: Vec<StopReason> = Vec::new();
        for (kind, result) in &self.lays {
            let Ok(jobs) = result else {
                continue;
            };
            let mut packed = Vec::new();
            for job in jobs {
                let part = weight(job) / whole;
                // What is left of the time, by what is left of the work.
                let after = 1.0 - share.before - share.of * done;
                let seconds = share.clock.left().map(|left| left * share.of * part / after.max(1e-9));
                let settings = Settings { seconds, ..Settings::new(options.effort, options.seed) };
                let doing = format!("{}, {}", self.name, kind.name());
                let before = share.before + share.of * done;
                let listener = Listener { observer, before, of: share.of * part, doing: &doing };
                let outcome =
                    nest::solve_with(&store, &job.problem, &settings, &listener).map_err(|f| self.failed(job, &f))?;
                stops.push(outcome.stop);
                packed.push((job.clone(), outcome.solution));
                done += part;
            }
            laid.push(lay::laid_out(*kind, &self.order, &packed));
        }
        open_is_no_worse(&mut laid);
        self.choose(laid, &stops, options.effort)
    }

    /// Should the nester refuse what the lay let through, its own words are passed on.
    fn failed(&self, job: &SectionJob, failure: &nest::Failure) -> Problem {
        let cut = match failure {
            nest::Failure::DoesNotFit { item, .. } => job.tickets.get(*item),
            _ => None,
        };
        let cut = cut.and_then(|ticket| self.order.cuts.get(ticket.cut)).map_or("", |entry| &entry.cut);
        let keys = if cut.is_empty() { format!("cloths.{}", self.name) } else { format!("cuts.{cut}") };
        Problem::at(keys, format!("It cannot be laid out: {failure}."), "check the piece's size and the cloth's width")
    }

    fn choose(
        &self,
        laid: Vec<LaidOut>,
        stops: &[StopReason],
        effort: Effort,
    ) -> Result<(ClothPlan, ClothNotes), Problem> {
        let cloth = self.order.cloth;
        let candidates: Vec<Candidate> = laid
            .iter()
            .map(|laid| Candidate {
                lay: laid.kind.name(),
                length: laid.length,
                buy: to_buy(laid.length, cloth),
                placements: laid.placements,
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
        let plan = self.cloth_plan(laid.into_iter().nth(index), tried, candidates[index].buy);
        let notes = ClothNotes {
            cloth: self.name.to_owned(),
            why,
            stopped: best::stopped(stops, effort),
            not_possible,
            warnings: self.warnings(),
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

fn weight(job: &SectionJob) -> f64 {
    job.tickets.len() as f64
}

/// Any folded layout is a layout of open cloth: open cloth never needs more than the best fold found.
fn open_is_no_worse(laid: &mut [LaidOut]) {
    let shortest = |laid: &[LaidOut]| {
        let folded = laid.iter().filter(|l| l.kind != LayKind::Open);
        folded.min_by(|a, b| a.length.total_cmp(&b.length)).cloned()
    };
    if let Some(folded) = shortest(laid) {
        for open in laid.iter_mut().filter(|l| l.kind == LayKind::Open && l.length > folded.length) {
            *open = lay::opened_out(&folded);
        }
    }
}

/// Passes one nest's progress on as a part of the whole.
struct Listener<'a> {
    observer: &'a dyn Observer,
    before: f64,
    of: f64,
    doing: &'a str,
}

impl nest::Observer for Listener<'_> {
    fn progress(&self, share_done: f64, _best_length: f64) {
        self.observer.progress(self.before + self.of * share_done, self.doing);
    }

    fn cancelled(&self) -> bool {
        self.observer.cancelled()
    }
}
