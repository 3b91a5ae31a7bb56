//! Whether cloth in hand does, for each of several versions of a garment.

use super::several::{Several, several_lists};
use super::{Checked, Failure, Observer, Options};
use crate::cut_list::{self, CutList};
use crate::error::Problems;
use crate::layout::{Fits, Fitting, InStock, PlanDocument, rounded};
use crate::project::{Combinations, HaveLength, Project};

/// What the cloth in hand does for every combination, and the plan of each that there is.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitted {
    /// The figures.
    pub fitting: Fitting,
    /// By combination: the plan of the one cloth, passed by the checker; none where nothing is cut from it or it cannot be.
    pub plans: Vec<Option<PlanDocument>>,
}

/// Plans the cloth `name` alone for every combination of choices. What is the same in several is worked out once; the chosen
/// combination gets all the work of the effort, the others together a fixed amount.
///
/// A combination that neither the cloth in hand nor cloth to be bought gives whole is planned as far as it goes: it has
/// something left over and nothing extra.
///
/// # Errors
/// Should the program be at fault, the faults of a plan. What keeps one combination from being planned is told in its row.
pub fn fit(
    combinations: &Combinations,
    name: &str,
    options: &Options,
    observer: &dyn Observer,
) -> Result<Fitted, Failure> {
    let projects: Vec<&Project> =
        combinations.all.iter().filter_map(|combination| combination.project.as_ref().ok()).collect();
    let lists: Vec<Result<CutList, Problems>> = projects.iter().map(|project| only(project, name)).collect();
    let all = combinations.all.iter();
    let chosen = all.take(combinations.chosen).filter(|combination| combination.project.is_ok()).count();
    let Several { plans, .. } = several_lists(&projects, &lists, chosen, (options, observer));
    let mut plans = plans.into_iter();
    let mut fitted = Fitted { fitting: fitting(combinations, name, options), plans: Vec::new() };
    for combination in &combinations.all {
        let planned = match &combination.project {
            Err(problems) => Err(problems.clone()),
            Ok(_) => match plans.next() {
                Some(Ok(Checked { planned, .. })) => Ok(planned),
                Some(Err(Failure::Problems(problems))) => Err(problems),
                Some(Err(failure)) => return Err(failure),
                None => Err(Problems::new()),
            },
        };
        let chosen = combination.chosen.clone();
        let row = match &planned {
            Ok(planned) => Fits::new(chosen, &planned.document.cloths, planned.notes.hand.first()),
            Err(problems) => {
                let causes: Vec<&str> = problems.iter().map(|problem| problem.cause.as_str()).collect();
                Fits { fits: false, not_possible: Some(causes.join(" ")), ..Fits::new(chosen, &[], None) }
            }
        };
        fitted.fitting.combinations.push(row);
        fitted.plans.push(planned.ok().map(|planned| planned.document).filter(|plan| !plan.cloths.is_empty()));
    }
    Ok(fitted)
}

/// All but the combinations.
fn fitting(combinations: &Combinations, name: &str, options: &Options) -> Fitting {
    let chosen = combinations.all.get(combinations.chosen);
    let project = chosen.and_then(|combination| combination.project.as_ref().ok());
    let have = project.and_then(|project| project.cloths.get(name)).map_or(&[][..], |cloth| &cloth.have);
    let in_stock = |(index, have): (usize, &HaveLength)| InStock {
        number: index + 1,
        name: have.name.clone(),
        length: rounded(have.length),
        width: rounded(have.width),
        flaws: have.flaws.len(),
    };
    Fitting {
        ellwand_fit: 1,
        project: project.map_or_else(String::new, |project| project.name.clone()),
        cloth: name.to_owned(),
        have: have.iter().enumerate().map(in_stock).collect(),
        by: combinations.by.clone(),
        chosen: chosen.map(|combination| combination.chosen.clone()).unwrap_or_default(),
        seed: options.seed,
        effort: options.effort.name().to_owned(),
        units: "mm".to_owned(),
        combinations: Vec::new(),
    }
}

/// What is cut from one cloth alone.
fn only(project: &Project, name: &str) -> Result<CutList, Problems> {
    let mut list = cut_list::resolve(project)?;
    list.cloths.retain(|cloth, _| cloth == name);
    Ok(list)
}
