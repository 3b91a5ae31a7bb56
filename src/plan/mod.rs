//! The pipeline for callers: a project in, a checked plan document out.

mod best;
mod buy;
mod carry;
mod climb;
mod compare;
mod fit;
mod hand;
mod print;
mod progress;
mod rules;
mod search;
mod several;
mod shopping;
mod stages;
mod widths;
mod work;

use indexmap::IndexMap;

use crate::check::{self, Fault};
use crate::cut_list::{self, CutList};
use crate::error::{Problem, Problems};
use crate::layout::{ClothPlan, Notes, PlanDocument, PlanPiece, plan_points};
use crate::nest::Effort;
use crate::piece::Piece;
use crate::project::Project;

pub use buy::{cost, to_buy};
pub use compare::{Compared, compare};
pub use fit::{Fitted, fit};
pub use rules::rules;
pub use shopping::shopping_list;
pub use widths::{WidthAsked, widths, widths_sold};
use work::{Done, Work, answers, works};

/// How to search.
#[derive(Debug, Clone, PartialEq)]
pub struct Options {
    /// How hard, counted in work.
    pub effort: Effort,
    /// Stop after so many seconds in all, whatever the effort; the result may then vary from run to run.
    pub seconds: Option<f64>,
    /// The seed of the search: the same project, seed and effort give the same plan.
    pub seed: u64,
}

impl Default for Options {
    fn default() -> Self {
        Self { effort: Effort::Steady, seconds: None, seed: 1 }
    }
}

/// Watches a plan being made, and may end it early.
pub trait Observer: Sync {
    /// Told now and then how much is done, 0 to 1, and what is being worked on. Calls come from several threads at once, and
    /// may overtake each other.
    fn progress(&self, done: f64, doing: &str);
    /// Asked often; once true, the best found so far is taken for all that is left.
    fn cancelled(&self) -> bool;
}

/// An observer that neither listens nor cancels.
#[derive(Debug, Clone, Copy, Default)]
pub struct Silent;

impl Observer for Silent {
    fn progress(&self, _: f64, _: &str) {}
    fn cancelled(&self) -> bool {
        false
    }
}

/// A plan, and what there is to say about it.
#[derive(Debug, Clone, PartialEq)]
pub struct Planned {
    /// The answer.
    pub document: PlanDocument,
    /// Why each lay was taken, what could not be done, why the search stopped.
    pub notes: Notes,
}

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq)]
pub enum Failure {
    /// The project asks for what cannot be done.
    Problems(Problems),
    /// The plan that was made is wrong: a fault of the program, never the user's.
    Faults(Vec<Fault>),
}

/// What keeps a project from being planned although its cuts add up: pieces that fit no lay of their cloth.
pub fn problems(project: &Project, list: &CutList) -> Problems {
    works(project, list).iter().filter_map(Work::impossible).collect()
}

/// Plans every cloth of a project that something is cut from.
///
/// # Errors
/// Cuts that do not add up or do not fit the cloth; or, should the program be at fault, the faults of its plan.
pub fn plan(project: &Project, options: &Options, observer: &dyn Observer) -> Result<Planned, Failure> {
    let list = cut_list::resolve(project).map_err(Failure::Problems)?;
    let works = works(project, &list);
    let problems: Problems = works.iter().filter_map(Work::impossible).collect();
    if !problems.is_empty() {
        return Err(Failure::Problems(problems));
    }
    let asked: Vec<_> = works.iter().map(|work| Ok((work, 1.0))).collect();
    let mut done = Done::default();
    for answer in answers(&asked, options, observer) {
        done.extend(answer.map_err(|problem| Failure::Problems(vec![problem]))?);
    }
    checked(project, &list, options, done)?.whole()
}

/// A plan, and what it lacks of what was asked for, if anything.
#[derive(Debug, Clone)]
struct Checked {
    planned: Planned,
    lacks: Option<Problem>,
}

impl Checked {
    /// The plan, where it lacks nothing.
    fn whole(self) -> Result<Planned, Failure> {
        match self.lacks {
            Some(problem) => Err(Failure::Problems(vec![problem])),
            None => Ok(self.planned),
        }
    }
}

/// The plan of a project from the answers for its cloths, once the checker has passed it.
fn checked(project: &Project, list: &CutList, options: &Options, done: Done) -> Result<Checked, Failure> {
    let Done { cloths, notes, lacks } = done;
    let document = document(project, options, cloths);
    // What there is of a plan that lacks something must hold all the same.
    let faults = match lacks {
        Some(_) => check::faults(&document),
        None => check::faults_against(&document, &rules(project, list), &project.pieces),
    };
    if faults.is_empty() {
        Ok(Checked { planned: Planned { document, notes }, lacks })
    } else {
        Err(Failure::Faults(faults))
    }
}

fn document(project: &Project, options: &Options, cloths: Vec<ClothPlan>) -> PlanDocument {
    let mut pieces = IndexMap::new();
    for ply in cloths.iter().flat_map(|cloth| &cloth.plies) {
        if let Some(piece) = project.pieces.get(&ply.piece) {
            pieces.entry(ply.piece.clone()).or_insert_with(|| plan_piece(piece));
        }
    }
    PlanDocument {
        ellwand_plan: 1,
        project: project.name.clone(),
        chosen: project.chosen.clone(),
        seed: options.seed,
        effort: options.effort.name().to_owned(),
        units: "mm".to_owned(),
        pieces,
        cloths,
    }
}

fn plan_piece(piece: &Piece) -> PlanPiece {
    let fold = piece.fold.map(|fold| plan_points(&[fold.from, fold.to])).and_then(|ends| ends.try_into().ok());
    PlanPiece {
        outline: plan_points(&piece.shape.outline),
        holes: piece.shape.holes.iter().map(|hole| plan_points(hole)).collect(),
        fold,
    }
}
