//! Which arrangements of a kind of lay are worth searching: those that are short when packed roughly, and what is a change
//! away from them.

use rayon::prelude::*;

use super::progress::Silent;
use super::stages::{Bench, Packed, Spend};
use crate::error::Problem;
use crate::lay::{self, Arrangement, SectionJob};
use crate::nest;
use crate::units::Mm;

/// Arrangements of a kind that are packed roughly at a time, of those that the bound lets hope most of.
const ROUGHLY: usize = 6;
/// Arrangements that are constructed at a time with a million evaluations to a start, of those that the bound lets hope most;
/// with other work, as the square root of it.
const CONSTRUCTED: f64 = 45.0;
/// The share of an effort's work that constructing so many may take.
const CONSTRUCTING_SHARE: f64 = 0.2;
/// Evaluations that are too few to bring anything beyond constructing.
const LITTLE: f64 = 1.5e4;
/// Where plies may be turned any way, so many are packed again with such a share of an effort's work before few are chosen:
/// how short they are when packed roughly tells little of what turning brings.
const LESS_ROUGHLY: usize = 12;
const LESS_ROUGH: Spend = Spend::rough(0.05);
/// Lengths that differ by less are the same.
const AS_LONG: Mm = 0.01;
/// Times that changes are looked for.
const CLIMBS: usize = 4;

/// An arrangement, the strips that it comes to and what they must have in length together at the least.
struct Hopeful {
    bound: Mm,
    arrangement: Arrangement,
    jobs: Vec<SectionJob>,
}

impl Hopeful {
    /// Whether another comes to the same strips.
    fn is(&self, other: &Self) -> bool {
        let same = |(a, b): (&SectionJob, &SectionJob)| a.fold == b.fold && a.problem == b.problem;
        self.jobs.len() == other.jobs.len() && self.jobs.iter().zip(&other.jobs).all(same)
    }
}

