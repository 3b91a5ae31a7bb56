//! Whether cloth in hand does, for each of several versions of a garment.

use super::search::Share;
use super::work::{Done, Work, work};
use super::{Failure, Observer, Options, Planned, checked, document, rules};
use crate::check;
use crate::cut_list::{self, CutEntry};
use crate::error::Problems;
use crate::nest::{Stopwatch, Store};
use crate::project::{Cloth, Project};

/// Problems that share the effort's work: where there are more, each gets less.
const FULL: f64 = 3.0;

/// A plan of the one cloth, with what it is good for in its notes; none where nothing is cut from it.
pub type Fit = Result<Option<Planned>, Problems>;

/// Plans the cloth `name` alone for each of several projects, versions of one garment. What is the same in several is worked
/// out once.
///
/// # Errors
/// Should the program be at fault, the faults of a plan. What keeps one version from being planned is its own answer.
pub fn fit(projects: &[Project], name: &str, options: &Options, observer: &dyn Observer) -> Result<Vec<Fit>, Failure> {
    let lists: Vec<_> = projects.iter().map(cut_list::resolve).collect();
    let asked: Vec<Option<Asked>> = projects
        .iter()
        .zip(&lists)
        .map(|(project, list)| Asked::of(project, list.as_ref().ok()?.cloths.get(name)?, name))
        .collect();
    let first_alike = |k: usize| asked[..k].iter().position(|other| asked[k].is_some() && *other == asked[k]);
    let first: Vec<Option<usize>> = (0..projects.len()).map(first_alike).collect();
    let distinct = first.iter().zip(&asked).filter(|(first, asked)| first.is_none() && asked.is_some()).count().max(1);
    let (clock, store) = (Stopwatch::start(options.seconds), Store::new());
    let of = 1.0 / distinct as f64;
    let mut done = 0.0;
    let mut fits: Vec<Fit> = Vec::with_capacity(projects.len());
    for (k, (project, list)) in projects.iter().zip(&lists).enumerate() {
        let list = match list {
            Ok(list) => list,
            Err(problems) => {
                fits.push(Err(problems.clone()));
                continue;
            }
        };
        if let Some(same) = first[k] {
            let mut fit = fits[same].clone();
            if let Ok(Some(planned)) = &mut fit {
                planned.document.chosen.clone_from(&project.chosen);
            }
            fits.push(fit);
            continue;
        }
        let Some(work) = work(project, list, name) else {
            fits.push(Ok(None));
            continue;
        };
        let share = Share { before: done, of, clock: &clock, portion: (FULL * of).min(1.0), store: &store };
        fits.push(one((project, list), name, &work, (options, &share, observer))?);
        done += of;
    }
    Ok(fits)
}

fn one(
    (project, list): (&Project, &cut_list::CutList),
    name: &str,
    work: &Work,
    (options, share, observer): (&Options, &Share, &dyn Observer),
) -> Result<Fit, Failure> {
    if let Some(problem) = work.impossible() {
        return Ok(Err(vec![problem]));
    }
    let mut done = Done::default();
    if let Err(problem) = work.run(options, share, observer, &mut done) {
        return Ok(Err(vec![problem]));
    }
    let document = document(project, options, done.cloths);
    // Where something is left over that cannot be bought, what there is of the plan must hold all the same.
    let faults = if done.lacks.is_some() {
        check::faults(&document)
    } else {
        let rules: Vec<_> = rules(project, list).into_iter().filter(|rule| rule.cloth == name).collect();
        check::faults_against(&document, &rules, &project.pieces)
    };
    checked(document, done.notes, faults).map(|planned| Ok(Some(planned)))
}

/// All that the plan of one cloth depends on.
#[derive(PartialEq)]
struct Asked<'a> {
    cloth: &'a Cloth,
    cuts: &'a [CutEntry],
    /// Shape, fold edge and border edges of each cut's piece.
    pieces: Vec<(&'a crate::geometry::Shape, Option<crate::piece::FoldEdge>, Option<&'a crate::piece::Edge>)>,
}

impl<'a> Asked<'a> {
    fn of(project: &'a Project, cuts: &'a [CutEntry], name: &str) -> Option<Self> {
        let piece = |entry: &CutEntry| {
            let piece = project.pieces.get(&entry.piece)?;
            let border = entry.border.as_ref().and_then(|edge| piece.edges.get(edge));
            Some((&piece.shape, piece.fold, border))
        };
        let pieces = cuts.iter().map(piece).collect::<Option<_>>()?;
        Some(Self { cloth: project.cloths.get(name)?, cuts, pieces })
    }
}
