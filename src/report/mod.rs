//! Figures and tables from a plan document, as text.

mod compare;
mod fit;
mod hand;
mod matching;
mod shopping;
mod table;
mod widths;

use crate::layout::{ClothNotes, ClothPlan, Notes, PlanDocument, Ply};
use crate::units::{Mm, Rounding, amounts, both};
pub use compare::{comparison_within, difference, each_choice};
pub use fit::fitting_within;
pub use shopping::shopping_within;
use table::{Side, Table, clean, wrap};
pub use widths::widths_within;

/// How wide a report may be, in columns of a terminal.
pub const WIDTH: usize = 108;

/// All that is reported of a plan: what to buy, how each cloth was laid, what to cut. At most [`WIDTH`] columns.
pub fn summary(document: &PlanDocument, notes: &Notes) -> String {
    summary_within(document, notes, WIDTH)
}

/// The same for a terminal of `width` columns; where a table has no room there is a compact
/// form of it. Nothing is wider than `width`, as long
/// as that is at least 32.
pub fn summary_within(document: &PlanDocument, notes: &Notes, width: usize) -> String {
    let width = width.clamp(32, WIDTH);
    let mut lines = heading(document, width);
    lines.push(String::new());
    lines.extend(to_buy(document, width));
    for answer in &notes.hand {
        lines.push(String::new());
        lines.extend(hand::answer(answer).iter().flat_map(|words| wrap(words, width, 2)));
    }
    for cloth in &document.cloths {
        lines.push(String::new());
        lines.extend(cloth_lines(cloth, notes.of(cloth), width));
    }
    lines.push(String::new());
    lines.extend(cut_list(document, width));
    lines.push(String::new());
    lines.join("\n")
}

fn heading(document: &PlanDocument, width: usize) -> Vec<String> {
    let name = clean(&document.project);
    let mut lines = wrap(if name.is_empty() { "Cutting plan" } else { &name }, width, 0);
    if !document.chosen.is_empty() {
        let chosen: Vec<String> =
            document.chosen.iter().map(|(choice, value)| format!("{}: {}", clean(choice), clean(value))).collect();
        lines.extend(wrap(&format!("Chosen: {}", chosen.join(", ")), width, 2));
    }
    lines
}

/// One row per cloth: what to buy.
fn to_buy(document: &PlanDocument, width: usize) -> Vec<String> {
    let has_cost = document.cloths.iter().any(|cloth| cloth.buy.cost.is_some());
    let mut columns = vec![
        ("cloth", Side::Left),
        ("lay", Side::Left),
        ("length used", Side::Right),
        ("buy", Side::Right),
        ("or", Side::Right),
    ];
    if has_cost {
        columns.push(("cost", Side::Right));
    }
    columns.extend([("share", Side::Right), ("least proved", Side::Right)]);
    let row = |cloth: &ClothPlan| {
        let [metres, yards] = bought(cloth);
        let mut row = vec![clean(&cloth.short_label()), clean(&cloth.lay), measured(cloth.length), metres, yards];
        if has_cost {
            row.push(cost(cloth));
        }
        row.extend([share(cloth.used_share), measured(cloth.least_possible)]);
        row
    };
    let table = Table { columns, rows: document.cloths.iter().map(row).collect() };
    match table.lines(width) {
        Some(mut lines) => {
            lines.extend(wrap(
                "Share: of the cloth that is used. Least proved: no layout of these pieces, on any lay, is shorter.",
                width,
                2,
            ));
            lines
        }
        None => document.cloths.iter().flat_map(|cloth| to_buy_compact(cloth, width)).collect(),
    }
}

fn to_buy_compact(cloth: &ClothPlan, width: usize) -> Vec<String> {
    let [metres, yards] = bought(cloth);
    let label = clean(&cloth.short_label());
    let words = match cloth.in_hand {
        Some(_) => format!("{label}: in hand"),
        None => format!("{label}: buy {metres}, or {yards}"),
    };
    let mut lines = wrap(&words, width, 2);
    if cloth.buy.cost.is_some() {
        lines.extend(wrap(&format!("  cost {}", cost(cloth)), width, 2));
    }
    let used = format!("  {}, uses {}", clean(&cloth.lay), measured(cloth.length));
    lines.extend(wrap(used.trim_start(), width.saturating_sub(2), 0).into_iter().map(|line| format!("  {line}")));
    let shares = format!("{} used, least proved {}", share(cloth.used_share), measured(cloth.least_possible));
    lines.extend(wrap(&shares, width - 2, 0).into_iter().map(|line| format!("  {line}")));
    lines
}

/// What to ask for in the shop: nothing of a length in hand.
fn bought(cloth: &ClothPlan) -> [String; 2] {
    match cloth.in_hand {
        Some(_) => ["in hand".to_owned(), String::new()],
        None => amounts(cloth.buy.length),
    }
}

fn cost(cloth: &ClothPlan) -> String {
    cloth.buy.cost.map_or_else(|| "-".to_owned(), |cost| format!("{cost:.2}"))
}

