//! Every lay of one order, worked out in stages: many arrangements roughly, every kind of lay fairly, the best with all the
//! work of the effort.

use super::Options;
use super::buy::step_less;
use super::progress::{Listener, Progress};
use crate::error::Problem;
use crate::lay::{self, Arrangement, LaidOut, Order, SectionJob};
use crate::nest::{self, Effort, Settings, Solution, StopReason, Stopwatch, Store};
use crate::project::LayKind;
use crate::units::Mm;

/// Arrangements of a kind from which others are looked for at a time, and that are searched before one is chosen.
const BREADTH: usize = 3;
/// The share of an effort's work that a rough packing gets, and the evaluations that it gets at least: with fewer it hardly
/// goes beyond constructing.
const ROUGH_SHARE: f64 = 0.01;
const ROUGH_LEAST: f64 = 2e4;
/// The share of an effort's work that every kind of lay gets, before the best get more.
const FAIR_SHARE: f64 = 0.3;
/// How many times that work a kind of lay gets whose plies may be turned any way: there is more to find, and at more cost.
/// To those it is the most of their work; the best of them get little more, with another seed, unless that brings something.
const FOR_TURNING: f64 = 6.0;
/// The same where a first answer is wanted at once.
const FOR_TURNING_AT_ONCE: f64 = 3.0;
/// Kinds of lay that get more, and how much longer than the best they may be; an arrangement may be so to get the
/// second half of its kind's work.
const FINALISTS: usize = 2;
const STILL_IN: f64 = 1.05;
/// The share that these get first; all the work only where that made them shorter by such a share of their length.
const FIRST_SHARE: f64 = 0.3;
const STILL_GAINS: f64 = 1e-4;
/// A length so little above what a step less would give, as a share of it, is worth another search.
const NEAR_MISS: f64 = 0.015;
/// What further searches of the same lay add to the seed.
const FIRST_AGAIN: u64 = 2;
const LESS_AGAIN: u64 = 1;
const SECOND_HALF: u64 = 3;
/// How much too long a constructed layout may be to be worth a search for one that fits.
const NEAR: f64 = 1.12;

/// A kind of lay, worked out.
#[derive(Debug, Clone)]
pub(super) struct Worked {
    pub(super) kind: LayKind,
    pub(super) laid: LaidOut,
}

/// What came out of all stages.
#[derive(Debug, Clone)]
pub(super) struct Outcome {
    /// Every kind of lay that could be done, in the order they were given.
    pub(super) worked: Vec<Worked>,
    /// Why each search of the last stages ended.
    pub(super) stops: Vec<StopReason>,
}

/// An order being worked out.
pub(super) struct Bench<'a> {
    pub(super) order: Order<'a>,
    pub(super) options: &'a Options,
    /// The part of the effort's work that there is to do.
    pub(super) portion: f64,
    pub(super) store: &'a Store,
    /// The time that is left for everything, and the share of it that is this order's.
    pub(super) clock: &'a Stopwatch,
    pub(super) time_share: f64,
    pub(super) progress: Progress<'a>,
}

/// An arrangement that was packed.
#[derive(Debug, Clone)]
pub(super) struct Packed {
    pub(super) arrangement: Arrangement,
    sections: Vec<(SectionJob, Solution)>,
    pub(super) laid: LaidOut,
    stops: Vec<StopReason>,
    /// Evaluations of pairs that it took.
    pub(super) work: u64,
}

impl Packed {
    /// Its strips, to be packed anew.
    pub(super) fn jobs(&self) -> Vec<SectionJob> {
        self.sections.iter().map(|(job, _)| job.clone()).collect()
    }

    /// Whether any of its plies may be turned any way.
    pub(super) fn turns_freely(&self) -> bool {
        let turns = |(job, _): &(SectionJob, Solution)| {
            job.problem.items.iter().flat_map(|item| &item.ways).any(nest::Way::turns_freely)
        };
        self.sections.iter().any(turns)
    }

    fn worked(self) -> Worked {
        Worked { kind: self.arrangement.kind, laid: self.laid }
    }
}

