//! One cloth at several widths, with nap and without, as on the back of a pattern envelope.

use super::search::Search;
use super::several::{Several, several};
use super::work::orders;
use super::{Checked, Failure, Observer, Options, Planned};
use crate::cut_list;
use crate::error::Problem;
use crate::layout::{Taken, WidthRow, WidthTable};
use crate::project::Project;
use crate::units::{Mm, Unit};

/// A width to be looked at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WidthAsked {
    /// From selvedge to selvedge.
    pub width: Mm,
    /// The price of a metre; the cloth's own where none is given.
    pub price_per_metre: Option<f64>,
}

/// Widths that cloth is sold in, metric and in inches: 90, 112, 140, 150 cm; 36, 45, 54, 60 in (trade-facts: widths met).
pub fn widths_sold() -> Vec<WidthAsked> {
    let metric = [90.0, 112.0, 140.0, 150.0].map(|width| Unit::Centimetre.times(width));
    let inches = [36.0, 45.0, 54.0, 60.0].map(|width| Unit::Inch.times(width));
    metric.into_iter().chain(inches).map(|width| WidthAsked { width, price_per_metre: None }).collect()
}

/// Widths closer than this are one width, in mm.
const SAME: Mm = 0.5;

/// Works out what a cloth of the project takes at each of the widths and at its own, with nap and without, were all of it
/// bought. Its own row, as the project has it, gets all the work of the effort and comes out as [`plan`](super::plan) has it
/// where no length of it is in hand.
///
/// # Errors
/// A cloth that nothing is cut from; cuts that do not add up; or, should the program be at fault, the faults of any plan.
pub fn widths(
    project: &Project,
    cloth: &str,
    asked: &[WidthAsked],
    options: &Options,
    observer: &dyn Observer,
) -> Result<WidthTable, Failure> {
    let own = project.cloths.get(cloth).filter(|_| project.cuts.values().any(|cut| cut.cloth == cloth));
    let own = own.ok_or_else(|| Failure::Problems(vec![no_such_cloth(project, cloth)]))?;
    cut_list::resolve(project).map_err(Failure::Problems)?;
    let mut all: Vec<WidthAsked> = vec![WidthAsked { width: own.width, price_per_metre: None }];
    for asked in asked {
        match all.iter_mut().find(|known| (known.width - asked.width).abs() < SAME) {
            Some(known) => known.price_per_metre = asked.price_per_metre.or(known.price_per_metre),
            None => all.push(*asked),
        }
    }
    all.sort_by(|a, b| a.width.total_cmp(&b.width));
    let of = |asked: &WidthAsked, nap| {
        let mut project = project.clone();
        project.cuts.retain(|_, cut| cut.cloth == cloth);
        if let Some(cloth) = project.cloths.get_mut(cloth) {
            (cloth.width, cloth.nap) = (asked.width, nap);
            cloth.have.clear();
            cloth.price_per_metre = asked.price_per_metre.or(cloth.price_per_metre);
        }
        project
    };
    let projects: Vec<Project> = all.iter().flat_map(|asked| [true, false].map(|nap| of(asked, nap))).collect();
    let is_own =
        |project: &Project| project.cloths.get(cloth).is_some_and(|c| c.width == own.width && c.nap == own.nap);
    let chosen = projects.iter().position(is_own).unwrap_or_default();
    let wide_enough: Vec<usize> =
        (0..projects.len()).filter(|&number| usable(&projects[number], cloth) >= LEAST_USABLE).collect();
    let planned: Vec<&Project> = wide_enough.iter().map(|&number| &projects[number]).collect();
    let chosen = wide_enough.iter().position(|&number| number == chosen).unwrap_or_default();
    let Several { plans, share_of_others } = several(&planned, chosen, options, observer);
    let mut answers: Vec<Result<Taken, String>> =
        vec![Err("the two selvedges and shrinking leave nothing of it".to_owned()); projects.len()];
    for (&number, plan) in wide_enough.iter().zip(plans) {
        answers[number] = taken(&projects[number], plan.and_then(Checked::whole))?;
    }
    let rows = all.iter().zip(answers.chunks(2)).map(|(asked, answers)| {
        let own_price = asked.price_per_metre.or(own.price_per_metre);
        row(asked.width, own_price, answers)
    });
    Ok(WidthTable {
        ellwand_widths: 1,
        project: project.name.clone(),
        chosen: project.chosen.clone(),
        cloth: cloth.to_owned(),
        name: own.name.clone(),
        width: own.width,
        nap: own.nap,
        seed: options.seed,
        effort: options.effort.name().to_owned(),
        share_of_others,
        units: "mm".to_owned(),
        rows: rows.collect(),
    })
}

/// Less than this between the selvedges is nothing to cut from, in mm.
const LEAST_USABLE: Mm = 0.5;

fn usable(project: &Project, cloth: &str) -> Mm {
    project.cloths.get(cloth).map_or(0.0, crate::project::Cloth::usable_width)
}

fn no_such_cloth(project: &Project, cloth: &str) -> Problem {
    let known: Vec<&str> = project
        .cloths
        .keys()
        .map(String::as_str)
        .filter(|key| project.cuts.values().any(|cut| cut.cloth == **key))
        .collect();
    let cause = format!("Nothing is cut from a cloth named \"{cloth}\".");
    Problem::at(
        format!("--cloth {cloth}"),
        cause,
        format!("the cloths that something is cut from are {}", known.join(", ")),
    )
}

/// What a plan of one cloth takes, or why there is none.
fn taken(project: &Project, plan: Result<Planned, Failure>) -> Result<Result<Taken, String>, Failure> {
    match plan {
        Ok(planned) => {
            let cloth = planned.document.cloths.into_iter().next();
            Ok(cloth
                .map(|cloth| Taken { lay: cloth.lay, length: cloth.length, buy: cloth.buy })
                .ok_or_else(|| "nothing is cut from it".to_owned()))
        }
        Err(Failure::Problems(problems)) => {
            let list = cut_list::resolve(project).map_err(Failure::Problems)?;
            let reasons =
                orders(project, &list).filter_map(|(name, order)| Search::new(name, order, None).in_the_way());
            let reason = reasons.into_iter().next();
            Ok(Err(reason.unwrap_or_else(|| problems.into_iter().map(|problem| problem.cause).collect())))
        }
        Err(failure @ Failure::Faults(_)) => Err(failure),
    }
}

fn row(width: Mm, price_per_metre: Option<f64>, answers: &[Result<Taken, String>]) -> WidthRow {
    let of = |place: usize| answers.get(place).and_then(|answer| answer.as_ref().ok()).cloned();
    let why_not = answers.iter().find_map(|answer| answer.as_ref().err()).cloned();
    WidthRow { width, price_per_metre, with_nap: of(0), without_nap: of(1), not_possible: why_not }
}