/// A length on the table.
fn measured(mm: Mm) -> String {
    both(mm, Rounding::Nearest)
}

fn share(share: f64) -> String {
    format!("{:.1} %", share * 100.0)
}

/// The lays tried for a cloth, and what there is to say about it.
fn cloth_lines(cloth: &ClothPlan, notes: Option<&ClothNotes>, width: usize) -> Vec<String> {
    let mut lines = wrap(&format!("{}: lays tried", clean(&cloth.label())), width, 2);
    let is_bought = cloth.in_hand.is_none();
    let row = |tried: &crate::layout::Tried| {
        let taken = if tried.lay == cloth.lay { "taken" } else { "" };
        let [metres, yards] = if is_bought { amounts(tried.buy) } else { Default::default() };
        vec![clean(&tried.lay), measured(tried.length), metres, yards, taken.to_owned()]
    };
    let [buy, or] = if is_bought { ["buy", "or"] } else { ["", ""] };
    let columns =
        vec![("lay", Side::Left), ("length", Side::Right), (buy, Side::Right), (or, Side::Right), ("", Side::Left)];
    let rows: Vec<Vec<String>> = cloth.tried.iter().map(row).collect();
    let tried = Table { columns, rows: rows.clone() }.lines(width - 2).unwrap_or_else(|| {
        let words = rows.iter().map(|row| {
            let taken = if row[4].is_empty() { "" } else { " (taken)" };
            let buy = if is_bought { format!(", buy {} or {}", row[2], row[3]) } else { String::new() };
            format!("{}{taken}: {}{buy}", row[0], row[1])
        });
        words.flat_map(|words| wrap(&words, width - 2, 2)).collect()
    });
    lines.extend(tried.into_iter().map(|line| format!("  {line}")));
    let mut say = |words: String| {
        let words = clean(&words);
        if !words.is_empty() {
            lines.extend(wrap(&words, width - 2, 2).into_iter().map(|line| format!("  {line}")));
        }
    };
    hand::used(cloth).into_iter().for_each(&mut say);
    let matching = matching::sentences(cloth);
    let Some(notes) = notes else {
        matching.into_iter().for_each(say);
        return lines;
    };
    for (lay, reason) in &notes.not_possible {
        say(format!("{lay}: not possible. {reason}"));
    }
    say(notes.why.clone());
    say(notes.stopped.clone());
    matching.into_iter().for_each(&mut say);
    for warning in &notes.warnings {
        say(format!("Warning: {warning}"));
    }
    lines
}

/// What is counted of a cut.
#[derive(Default)]
struct Count {
    piece: String,
    plies: usize,
    mirrored: usize,
    on_fold: usize,
    whole: usize,
}

/// What to cut from every cloth, in the order of the plan.
fn cut_list(document: &PlanDocument, width: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let mut rows = Vec::new();
    for cloth in &document.cloths {
        let mut counts: indexmap::IndexMap<&str, Count> = indexmap::IndexMap::new();
        for ply in &cloth.plies {
            let count = counts.entry(ply.cut.as_str()).or_default();
            ply.piece.clone_into(&mut count.piece);
            count.plies += 1;
            count.mirrored += usize::from(ply.mirrored);
            let on_fold = ply.across_fold && is_folded(cloth, ply);
            count.on_fold += usize::from(on_fold);
            count.whole += usize::from(ply.across_fold && !on_fold);
        }
        for (cut, count) in counts {
            rows.push(vec![
                clean(&cloth.short_label()),
                clean(cut),
                clean(&count.piece),
                count.plies.to_string(),
                count.mirrored.to_string(),
                halves(&count),
            ]);
        }
    }
    lines.push("Cut list".to_owned());
    let columns = vec![
        ("cloth", Side::Left),
        ("cut", Side::Left),
        ("piece", Side::Left),
        ("plies", Side::Right),
        ("mirrored", Side::Right),
        ("half pattern", Side::Left),
    ];
    let table = Table { columns, rows };
    lines.extend(table.lines(width).unwrap_or_else(|| {
        let words = table.rows.iter().map(|row| {
            let fold = if row[5].is_empty() { String::new() } else { format!(", {}", row[5]) };
            format!("[ ] {} ({}): {} from {}, {} mirrored{fold}", row[1], row[2], row[3], row[0], row[4])
        });
        words.flat_map(|words| wrap(&words, width, 4)).collect()
    }));
    lines
}

fn is_folded(cloth: &ClothPlan, ply: &Ply) -> bool {
    cloth.sections.get(ply.section).is_some_and(|section| !section.fold_lines.is_empty())
}

fn halves(count: &Count) -> String {
    match (count.on_fold, count.whole) {
        (0, 0) => String::new(),
        (_, 0) => "on the fold".to_owned(),
        (0, _) => "unfolded, cut whole".to_owned(),
        (fold, whole) => format!("{fold} on the fold, {whole} cut whole"),
    }
}
