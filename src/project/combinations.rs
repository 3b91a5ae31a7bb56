//! Every garment that a project can be: its choices in all combinations.

use indexmap::IndexMap;
use rayon::prelude::*;

use super::findings::{Findings, Lines, shortened};
use super::read::listed;
use super::tree::{self, Node};
use super::{Project, choices, load};
use crate::error::{Problem, Problems};

/// Combinations that are still worth planning one by one.
const MOST: usize = 200;

/// One garment that a project can be.
#[derive(Debug, Clone)]
pub struct Combination {
    /// What is chosen for each choice.
    pub chosen: IndexMap<String, String>,
    /// The project with these choices, or why it cannot be.
    pub project: Result<Project, Problems>,
}

/// The combinations of a project's choices.
#[derive(Debug, Clone)]
pub struct Combinations {
    /// The choices that vary.
    pub by: Vec<String>,
    /// Every combination, in the order of the file.
    pub all: Vec<Combination>,
    /// Which of them is the chosen one.
    pub chosen: usize,
}

/// Reads a project once for every combination of the choices named in `by`, the others as chosen. Without names all choices
/// vary but those that `choose` decides.
///
/// # Errors
/// Whatever is wrong with the project as chosen; choices that it does not have; more combinations than anyone would compare.
pub fn combinations(
    bytes: &[u8],
    file_name: &str,
    choose: &[(String, String)],
    by: &[String],
) -> Result<Combinations, Problems> {
    let project = load(bytes, file_name, choose)?;
    let values = values(bytes);
    let by: Vec<String> = if by.is_empty() {
        values.keys().filter(|choice| !choose.iter().any(|(decided, _)| decided == *choice)).cloned().collect()
    } else {
        named(by, &values)?
    };
    let count = by.iter().try_fold(1_usize, |count, choice| count.checked_mul(values.get(choice)?.len()));
    if by.is_empty() || count.is_none_or(|count| count > MOST) {
        return Err(vec![not_comparable(by.is_empty(), &values)]);
    }
    let mut all = vec![project.chosen.clone()];
    for choice in &by {
        let with = |chosen: &IndexMap<String, String>| -> Vec<IndexMap<String, String>> {
            let with = |value: &String| {
                let mut chosen = chosen.clone();
                chosen.insert(choice.clone(), value.clone());
                chosen
            };
            values.get(choice).into_iter().flatten().map(with).collect()
        };
        all = all.iter().flat_map(with).collect();
    }
    let chosen = all.iter().position(|other| *other == project.chosen).unwrap_or_default();
    let loaded = |chosen: IndexMap<String, String>| {
        let choose: Vec<(String, String)> = chosen.clone().into_iter().collect();
        Combination { chosen, project: load(bytes, file_name, &choose) }
    };
    Ok(Combinations { by, all: all.into_par_iter().map(loaded).collect(), chosen })
}

/// The values of every choice.
fn values(bytes: &[u8]) -> IndexMap<String, Vec<String>> {
    let Ok(text) = tree::text_of(bytes) else { return IndexMap::new() };
    let lines = Lines::of(text);
    let Ok(tree) = tree::parse(text, &mut Findings::new(&lines)) else { return IndexMap::new() };
    let choices = tree.get("choices").and_then(Node::object);
    let values = |(choice, values): (&String, &Node)| {
        let values = values.object().into_iter().flat_map(IndexMap::keys).cloned();
        (choice.clone(), values.collect())
    };
    choices.into_iter().flatten().map(values).collect()
}

/// The choices asked for, each once, in the order of the file.
fn named(by: &[String], values: &IndexMap<String, Vec<String>>) -> Result<Vec<String>, Problems> {
    let unknown: Problems = by
        .iter()
        .filter(|name| !values.contains_key(*name))
        .map(|name| {
            let (cause, hint) = choices::no_choice(name, values.keys());
            Problem::at(format!("--by {}", shortened(name)), cause, hint)
        })
        .collect();
    if !unknown.is_empty() {
        return Err(unknown);
    }
    Ok(values.keys().filter(|choice| by.contains(choice)).cloned().collect())
}

fn not_comparable(nothing_varies: bool, values: &IndexMap<String, Vec<String>>) -> Problem {
    let names = listed(values.keys().map(String::as_str));
    match names {
        None => Problem::at(
            "choices",
            "The project has no choices, so there is nothing to compare.",
            "add \"choices\" to it: decisions such as \"lined\" or \"unlined\", each with what it changes",
        ),
        Some(names) if nothing_varies => Problem::at(
            "choices",
            "Every choice is decided, so there is nothing to compare.",
            format!("name what is to vary with --by; the choices are {names}"),
        ),
        Some(names) => Problem::at(
            "choices",
            format!("The choices have more than {MOST} combinations."),
            format!("name those to compare with --by; the choices are {names}"),
        ),
    }
}
