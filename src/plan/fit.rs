//! Whether cloth in hand does, for each of several versions of a garment.

use super::several::{Several, several_lists};
use super::{Checked, Failure, Observer, Options, Planned};
use crate::cut_list::{self, CutList};
use crate::error::Problems;
use crate::project::{Combinations, Project};

/// A plan of the one cloth, with what it is good for in its notes; none where nothing is cut from it.
pub type Fit = Result<Option<Planned>, Problems>;

/// Plans the cloth `name` alone for every combination of choices. What is the same in several is worked out once; the chosen
/// combination gets all the work of the effort, the others together a fixed amount.
///
/// A plan that neither the cloth in hand nor cloth to be bought gives whole is given as far as it goes: its answer has
/// something left over and nothing extra.
///
/// # Errors
/// Should the program be at fault, the faults of a plan. What keeps one combination from being planned is its own answer.
pub fn fit(
    combinations: &Combinations,
    name: &str,
    options: &Options,
    observer: &dyn Observer,
) -> Result<Vec<Fit>, Failure> {
    let loaded: Vec<(usize, &Project)> = combinations
        .all
        .iter()
        .enumerate()
        .filter_map(|(number, combination)| Some((number, combination.project.as_ref().ok()?)))
        .collect();
    let projects: Vec<&Project> = loaded.iter().map(|&(_, project)| project).collect();
    let lists: Vec<Result<CutList, Problems>> = projects.iter().map(|project| only(project, name)).collect();
    let chosen = loaded.iter().position(|&(number, _)| number == combinations.chosen).unwrap_or_default();
    let Several { plans, .. } = several_lists(&projects, &lists, chosen, (options, observer));
    let mut plans = plans.into_iter();
    let fit = |combination: &crate::project::Combination| match &combination.project {
        Err(problems) => Ok(Err(problems.clone())),
        Ok(_) => match plans.next() {
            Some(Ok(Checked { planned, .. })) => Ok(Ok((!planned.document.cloths.is_empty()).then_some(planned))),
            Some(Err(Failure::Problems(problems))) => Ok(Err(problems)),
            Some(Err(failure)) => Err(failure),
            None => Ok(Err(Problems::new())),
        },
    };
    combinations.all.iter().map(fit).collect()
}

/// What is cut from one cloth alone.
fn only(project: &Project, name: &str) -> Result<CutList, Problems> {
    let mut list = cut_list::resolve(project)?;
    list.cloths.retain(|cloth, _| cloth == name);
    Ok(list)
}