/// How much to search.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spend {
    /// Of the effort's work; 0 to construct only.
    pub(super) portion: f64,
    seconds: Option<f64>,
    /// A length that is short enough.
    enough: Option<Mm>,
    /// Added to the seed, for another search.
    again: u64,
}

impl Spend {
    pub(super) const ROUGH: Self = Self::rough(0.0);

    /// So much of the effort's work, whatever the time.
    pub(super) const fn rough(portion: f64) -> Self {
        Self { portion, seconds: None, enough: None, again: 0 }
    }
}

impl Bench<'_> {
    /// Works out every kind of lay that is given, with its arrangements.
    pub(super) fn work_out(&self, lays: &[(LayKind, &[Arrangement])]) -> Result<Outcome, Problem> {
        let mut kinds = Vec::new();
        for (number, (_, arrangements)) in lays.iter().enumerate() {
            self.progress.tell(0.1 * number as f64 / lays.len().max(1) as f64);
            let some = self.roughly(arrangements, BREADTH, Spend::rough(self.rough_share()))?;
            if !some.is_empty() {
                kinds.push(some);
            }
        }
        let count = kinds.len() as f64;
        let alone = kinds.len() == 1;
        let mut packed = Vec::with_capacity(kinds.len());
        for (number, some) in kinds.into_iter().enumerate() {
            let (from, to) = (0.1 + 0.4 * number as f64 / count, 0.1 + 0.4 * (number + 1) as f64 / count);
            if alone && some.len() == 1 {
                packed.extend(some);
            } else {
                packed.extend(self.fairly(some, count, (from, to))?);
            }
        }
        let last = self.finalists(&packed);
        let count = last.len() as f64;
        let mut stops = Vec::new();
        for (number, &index) in last.iter().enumerate() {
            let (from, to) = (0.5 + 0.5 * number as f64 / count, 0.5 + 0.5 * (number + 1) as f64 / count);
            let share = if packed.len() > 1 { 0.6 / count } else { 1.0 };
            let spend = Spend { portion: 1.0, seconds: self.seconds(share), ..Spend::ROUGH };
            self.finish(&mut packed[index], spend, from, to)?;
            self.step_less(&mut packed[index], to)?;
            stops.extend(&packed[index].stops);
        }
        let worked = packed.into_iter().map(Packed::worked).collect();
        Ok(Outcome { worked, stops })
    }

    /// A layout no longer than so much, if these kinds of lay give one: constructed, or where that comes near, searched for
    /// with a portion of the effort's work.
    pub(super) fn within(
        &self,
        lays: &[(LayKind, &[Arrangement])],
        length: Mm,
        portion: f64,
    ) -> Result<Option<Worked>, Problem> {
        let mut near = Vec::new();
        for (_, arrangements) in lays {
            match self.roughly(arrangements, 1, Spend::ROUGH)?.pop() {
                Some(packed) if packed.laid.length <= length => return Ok(Some(packed.worked())),
                Some(packed) if packed.laid.length <= length * NEAR => near.push(packed),
                _ => {}
            }
        }
        if portion == 0.0 || lay::least_possible(&self.order) > length {
            return Ok(None);
        }
        near.sort_by(|a, b| a.laid.length.total_cmp(&b.laid.length));
        for packed in near.iter_mut().take(FINALISTS) {
            if self.over() {
                break;
            }
            let spend = Spend { portion, seconds: self.seconds(0.1), enough: Some(length), again: 0 };
            self.improve(packed, spend, 0.0, 0.0)?;
            if packed.laid.length <= length {
                return Ok(Some(packed.clone().worked()));
            }
        }
        Ok(None)
    }

    /// The shortest layout that constructing gives on these kinds of lay.
    pub(super) fn shortest_of(&self, lays: &[(LayKind, &[Arrangement])]) -> Result<Option<Worked>, Problem> {
        let mut found = Vec::with_capacity(lays.len());
        for (_, arrangements) in lays {
            found.extend(self.roughly(arrangements, 1, Spend::ROUGH)?);
        }
        Ok(shortest(found).map(Packed::worked))
    }

    /// Of several arrangements of one kind the shortest, once they have shared the work that every kind gets. Where plies may be
    /// turned any way, those that half of it leaves far behind leave the other half to the rest: another search under another
    /// seed, which measured as good as a longer one.
    fn fairly(&self, mut some: Vec<Packed>, kinds: f64, ends: (f64, f64)) -> Result<Option<Packed>, Problem> {
        let in_halves = some.first().is_some_and(Packed::turns_freely);
        let part = if in_halves { 0.5 } else { 1.0 };
        self.share_out(&mut some, part, 0, kinds, ends)?;
        if in_halves && !self.over() {
            let best = some.iter().map(|packed| packed.laid.length).fold(f64::INFINITY, f64::min);
            some.retain(|packed| packed.laid.length <= best * STILL_IN);
            self.share_out(&mut some, part, SECOND_HALF, kinds, ends)?;
        }
        Ok(shortest(some))
    }

    /// Packs each of several arrangements of one kind anew, with an equal share of a part of the work that every kind gets.
    fn share_out(
        &self,
        some: &mut [Packed],
        part: f64,
        again: u64,
        kinds: f64,
        (from, to): (f64, f64),
    ) -> Result<(), Problem> {
        let share = part / some.len() as f64;
        let seconds = self.seconds(0.4 / kinds * share);
        for packed in some {
            let spend = Spend { portion: self.fair_share(packed) * share, seconds, again, ..Spend::ROUGH };
            self.improve(packed, spend, from, to)?;
        }
        Ok(())
    }

    /// The share of the effort's work that a kind of lay gets before the best get more.
    fn fair_share(&self, packed: &Packed) -> f64 {
        let for_turning = if self.options.effort == Effort::Quick { FOR_TURNING_AT_ONCE } else { FOR_TURNING };
        if packed.turns_freely() { FAIR_SHARE * for_turning } else { FAIR_SHARE }
    }

    /// The evaluations of a start that all of the work comes to.
    pub(super) fn work(&self) -> f64 {
        self.options.effort.work() as f64 * self.portion
    }

    fn rough_share(&self) -> f64 {
        ROUGH_SHARE.max(ROUGH_LEAST / self.options.effort.work() as f64)
    }

    /// Packs an arrangement anew and keeps the shorter of the two.
    fn improve(&self, packed: &mut Packed, spend: Spend, from: f64, to: f64) -> Result<(), Problem> {
        self.shorten(packed, spend, &Listener { progress: self.progress, from, to })
    }

    /// The same, followed by another observer.
    pub(super) fn shorten(
        &self,
        packed: &mut Packed,
        spend: Spend,
        observer: &dyn nest::Observer,
    ) -> Result<(), Problem> {
        let other = self.pack(&packed.arrangement, packed.jobs(), spend, observer)?;
        if other.laid.length < packed.laid.length {
            *packed = other;
        } else {
            packed.stops = other.stops;
        }
        Ok(())
    }

    /// Packs one of the best anew: with a share of the work first, and with all of it only where that brings something yet.
    fn finish(&self, packed: &mut Packed, spend: Spend, from: f64, to: f64) -> Result<(), Problem> {
        let (before, middle) = (packed.laid.length, from + (to - from) * FIRST_SHARE);
        let seconds = |share: f64| spend.seconds.map(|seconds| seconds * share);
        let first =
            Spend { portion: spend.portion * FIRST_SHARE, seconds: seconds(FIRST_SHARE), again: FIRST_AGAIN, ..spend };
        self.improve(packed, first, from, middle)?;
        if packed.laid.length < before * (1.0 - STILL_GAINS) && !self.over() {
            self.improve(packed, Spend { seconds: seconds(1.0 - FIRST_SHARE), ..spend }, middle, to)?;
        }
        Ok(())
    }

    /// Where a step less would nearly do, searches for that alone.
    fn step_less(&self, packed: &mut Packed, at: f64) -> Result<(), Problem> {
        let enough = step_less(packed.laid.length, self.order.cloth);
        let near = enough > 0.0 && packed.laid.length <= enough * (1.0 + NEAR_MISS);
        if !near || self.over() || lay::least_possible(&self.order) > enough {
            return Ok(());
        }
        let spend = Spend { portion: 1.0, seconds: self.seconds(0.5), enough: Some(enough), again: LESS_AGAIN };
        self.improve(packed, spend, at, at)
    }

    /// The kinds of lay, by their place, that are worth all the work.
    fn finalists(&self, packed: &[Packed]) -> Vec<usize> {
        let mut places: Vec<usize> = (0..packed.len()).collect();
        places.sort_by(|&a, &b| {
            let (a, b) = (&packed[a].laid, &packed[b].laid);
            let buy = |laid: &LaidOut| super::to_buy(laid.length, self.order.cloth);
            buy(a).total_cmp(&buy(b)).then(a.length.total_cmp(&b.length)).then(a.work.cmp(&b.work))
        });
        let best = places.first().map_or(0.0, |&first| packed[first].laid.length);
        places.retain(|&place| packed[place].laid.length <= best * STILL_IN);
        places.truncate(FINALISTS);
        places
    }

    pub(super) fn pack(
        &self,
        arrangement: &Arrangement,
        jobs: Vec<SectionJob>,
        spend: Spend,
        observer: &dyn nest::Observer,
    ) -> Result<Packed, Problem> {
        let all = jobs.iter().map(weight).sum::<f64>().max(1.0);
        let mut sections: Vec<(SectionJob, Solution)> = Vec::with_capacity(jobs.len());
        let (mut stops, mut work) = (Vec::new(), 0);
        let count = jobs.len();
        for (number, job) in jobs.into_iter().enumerate() {
            let start = lay::next_start(&self.order, &sections);
            let problem = lay::with_flaws(&job, &self.order, start);
            let problem = lay::in_repeat(&job, &self.order, &sections, problem);
            // What is enough is asked of the last section: the others are as short as they get.
            let last = number + 1 == count && !job.fold.is_across();
            let settings = Settings {
                seconds: spend.seconds.map(|seconds| seconds * weight(&job) / all),
                portion: spend.portion * self.portion,
                enough: spend.enough.filter(|_| last).map(|enough| enough - start),
                ..Settings::new(self.options.effort, self.options.seed.wrapping_add(spend.again))
            };
            let outcome = nest::solve_with(self.store, &problem, &settings, observer)
                .map_err(|failure| failed(&self.order, self.progress.doing, &job, &failure))?;
            stops.push(outcome.stop);
            work += outcome.work;
            sections.push((job, outcome.solution));
        }
        let laid = lay::laid_out(arrangement.kind, &self.order, &sections);
        Ok(Packed { arrangement: arrangement.clone(), sections, laid, stops, work })
    }

    /// A share of the order's time, where time is limited.
    fn seconds(&self, share: f64) -> Option<f64> {
        self.clock.left().map(|left| left.min(self.time() * share))
    }

    fn time(&self) -> f64 {
        self.options.seconds.unwrap_or(0.0) * self.time_share
    }

    /// Whether to make do with what there is.
    pub(super) fn over(&self) -> bool {
        self.progress.observer.cancelled() || self.clock.left().is_some_and(|left| left <= 0.0)
    }
}

/// The first of those that are shortest.
fn shortest(packed: Vec<Packed>) -> Option<Packed> {
    packed.into_iter().min_by(|a, b| a.laid.length.total_cmp(&b.laid.length))
}

fn weight(job: &SectionJob) -> f64 {
    job.tickets.len() as f64
}

/// Should the nester refuse what the lay let through, its own words are passed on.
fn failed(order: &Order, cloth: &str, job: &SectionJob, failure: &nest::Failure) -> Problem {
    let cut = match failure {
        nest::Failure::DoesNotFit { item, .. } => job.tickets.get(*item),
        _ => None,
    };
    let cut = cut.and_then(|ticket| order.cuts.get(ticket.cut)).map_or("", |entry| &entry.cut);
    let keys = if cut.is_empty() { format!("cloths.{cloth}") } else { format!("cuts.{cut}") };
    Problem::at(keys, format!("It cannot be laid out: {failure}."), "check the piece's size and the cloth's width")
}
