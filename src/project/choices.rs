//! Choices: which value is taken for each, and the document they make.

use indexmap::IndexMap;

use super::file::Patch;
use super::findings::{Findings, Path, shortened};
use super::merge::merge;
use super::read::{Named, listed, name_hint};
use super::tree::{Node, Value};
use super::values::Text;
use crate::error::Problem;

/// The document as changed by the chosen values, in the order of the file's choices, and what was chosen.
///
/// Choices of the wrong kind are passed over here: reading the document reports them.
pub(super) fn apply(
    tree: Node,
    choose: &[(String, String)],
    findings: &mut Findings,
) -> (Node, IndexMap<String, String>) {
    let no_choices = IndexMap::new();
    let choices = tree.get("choices").and_then(Node::object).unwrap_or(&no_choices);
    check_asked(choices, choose, findings);
    let mut chosen = IndexMap::new();
    let mut patches = Vec::new();
    for (choice, values) in choices {
        let Some(values) = values.object() else { continue };
        let Some(value) = chosen_value(&tree, choice, choose) else {
            findings.report(
                &Path::ROOT.key("choices").key(choice),
                tree.nearest("choices").at,
                format!("Nothing is chosen for \"{}\".", shortened(choice)),
                format!(
                    "add it to \"chosen\", or ask for it with --choose \"{}=VALUE\"; its values are {}.",
                    shortened(choice),
                    listed(values.keys().map(String::as_str)).unwrap_or_default()
                ),
            );
            continue;
        };
        if let Some(patch) = values.get(&value)
            && patch.object().is_some()
        {
            patches.push(patch.clone());
        }
        chosen.insert(choice.clone(), value);
    }
    let merged = patches.iter().fold(tree, |document, patch| merge(Some(document), patch));
    (merged, chosen)
}

/// What is asked for, else the file's default.
fn chosen_value(tree: &Node, choice: &str, choose: &[(String, String)]) -> Option<String> {
    let asked = choose.iter().rev().find(|(name, _)| name == choice);
    if let Some((_, value)) = asked {
        return Some(value.clone());
    }
    match &tree.get("chosen")?.get(choice)?.value {
        Value::Text(value) => Some(value.clone()),
        // Not a text: reading the document reports it, and nothing more is to be said here.
        _ => Some(String::new()),
    }
}

/// What was asked for from outside the file.
fn check_asked(choices: &IndexMap<String, Node>, choose: &[(String, String)], findings: &mut Findings) {
    for (number, (choice, value)) in choose.iter().enumerate() {
        let place = format!("--choose {}={}", shortened(choice), shortened(value));
        let earlier = choose.iter().take(number);
        if let Some((_, other)) = earlier.rev().find(|(name, _)| name == choice)
            && other != value
        {
            findings.add(Problem::at(
                place,
                format!(
                    "\"{}\" is chosen twice: \"{}\" and \"{}\".",
                    shortened(choice),
                    shortened(other),
                    shortened(value)
                ),
                "choose one of them.",
            ));
        } else {
            let fault = match choices.get(choice).map(Node::object) {
                None => no_choice(choice, choices.keys()),
                Some(Some(values)) if !values.contains_key(value) => no_value(choice, value, values.keys()),
                Some(_) => continue,
            };
            findings.add(Problem::at(place, fault.0, fault.1));
        }
    }
}

/// Holds the file's own defaults against its choices.
pub(super) fn check_defaults(
    choices: Option<&Named<Named<Patch>>>,
    chosen: Option<&Named<Text>>,
    tree: &Node,
    findings: &mut Findings,
) {
    let none = Named(IndexMap::new());
    let Named(choices) = choices.unwrap_or(&none);
    let Some(Named(chosen)) = chosen else { return };
    for (choice, value) in chosen {
        let Some(Text(value)) = value else { continue };
        let values = choices.get(choice).map(Option::as_ref);
        let fault = match values {
            None => no_choice(choice, choices.keys()),
            Some(Some(Named(values))) if !values.contains_key(value) => no_value(choice, value, values.keys()),
            Some(_) => continue,
        };
        let at = tree.get("chosen").and_then(|chosen| chosen.get(choice)).map_or(0, |node| node.at);
        findings.report(&Path::ROOT.key("chosen").key(choice), at, fault.0, fault.1);
    }
}

/// Cause and hint for a choice that is not there.
pub(super) fn no_choice<'k>(choice: &str, known: impl Iterator<Item = &'k String> + Clone) -> (String, String) {
    let cause = format!("The project has no choice named \"{}\".", shortened(choice));
    (cause, name_hint(choice, known.map(String::as_str)))
}

/// Cause and hint for a value that a choice does not have.
fn no_value<'k>(choice: &str, value: &str, known: impl Iterator<Item = &'k String> + Clone) -> (String, String) {
    let cause = format!("The choice \"{}\" has no value \"{}\".", shortened(choice), shortened(value));
    (cause, name_hint(value, known.map(String::as_str)))
}
