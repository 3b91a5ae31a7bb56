//! One cloth at several widths, as a table.

use super::WIDTH;
use super::table::{Side, Table, clean, wrap};
use crate::layout::{Taken, WidthRow, WidthTable};
use crate::units::{amount, amounts, cloth_width};

/// All that is reported of a width table, at most [`WIDTH`] columns.
pub fn widths_within(table: &WidthTable, width: usize) -> String {
    let width = width.clamp(32, WIDTH);
    let mut lines =
        wrap(&format!("{}: {} ({})", clean(&table.project), clean(&table.cloth), clean(&table.name)), width, 2);
    if !table.chosen.is_empty() {
        let chosen: Vec<String> =
            table.chosen.iter().map(|(choice, value)| format!("{}: {}", clean(choice), clean(value))).collect();
        lines.extend(wrap(&format!("Chosen: {}", chosen.join(", ")), width, 2));
    }
    lines.push(String::new());
    lines.extend(rows(table, width));
    let mut said = |words: String| lines.extend(wrap(&words, width, 2));
    for row in &table.rows {
        if let Some(reason) = &row.not_possible {
            let which = match (&row.with_nap, &row.without_nap) {
                (None, None) => "",
                (None, _) => " with nap",
                _ => " without nap",
            };
            said(format!("{}{which}: not possible. {}", cloth_width(row.width), clean(reason)));
        }
    }
    if let Some(words) = cheapest(table) {
        said(words);
    }
    let nap = if table.nap { "with nap" } else { "without nap" };
    said(format!(
        "Amounts are those to buy; in the project the cloth is {}, {nap}. Selvedges, shrinkage, ends and the shop's step are as \
         there for every width.",
        cloth_width(table.width)
    ));
    if table.share_of_others < 1.0 {
        said(format!(
            "That row is as `ellwand plan` has it at the effort \"{}\"; the others were searched with {:.0} % of that work.",
            clean(&table.effort),
            table.share_of_others * 100.0
        ));
    }
    lines.push(String::new());
    lines.join("\n")
}

fn rows(table: &WidthTable, width: usize) -> Vec<String> {
    let has_cost = table.rows.iter().any(|row| table.own(row).is_some_and(|taken| taken.buy.cost.is_some()));
    let mut columns = vec![
        ("width", Side::Right),
        ("with nap", Side::Right),
        ("or", Side::Right),
        ("without nap", Side::Right),
        ("or", Side::Right),
    ];
    if has_cost {
        columns.push(("cost", Side::Right));
    }
    columns.push(("", Side::Left));
    let cells = |row: &WidthRow| {
        let mut cells = vec![cloth_width(row.width)];
        cells.extend(both(row.with_nap.as_ref()));
        cells.extend(both(row.without_nap.as_ref()));
        if has_cost {
            cells.push(cost(table.own(row)));
        }
        cells.push(if row.width == table.width { "the project's" } else { "" }.to_owned());
        cells
    };
    let grid = Table { columns, rows: table.rows.iter().map(cells).collect() };
    if let Some(lines) = grid.lines(width) {
        return lines;
    }
    let words = |row: &WidthRow| {
        let one = |what: &str, taken: Option<&Taken>| {
            format!("{what} {}", taken.map_or_else(|| "not possible".to_owned(), |taken| amount(taken.buy.length)))
        };
        let cost = if has_cost { format!("; cost {}", cost(table.own(row))) } else { String::new() };
        let (with, without) = (one("with nap", row.with_nap.as_ref()), one("without", row.without_nap.as_ref()));
        format!("{}: {with}, {without}{cost}", cloth_width(row.width))
    };
    table.rows.iter().flat_map(|row| wrap(&words(row), width, 2)).collect()
}

fn both(taken: Option<&Taken>) -> [String; 2] {
    taken.map_or_else(|| ["-".to_owned(), String::new()], |taken| amounts(taken.buy.length))
}

fn cost(taken: Option<&Taken>) -> String {
    taken.and_then(|taken| taken.buy.cost).map_or_else(|| "-".to_owned(), |cost| format!("{cost:.2}"))
}

fn cheapest(table: &WidthTable) -> Option<String> {
    let row = table.cheapest()?;
    let taken = table.own(row)?;
    let prices = table.rows.iter().filter_map(|row| row.price_per_metre);
    let one_price = prices.clone().all(|price| Some(price) == table.rows.first().and_then(|row| row.price_per_metre));
    let at = if one_price {
        "with every width at the same price a metre, though wider cloth often costs more".to_owned()
    } else {
        format!("at {:.2} a metre", row.price_per_metre.unwrap_or_default())
    };
    Some(format!(
        "Least cost: {} of {}, {}, {at}.",
        amount(taken.buy.length),
        cloth_width(row.width),
        cost(Some(taken))
    ))
}
