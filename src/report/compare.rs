//! Choices beside each other, in words and in a table.

use super::WIDTH;
use super::table::{Side, Table, clean, wrap};
use crate::layout::{Combination, Comparison, Taken};
use crate::units::{Mm, Rounding, amount, amounts, both};

/// Lengths on the table that differ by less than this are called the same, in mm.
const SAME: Mm = 1.0;

/// How one combination differs from another: "+10.0 cm (4 in) contrast; cost +1.75". Amounts are those bought; where these
/// are the same but the length used is not, that is told.
pub fn difference(comparison: &Comparison, from: &Combination, to: &Combination) -> String {
    let mut parts = Vec::new();
    for cloth in comparison.cloths.keys() {
        let part = match (from.cloths.get(cloth), to.cloths.get(cloth)) {
            (None, None) => None,
            (None, Some(taken)) => Some(format!("+{} {cloth}, which it did not need", amount(taken.buy.length))),
            (Some(taken), None) => Some(format!("no {cloth}: -{}", amount(taken.buy.length))),
            (Some(from), Some(to)) => changed(cloth, from, to),
        };
        parts.extend(part);
    }
    if let (Some(from), Some(to)) = (from.cost, to.cost)
        && from != to
    {
        parts.push(format!("cost {}", signed(to - from)));
    }
    if parts.is_empty() { "the same of every cloth".to_owned() } else { parts.join("; ") }
}

fn changed(cloth: &str, from: &Taken, to: &Taken) -> Option<String> {
    let bought = to.buy.length - from.buy.length;
    let used = to.length - from.length;
    if bought.abs() >= SAME {
        let sign = if bought > 0.0 { "+" } else { "-" };
        return Some(format!("{sign}{} {cloth}", both(bought.abs(), Rounding::Nearest)));
    }
    (used.abs() >= SAME).then(|| {
        let more = if used > 0.0 { "more" } else { "less" };
        format!("as much {cloth} to buy, {} {more} of it used", both(used.abs(), Rounding::Nearest))
    })
}

/// An amount of money with its sign.
fn signed(money: f64) -> String {
    format!("{}{:.2}", if money < 0.0 { "-" } else { "+" }, money.abs())
}

/// All that is reported of a comparison, at most [`WIDTH`] columns: what each choice costs in words, then every combination.
pub fn comparison_within(comparison: &Comparison, width: usize) -> String {
    let width = width.clamp(32, WIDTH);
    let name = clean(&comparison.project);
    let mut lines = wrap(if name.is_empty() { "Choices compared" } else { &name }, width, 0);
    lines.extend(wrap(&format!("Chosen: {}", in_words(&comparison.chosen, None)), width, 2));
    let sentences = each_choice(comparison);
    if !sentences.is_empty() {
        lines.extend([String::new(), "What each choice takes, the rest as chosen".to_owned()]);
    }
    for words in sentences {
        lines.extend(wrap(&words, width - 2, 2).into_iter().map(|line| format!("  {line}")));
    }
    lines.push(String::new());
    lines.extend(table(comparison, width));
    let mut said = |words: String| lines.extend(wrap(&words, width, 2));
    for row in &comparison.combinations {
        if let Some(reason) = &row.not_possible {
            said(format!("Not possible: {}. {}", in_words(&row.chosen, None), clean(reason)));
        }
    }
    if let Some(least) = least_cost(comparison) {
        said(least);
    }
    let names: Vec<String> =
        comparison.cloths.iter().map(|(key, name)| format!("{}: {}", clean(key), clean(name))).collect();
    said(format!("Amounts are those to buy. {}.", names.join("; ")));
    said(how_searched(comparison));
    lines.push(String::new());
    lines.join("\n")
}

/// "band: double, depth: 5 cm", or only those that differ from another combination.
fn in_words(chosen: &indexmap::IndexMap<String, String>, other: Option<&Combination>) -> String {
    let differs = |(choice, value): &(&String, &String)| other.is_none_or(|o| o.chosen.get(*choice) != Some(*value));
    let words: Vec<String> =
        chosen.iter().filter(differs).map(|(choice, value)| format!("{}: {}", clean(choice), clean(value))).collect();
    words.join(", ")
}

/// What every choice costs by itself, a sentence each: the chosen value against each other one, the rest as chosen.
pub fn each_choice(comparison: &Comparison) -> Vec<String> {
    let Some(chosen) = comparison.chosen_one() else { return Vec::new() };
    let mut sentences = Vec::new();
    for choice in &comparison.by {
        let Some(value) = comparison.chosen.get(choice) else { continue };
        let alone = |row: &&Combination| {
            row.not_possible.is_none()
                && row
                    .chosen
                    .iter()
                    .all(|(name, value)| (comparison.chosen.get(name) == Some(value)) == (name != choice))
        };
        for row in comparison.combinations.iter().filter(alone) {
            let other = row.chosen.get(choice).map_or("", String::as_str);
            sentences.push(format!(
                "{}: {}, not {}: {}",
                clean(choice),
                clean(value),
                clean(other),
                difference(comparison, row, chosen)
            ));
        }
    }
    sentences
}