impl Bench<'_> {
    /// Of several arrangements of one kind the few that are shortest when packed roughly, with cuts laid otherwise or on other
    /// folds where that is shorter still; the shortest first.
    pub(super) fn roughly(
        &self,
        arrangements: &[Arrangement],
        breadth: usize,
        spend: Spend,
    ) -> Result<Vec<Packed>, Problem> {
        let mut found = self.shortest(arrangements.to_vec(), f64::INFINITY, ROUGHLY, spend)?;
        let mut climbed: Vec<Arrangement> = Vec::new();
        for _ in 0..CLIMBS {
            let Some(best) = found.first() else {
                break;
            };
            let from = found.iter().take(breadth).map(|packed| &packed.arrangement);
            let from: Vec<Arrangement> = from.filter(|a| !climbed.contains(a)).cloned().collect();
            if from.is_empty() || self.over() {
                break;
            }
            let mut others: Vec<Arrangement> = Vec::new();
            let otherwise = from.iter().flat_map(|arrangement| arrangement.neighbours(&self.order));
            let refolded = from.iter().flat_map(|arrangement| arrangement.refolded(arrangements));
            for other in otherwise.chain(refolded) {
                if !others.contains(&other) && found.iter().all(|p| p.arrangement != other) {
                    others.push(other);
                }
            }
            found.extend(self.shortest(others, best.laid.length, ROUGHLY * from.len(), spend)?);
            climbed.extend(from);
            // A stable sort: among equals the plainest stays first.
            found.sort_by(|a, b| a.laid.length.total_cmp(&b.laid.length));
            found = unlike(found, Arrangement::alike_but_for_depth);
        }
        let turning = spend.portion > 0.0 && found.first().is_some_and(Packed::turns_freely);
        let again = turning && !self.constructs_only(LESS_ROUGH) && !self.over();
        let spend = if again {
            found = self.less_roughly(found)?;
            LESS_ROUGH
        } else {
            spend
        };
        found.truncate(breadth);
        found.into_iter().map(|packed| self.rephase(packed, spend)).collect()
    }

    /// Whether so much brings nothing beyond constructing.
    fn constructs_only(&self, spend: Spend) -> bool {
        spend.portion * self.work() <= LITTLE
    }

    /// The shortest, packed less roughly, those that are unlike each other then; the shortest first.
    fn less_roughly(&self, mut found: Vec<Packed>) -> Result<Vec<Packed>, Problem> {
        found.truncate(LESS_ROUGHLY);
        // All have a layout: once the time is over, that will do.
        let silent = Silent(|| self.over());
        found.par_iter_mut().try_for_each(|packed| self.shorten(packed, LESS_ROUGH, &silent))?;
        found.sort_by(|a, b| a.laid.length.total_cmp(&b.laid.length));
        // Just as long on the same folds, now that all are packed well: what is laid otherwise does not set the length.
        Ok(unlike(found, |a, b| a.folds == b.folds || a.alike_but_for_depth(b)))
    }

    /// Moves matched cuts through the repeat for as long as that makes the lay shorter.
    fn rephase(&self, mut best: Packed, spend: Spend) -> Result<Packed, Problem> {
        for _ in 0..CLIMBS {
            if self.over() {
                break;
            }
            let others = best.arrangement.rephased(&self.order).into_iter();
            let others =
                others.filter_map(|other| lay::sections(&other, &self.order).ok().map(|jobs| (other, jobs))).collect();
            match self.all_packed(others, spend)?.into_iter().next() {
                Some(other) if other.laid.length < best.laid.length - 1.0 => best = other,
                _ => break,
            }
        }
        Ok(best)
    }

    /// Of those arrangements that can be shorter than a length, as far as the bound tells, the few that are shortest when
    /// constructed, packed with what there is to spend; the shortest first.
    fn shortest(
        &self,
        arrangements: Vec<Arrangement>,
        than: Mm,
        most: usize,
        spend: Spend,
    ) -> Result<Vec<Packed>, Problem> {
        let many = if spend.portion > 0.0 { (CONSTRUCTED * (self.work() / 1e6).sqrt()) as usize } else { 0 };
        let mut hopeful = self.hopeful(arrangements, than, many.max(most));
        let constructs_only = self.constructs_only(spend);
        if !constructs_only && hopeful.len() <= most {
            return self.all_packed(hopeful, spend);
        }
        let others = hopeful.split_off(most.min(hopeful.len()));
        let mut packed = self.all_packed(hopeful, Spend::ROUGH)?;
        let each = packed.iter().map(|packed| packed.work).max().unwrap_or(0).max(1) as f64;
        let others = others.into_iter().take((CONSTRUCTING_SHARE * self.work() / each) as usize).collect();
        packed.extend(self.all_packed(others, Spend::ROUGH)?);
        packed.sort_by(|a, b| a.laid.length.total_cmp(&b.laid.length));
        packed.truncate(most);
        if constructs_only {
            return Ok(packed);
        }
        self.all_packed(packed.iter().map(|packed| (packed.arrangement.clone(), packed.jobs())).collect(), spend)
    }

    /// Those arrangements that can be shorter than a length as far as the bound tells, the most hopeful first.
    fn hopeful(&self, arrangements: Vec<Arrangement>, than: Mm, most: usize) -> Vec<(Arrangement, Vec<SectionJob>)> {
        let mut found: Vec<Hopeful> = arrangements
            .into_par_iter()
            .filter_map(|arrangement| {
                let jobs = lay::sections(&arrangement, &self.order).ok()?;
                let bound = jobs.iter().map(|job| self.rough_bound(job)).sum();
                (bound < than).then_some(Hopeful { bound, arrangement, jobs })
            })
            .collect();
        // A stable sort: among equals the plainest stays first.
        found.sort_by(|a, b| a.bound.total_cmp(&b.bound));
        let mut kept: Vec<Hopeful> = Vec::new();
        for one in found {
            if kept.len() == most {
                break;
            }
            // A cut that no fold takes lies the same however it is wanted.
            let mut as_hopeful = kept.iter().rev().take_while(|known| known.bound == one.bound);
            if !as_hopeful.any(|known| known.is(&one)) {
                kept.push(one);
            }
        }
        kept.into_iter().map(|one| (one.arrangement, one.jobs)).collect()
    }

    /// The length that a section must have at the least, on the flat cloth.
    fn rough_bound(&self, job: &SectionJob) -> Mm {
        let bound = nest::least_possible_with(self.store, &job.problem).unwrap_or(0.0);
        if job.fold.is_across() { 2.0 * bound + self.order.cloth.gap } else { bound }
    }

    /// All these arrangements, packed; the shortest first.
    fn all_packed(
        &self,
        mut arrangements: Vec<(Arrangement, Vec<SectionJob>)>,
        spend: Spend,
    ) -> Result<Vec<Packed>, Problem> {
        if self.over() {
            arrangements.truncate(1);
        }
        let silent = Silent(|| self.progress.observer.cancelled());
        let mut packed: Vec<Packed> = arrangements
            .into_par_iter()
            .map(|(arrangement, jobs)| self.pack(&arrangement, jobs, spend, &silent))
            .collect::<Result<_, _>>()?;
        packed.sort_by(|a, b| a.laid.length.total_cmp(&b.laid.length));
        Ok(packed)
    }
}

/// Of arrangements, the shortest first, those that are not just as long as one before them that they are like.
fn unlike(packed: Vec<Packed>, like: impl Fn(&Arrangement, &Arrangement) -> bool) -> Vec<Packed> {
    let mut kept: Vec<Packed> = Vec::with_capacity(packed.len());
    for one in packed {
        let mut as_long = kept.iter().rev().take_while(|known| one.laid.length - known.laid.length < AS_LONG);
        if !as_long.any(|known| like(&known.arrangement, &one.arrangement)) {
            kept.push(one);
        }
    }
    kept
}
