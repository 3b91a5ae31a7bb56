//! The choices of a project beside each other: what each combination takes.

use indexmap::IndexMap;

use super::several::{Several, several};
use super::{Checked, Failure, Observer, Options, Planned};
use crate::error::Problems;
use crate::layout::{Buy, Combination, Comparison, PlanDocument, Taken};
use crate::project::{Combinations, Project};

/// Combinations beside each other, and the plan of each that can be done.
#[derive(Debug, Clone, PartialEq)]
pub struct Compared {
    /// The figures; `in_words` is left empty.
    pub comparison: Comparison,
    /// By combination: its plan, passed by the checker.
    pub plans: Vec<Option<PlanDocument>>,
    /// The chosen combination's plan with its notes.
    pub chosen: Planned,
}

/// Plans every combination of choices; what several have in common is laid out once.
///
/// The chosen combination gets all the work of the effort and comes out as [`plan`](super::plan) has it; all the others
/// together get a fixed amount of work, told as `share_of_others`.
///
/// # Errors
/// Why the chosen combination cannot be planned; or, should the program be at fault, the faults of any plan.
pub fn compare(combinations: &Combinations, options: &Options, observer: &dyn Observer) -> Result<Compared, Failure> {
    let loaded: Vec<(usize, &Project)> = combinations
        .all
        .iter()
        .enumerate()
        .filter_map(|(number, combination)| Some((number, combination.project.as_ref().ok()?)))
        .collect();
    let projects: Vec<&Project> = loaded.iter().map(|&(_, project)| project).collect();
    let chosen = loaded.iter().position(|&(number, _)| number == combinations.chosen).unwrap_or_default();
    let Several { plans, share_of_others } = several(&projects, chosen, options, observer);
    let plans = plans.into_iter().map(|plan| plan.and_then(Checked::whole));
    let mut plans: IndexMap<usize, Result<Planned, Failure>> =
        loaded.iter().map(|&(number, _)| number).zip(plans).collect();
    let chosen = plans.get(&combinations.chosen).cloned().unwrap_or_else(|| Err(Failure::Problems(Problems::new())))?;
    let mut comparison = Comparison {
        ellwand_comparison: 1,
        project: projects.first().map_or_else(String::new, |project| project.name.clone()),
        by: combinations.by.clone(),
        chosen: combinations.all.get(combinations.chosen).map(|c| c.chosen.clone()).unwrap_or_default(),
        seed: options.seed,
        effort: options.effort.name().to_owned(),
        share_of_others,
        units: "mm".to_owned(),
        cloths: IndexMap::new(),
        combinations: Vec::new(),
    };
    let mut documents = Vec::new();
    for (number, combination) in combinations.all.iter().enumerate() {
        let planned = match (&combination.project, plans.swap_remove(&number)) {
            (Err(problems), _) => Err(problems.clone()),
            (_, Some(Ok(planned))) => Ok(planned.document),
            (_, Some(Err(Failure::Problems(problems)))) => Err(problems),
            (_, Some(Err(failure @ Failure::Faults(_)))) => return Err(failure),
            (_, None) => Err(Problems::new()),
        };
        comparison.combinations.push(row(&combination.chosen, planned.as_ref()));
        documents.push(planned.ok());
    }
    comparison.cloths = cloths(&projects, &comparison);
    Ok(Compared { comparison, plans: documents, chosen })
}

fn row(chosen: &IndexMap<String, String>, planned: Result<&PlanDocument, &Problems>) -> Combination {
    let row = Combination {
        chosen: chosen.clone(),
        cloths: IndexMap::new(),
        cost: None,
        in_words: String::new(),
        not_possible: None,
    };
    let document = match planned {
        Ok(document) => document,
        Err(problems) => {
            let causes: Vec<&str> = problems.iter().map(|problem| problem.cause.as_str()).collect();
            return Combination { not_possible: Some(causes.join(" ")), ..row };
        }
    };
    let mut taken: IndexMap<String, Taken> = IndexMap::new();
    for cloth in &document.cloths {
        let own = Taken { lay: cloth.lay.clone(), length: cloth.length, buy: cloth.buy.clone() };
        match taken.get_mut(&cloth.cloth) {
            None => drop(taken.insert(cloth.cloth.clone(), own)),
            // Lengths in hand, and what is bought besides: the lay of the last, the sum of all.
            Some(all) => {
                let cost = all.buy.cost.map_or(own.buy.cost, |cost| Some(cost + own.buy.cost.unwrap_or(0.0)));
                let buy = Buy { length: all.buy.length + own.buy.length, cost };
                *all = Taken { length: all.length + own.length, buy, ..own };
            }
        }
    }
    let bought = document.cloths.iter().filter(|cloth| cloth.in_hand.is_none());
    let costs: Option<Vec<f64>> = bought.map(|cloth| cloth.buy.cost).collect();
    // Each is rounded to the hundredth; so is their sum, without the dust of adding.
    let cost = costs.map(|costs| (costs.iter().sum::<f64>() * 100.0).round() / 100.0);
    Combination { cloths: taken, cost, ..row }
}

/// Every cloth that something is cut from, in the order of the projects, with its name.
fn cloths(projects: &[&Project], comparison: &Comparison) -> IndexMap<String, String> {
    let cut_from = |key: &str| comparison.combinations.iter().any(|row| row.cloths.contains_key(key));
    let mut cloths = IndexMap::new();
    for (key, cloth) in projects.iter().flat_map(|project| &project.cloths).filter(|(key, _)| cut_from(key)) {
        cloths.entry(key.clone()).or_insert_with(|| cloth.name.clone());
    }
    cloths
}