/// Two lines for every combination: metric above, yards below.
fn table(comparison: &Comparison, width: usize) -> Vec<String> {
    let has_cost = comparison.combinations.iter().any(|row| row.cost.is_some());
    let headings: Vec<String> = comparison.by.iter().chain(comparison.cloths.keys()).map(|name| clean(name)).collect();
    let mut columns: Vec<(&str, Side)> = headings
        .iter()
        .enumerate()
        .map(|(place, name)| (name.as_str(), if place < comparison.by.len() { Side::Left } else { Side::Right }))
        .collect();
    if has_cost {
        columns.push(("cost", Side::Right));
    }
    columns.push(("", Side::Left));
    let rows = comparison.combinations.iter().flat_map(|row| rows(comparison, row, has_cost)).collect();
    let table = Table { columns, rows };
    if table.fits(width)
        && let Some(lines) = table.lines(width)
    {
        return lines;
    }
    comparison.combinations.iter().flat_map(|row| compact(comparison, row, width)).collect()
}

fn rows(comparison: &Comparison, row: &Combination, has_cost: bool) -> [Vec<String>; 2] {
    let value = |choice: &String| row.chosen.get(choice).map_or_else(String::new, |value| clean(value));
    let mut above: Vec<String> = comparison.by.iter().map(value).collect();
    let mut below = vec![String::new(); above.len()];
    for cloth in comparison.cloths.keys() {
        let [metres, yards] = match row.cloths.get(cloth) {
            Some(taken) => amounts(taken.buy.length),
            None => ["-".to_owned(), String::new()],
        };
        above.push(metres);
        below.push(yards);
    }
    let is_chosen = row.chosen == comparison.chosen;
    if has_cost {
        above.push(row.cost.map_or_else(|| "-".to_owned(), |cost| format!("{cost:.2}")));
        let chosen = comparison.chosen_one().and_then(|chosen| chosen.cost);
        let more = row.cost.zip(chosen).filter(|_| !is_chosen).map(|(cost, chosen)| signed(cost - chosen));
        below.push(more.unwrap_or_default());
    }
    let mark = match (is_chosen, row.not_possible.is_some()) {
        (true, _) => "chosen",
        (false, true) => "not possible",
        (false, false) => "",
    };
    above.push(mark.to_owned());
    below.push(String::new());
    [above, below]
}

fn compact(comparison: &Comparison, row: &Combination, width: usize) -> Vec<String> {
    let is_chosen = row.chosen == comparison.chosen;
    let mut lines =
        wrap(&format!("{}{}", in_words(&row.chosen, None), if is_chosen { " (chosen)" } else { "" }), width, 2);
    let taken: Vec<String> =
        row.cloths.iter().map(|(cloth, taken)| format!("{} {}", clean(cloth), amount(taken.buy.length))).collect();
    let cost = row.cost.map_or_else(String::new, |cost| format!("; cost {cost:.2}"));
    let words =
        if row.not_possible.is_some() { "not possible".to_owned() } else { format!("{}{cost}", taken.join(", ")) };
    lines.extend(wrap(&words, width - 2, 2).into_iter().map(|line| format!("  {line}")));
    if !is_chosen && row.not_possible.is_none() {
        let words = clean(&row.in_words);
        lines.extend(wrap(&words, width - 2, 2).into_iter().map(|line| format!("  {line}")));
    }
    lines
}

fn least_cost(comparison: &Comparison) -> Option<String> {
    let priced = comparison.combinations.iter().filter_map(|row| Some((row, row.cost?)));
    let (row, cost) = priced.min_by(|a, b| a.1.total_cmp(&b.1))?;
    let chosen = comparison.chosen_one()?;
    if chosen.cost.is_none_or(|own| own <= cost) {
        return Some(format!("Least cost: the chosen one, {cost:.2}."));
    }
    let words = in_words(&row.chosen, Some(chosen));
    Some(format!("Least cost: {cost:.2} with {words}: {}.", difference(comparison, chosen, row)))
}

fn how_searched(comparison: &Comparison) -> String {
    let effort = clean(&comparison.effort);
    if comparison.share_of_others >= 1.0 {
        return format!("Every cloth was searched with all the work of the effort \"{effort}\".");
    }
    format!(
        "The chosen one is as `ellwand plan` has it at the effort \"{effort}\". Cloths that it does not have were searched with \
         {:.0} % of that work: planning such a combination by itself may still save a step.",
        comparison.share_of_others * 100.0
    )
}
