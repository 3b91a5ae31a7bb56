//! Plans for several projects that have much in common: what is alike is laid out once.

use rayon::prelude::*;

use super::carry::carried;
use super::work::{Answer, Done, Work, answers, orders};
use super::{Checked, Failure, Observer, Options, checked};
use crate::cut_list::{self, CutEntry, CutList};
use crate::error::{Problem, Problems};
use crate::lay::Order;
use crate::layout::Notes;
use crate::project::Project;

/// Work for all cloths but those of the chosen project together, in cloths that would get all the work of an effort. Chosen
/// so that the 18 pinafores take less than half a minute at the effort "steady" on two cores.
const WORK_FOR_OTHERS: f64 = 3.0;

/// The plans of several projects, in their order, and the share of the effort's work that cloths got which the chosen
/// project has not.
pub(super) struct Several {
    pub(super) plans: Vec<Result<Checked, Failure>>,
    pub(super) share_of_others: f64,
}

/// Plans several projects. Cloths with the same cuts of the same pieces are laid out once; those of the `chosen` project get
/// all the work of the effort, and come out as [`plan`](super::plan) has them.
pub(super) fn several(projects: &[&Project], chosen: usize, options: &Options, observer: &dyn Observer) -> Several {
    let lists: Vec<Result<CutList, Problems>> = projects.iter().map(|project| cut_list::resolve(project)).collect();
    several_lists(projects, &lists, chosen, (options, observer))
}

/// The same for cut lists that may leave some of the projects' cloths out.
pub(super) fn several_lists(
    projects: &[&Project],
    lists: &[Result<CutList, Problems>],
    chosen: usize,
    (options, observer): (&Options, &dyn Observer),
) -> Several {
    let (jobs, places) = jobs(projects, lists, chosen);
    let (answers, share_of_others) = work_out(&jobs, options, observer);
    let assemble = |((project, list), places): ((&&Project, &Result<CutList, Problems>), &Vec<usize>)| {
        let list = list.as_ref().map_err(|problems| Failure::Problems(problems.clone()))?;
        let (mut done, mut problems) = (Done::default(), Problems::new());
        for &place in places {
            match &answers[place] {
                Ok(answer) => done.extend(answer.clone()),
                Err(problem) => problems.push(problem.clone()),
            }
        }
        if !problems.is_empty() {
            return Err(Failure::Problems(problems));
        }
        checked(project, list, options, done)
    };
    let plans = projects.par_iter().zip(lists).zip(&places).map(assemble).collect();
    Several { plans, share_of_others }
}

/// A cloth of one project or of several alike.
struct Job<'a> {
    name: &'a str,
    order: Order<'a>,
    /// The chosen project has it.
    chosen: bool,
}

/// Every cloth that differs from the others, and for each project which of these are its own.
fn jobs<'a>(
    projects: &[&'a Project],
    lists: &'a [Result<CutList, Problems>],
    chosen: usize,
) -> (Vec<Job<'a>>, Vec<Vec<usize>>) {
    let mut jobs: Vec<Job> = Vec::new();
    let mut places = Vec::new();
    for (number, (project, list)) in projects.iter().zip(lists).enumerate() {
        let mut own = Vec::new();
        for (name, order) in list.iter().flat_map(|list| orders(project, list)) {
            let known = jobs.iter().position(|job| job.name == name && is_same(&job.order, &order));
            let place = known.unwrap_or_else(|| {
                jobs.push(Job { name, order, chosen: false });
                jobs.len() - 1
            });
            jobs[place].chosen |= number == chosen;
            own.push(place);
        }
        places.push(own);
    }
    (jobs, places)
}

/// Whether two orders ask for the same plies on the same cloth, so that one answer serves both.
fn is_same(one: &Order, other: &Order) -> bool {
    // Taken apart so that whatever is added to an order has to be compared here.
    let Order { cloth, cuts, pieces, flaws, matching } = *one;
    let same_piece = |cut: &CutEntry| pieces.get(&cut.piece) == other.pieces.get(&cut.piece);
    let same_cloth = cloth == other.cloth && flaws == other.flaws && matching == other.matching;
    same_cloth && cuts == other.cuts && cuts.iter().all(same_piece)
}

/// Lays every cloth out; also gives the share of the work that those got which are not the chosen project's.
fn work_out(jobs: &[Job], options: &Options, observer: &dyn Observer) -> (Vec<Answer>, f64) {
    let works: Vec<Work> = jobs.par_iter().map(|job| Work::new(job.name, job.order)).collect();
    let impossible: Vec<Option<Problem>> = works.iter().map(Work::impossible).collect();
    let others = jobs.iter().zip(&impossible).filter(|(job, impossible)| !job.chosen && impossible.is_none()).count();
    let share_of_others = (WORK_FOR_OTHERS / others.max(1) as f64).min(1.0);
    let portion = |job: &Job| if job.chosen { 1.0 } else { share_of_others };
    let asked = jobs.iter().zip(&works).zip(impossible);
    let asked: Vec<_> = asked.map(|((job, work), no)| no.map_or(Ok((work, portion(job))), Err)).collect();
    (carry_over(jobs, &answers(&asked, options, observer)), share_of_others)
}

/// The answers, with those that another one betters bettered; the chosen project's stay as they are.
fn carry_over(jobs: &[Job], answers: &[Answer]) -> Vec<Answer> {
    // Cloth in hand is filled, not made as short as it goes.
    let bought = |job: &Job| job.order.cloth.have.is_empty();
    let best = |(job, answer): (&Job, &Answer)| -> Answer {
        let own = answer.as_ref().map_err(Clone::clone)?;
        let ([cloth], [notes], true) = (&own.cloths[..], &own.notes.cloths[..], bought(job) && !job.chosen) else {
            return Ok(own.clone());
        };
        let others = jobs.iter().zip(answers).filter(|(other, _)| bought(other));
        let others = others.filter_map(|(_, answer)| answer.as_ref().ok()?.cloths.first());
        let (plan, order) = ((cloth.clone(), notes.clone()), &job.order);
        let better =
            others.filter(|other| other.length < cloth.length).filter_map(|other| carried(other, &plan, order));
        let Some((cloth, notes)) = better.min_by(|a, b| a.0.length.total_cmp(&b.0.length)) else {
            return Ok(own.clone());
        };
        let notes = Notes { cloths: vec![notes], hand: Vec::new() };
        Ok(Done { cloths: vec![cloth], notes, lacks: None })
    };
    jobs.par_iter().zip(answers).map(best).collect()
}
