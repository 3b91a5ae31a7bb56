//! The project file: its schema, its choices, and what they resolve to.
//!
//! ```text
//! bytes -> tree (every value with its place) -> choices merged in -> file (typed values) -> Project
//! ```
//!
//! Every step notes what is wrong and goes on, so that one run names every problem.

mod choices;
mod combinations;
mod draft_file;
mod drafts;
mod file;
mod findings;
mod hand;
mod matches;
mod measured;
mod merge;
mod notions;
mod outline;
mod read;
mod resolve;
mod resolved;
mod tree;
mod values;

pub use combinations::{Combination, Combinations, combinations};
pub use notions::{SpacingAsked, spaced};
pub use resolved::{
    BorderAt, Cloth, Cut, Flaw, Grain, HaveLength, Hold, LayKind, Lays, Match, MatchedPoint, Notion, Print, Project,
    Seam, Spacing,
};

use crate::error::{Place, Problem, Problems};
use crate::units::Unit;
use file::ProjectFile;
use findings::{Findings, Lines, Path};
use read::{Read, Reader};
use resolve::Resolver;
use tree::{Node, Value};

/// Reads a project from the bytes of its file.
///
/// `choose` are choices and the values asked for, which go before the file's own `chosen`. The file's name is for
/// messages, and names a project that has no name of its own.
///
/// # Errors
/// Every problem found, in the order of the file, each with its line, column and keys. A file that is no JSON, or is
/// written in another version of the format, has that one problem.
pub fn load(bytes: &[u8], file_name: &str, choose: &[(String, String)]) -> Result<Project, Problems> {
    let alone = |problem| vec![in_file(problem, file_name)];
    let text = tree::text_of(bytes).map_err(alone)?;
    let lines = Lines::of(text);
    let mut findings = Findings::new(&lines);
    let tree = tree::parse(text, &mut findings).map_err(alone)?;
    if let Some(problem) = other_version(&tree, &lines) {
        return Err(alone(problem));
    }
    let (tree, chosen) = choices::apply(tree, choose, &mut findings);
    let mut reader = Reader { unit: unit_of(&tree), findings: &mut findings };
    let file = ProjectFile::read(&tree, &Path::ROOT, &mut reader);
    let mut resolver = Resolver { tree: &tree, findings: &mut findings };
    let project = file.and_then(|file| resolve::resolve(file, stem(file_name), chosen, &mut resolver));
    match project {
        Some(project) if findings.count() == 0 => Ok(project),
        _ => Err(findings.finish(file_name)),
    }
}

/// Gives problems that were found further on their line and column in the file they come from.
///
/// `bytes`, `file_name` and `choose` are those that the project was [`load`]ed from.
pub fn located(problems: Problems, bytes: &[u8], file_name: &str, choose: &[(String, String)]) -> Problems {
    let Ok(text) = tree::text_of(bytes) else { return problems };
    let lines = Lines::of(text);
    let mut findings = Findings::new(&lines);
    let Ok(tree) = tree::parse(text, &mut findings) else { return problems };
    let (tree, _) = choices::apply(tree, choose, &mut findings);
    let locate = |mut problem: Problem| {
        problem.place.line_column = Some(lines.place(tree.nearest(&problem.place.keys).at));
        in_file(problem, file_name)
    };
    problems.into_iter().map(locate).collect()
}

/// The JSON Schema (draft 2020-12) of the project file. It describes the file's structure; names that must exist and
/// shapes that must be sound are checked by [`load`] alone.
pub fn schema() -> serde_json::Value {
    let mut schema = schemars::SchemaGenerator::default().into_root_schema_for::<ProjectFile>();
    let named = ["$schema", "title"].map(|key| (key.to_owned(), schema.remove(key).unwrap_or_default()));
    // What it is comes first, for people who read it.
    let rest = std::mem::take(schema.ensure_object());
    named.into_iter().chain(rest).collect()
}

fn in_file(mut problem: Problem, file_name: &str) -> Problem {
    file_name.clone_into(&mut problem.place.file);
    problem
}

/// A file of another version is not read any further: its keys may mean something else.
fn other_version(tree: &Node, lines: &Lines) -> Option<Problem> {
    let node = tree.get("ellwand")?;
    let Value::Number(version) = node.value else {
        return None; // reported with everything else
    };
    if version == 1.0 {
        return None;
    }
    Some(Problem {
        place: Place { line_column: Some(lines.place(node.at)), keys: "ellwand".to_owned(), ..Place::default() },
        cause: format!(
            "The file is written in version {} of the format; this program reads version 1.",
            read::shown_number(version)
        ),
        hint: "write \"ellwand\": 1, or get a newer program.".to_owned(),
    })
}

/// The document's unit, needed before the lengths are read; centimetres where it is wrong, which is reported.
fn unit_of(tree: &Node) -> Unit {
    let symbol = match tree.get("units").map(|node| &node.value) {
        Some(Value::Text(symbol)) => symbol.as_str(),
        _ => "cm",
    };
    Unit::ALL.into_iter().find(|unit| unit.symbol() == symbol).unwrap_or(Unit::Centimetre)
}

/// The file's name without its folder and ending.
fn stem(file_name: &str) -> &str {
    std::path::Path::new(file_name).file_stem().and_then(|stem| stem.to_str()).unwrap_or("project")
}
