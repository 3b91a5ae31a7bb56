//! The shopping list as text.

use super::WIDTH;
use super::table::{Side, Table, clean, wrap};
use crate::layout::{ButtonPlaces, ClothToBuy, NotionToBuy, ShoppingList};
use crate::units::{Mm, Rounding, amount, amounts, both, cloth_width};

/// A shopping list, at most [`WIDTH`] columns. No amount is below what is needed, in either system.
pub fn shopping_within(list: &ShoppingList, width: usize) -> String {
    let width = width.clamp(32, WIDTH);
    let name = clean(&list.project);
    let mut lines = wrap(&format!("To buy: {}", if name.is_empty() { "the garment" } else { &name }), width, 0);
    if !list.chosen.is_empty() {
        let chosen: Vec<String> =
            list.chosen.iter().map(|(choice, value)| format!("{}: {}", clean(choice), clean(value))).collect();
        lines.extend(wrap(&format!("Chosen: {}", chosen.join(", ")), width, 2));
    }
    lines.push(String::new());
    lines.extend(cloths(list, width));
    for cloth in &list.cloths {
        lines.extend(wrap(&format!("{}: {}", clean(&cloth.cloth), how_much(cloth)), width, 2));
    }
    if !list.enough_in_hand.is_empty() {
        let names: Vec<String> = list.enough_in_hand.iter().map(|name| clean(name)).collect();
        lines.extend(wrap(&format!("Enough in hand, nothing to buy: {}.", names.join(", ")), width, 2));
    }
    if !list.notions.is_empty() {
        lines.push(String::new());
        lines.extend(notions(list, width));
        for notion in &list.notions {
            lines.extend(notes(notion).into_iter().flat_map(|words| wrap(&words, width, 2)));
        }
    }
    lines.push(String::new());
    lines.extend(total(list).into_iter().flat_map(|words| wrap(&words, width, 2)));
    lines.extend(wrap(
        "Measure the cloth in the shop: where it is narrower than counted on here, plan again (`ellwand widths`). Follow the \
         care label first; wash a scrap where you are not sure.",
        width,
        2,
    ));
    lines.push(String::new());
    lines.join("\n")
}

fn cloths(list: &ShoppingList, width: usize) -> Vec<String> {
    let has_cost = list.cloths.iter().any(|cloth| cloth.buy.cost.is_some());
    let mut columns = vec![
        ("cloth", Side::Left),
        ("what", Side::Left),
        ("width", Side::Right),
        ("nap", Side::Left),
        ("buy", Side::Right),
        ("or", Side::Right),
    ];
    if has_cost {
        columns.push(("cost", Side::Right));
    }
    let row = |cloth: &ClothToBuy| {
        let [metres, yards] = amounts(cloth.buy.length);
        let nap = if cloth.nap { "with" } else { "without" };
        let mut row =
            vec![clean(&cloth.cloth), clean(&cloth.name), cloth_width(cloth.width), nap.to_owned(), metres, yards];
        if has_cost {
            row.push(money(cloth.buy.cost));
        }
        row
    };
    let table = Table { columns, rows: list.cloths.iter().map(row).collect() };
    table.lines(width).unwrap_or_else(|| {
        let words = |cloth: &ClothToBuy| {
            let cost = cloth.buy.cost.map_or_else(String::new, |cost| format!(", {cost:.2}"));
            let nap = if cloth.nap { "with nap" } else { "without nap" };
            let what = (clean(&cloth.name), cloth_width(cloth.width));
            format!(
                "[ ] {}: {} of {}, {} wide, {nap}{cost}",
                clean(&cloth.cloth),
                amount(cloth.buy.length),
                what.0,
                what.1
            )
        };
        list.cloths.iter().flat_map(|cloth| wrap(&words(cloth), width, 4)).collect()
    })
}

fn money(cost: Option<f64>) -> String {
    cost.map_or_else(|| "-".to_owned(), |cost| format!("{cost:.2}"))
}

/// Where the amount comes from, and whether to wash.
fn how_much(cloth: &ClothToBuy) -> String {
    let mut parts = vec![format!("{} on the table", measured(cloth.length))];
    for (length, what) in [(cloth.ends, "for the ends"), (cloth.spare, "to spare")] {
        if length > 0.0 {
            parts.push(format!("{} {what}", measured(length)));
        }
    }
    let (along, across) = (cloth.shrinkage_length * 100.0, cloth.shrinkage_width * 100.0);
    let wash = if along > 0.0 || across > 0.0 {
        let (along, across) = (per_cent(along), per_cent(across));
        format!("wash before cutting, {along} % of the length and {across} % of the width are counted as lost")
    } else {
        "no shrinkage is counted: where it can shrink, say so in the project".to_owned()
    };
    format!("{}; {} before washing; {wash}.", parts.join(" and "), both(cloth.need, Rounding::Up))
}

fn per_cent(share: f64) -> String {
    format!("{}", (share * 100.0).round() / 100.0)
}

fn measured(mm: Mm) -> String {
    both(mm, Rounding::Nearest)
}

fn notions(list: &ShoppingList, width: usize) -> Vec<String> {
    let has_cost = list.notions.iter().any(|notion| notion.cost.is_some());
    let mut columns = vec![("notion", Side::Left), ("what", Side::Left), ("buy", Side::Right), ("each", Side::Left)];
    if has_cost {
        columns.push(("cost", Side::Right));
    }
    let each = |notion: &NotionToBuy| notion.length.map_or_else(String::new, measured);
    let row = |notion: &NotionToBuy| {
        let mut row = vec![clean(&notion.notion), clean(&notion.name), notion.buy.to_string(), each(notion)];
        if has_cost {
            row.push(money(notion.cost));
        }
        row
    };
    let table = Table { columns, rows: list.notions.iter().map(row).collect() };
    table.lines(width).unwrap_or_else(|| {
        let words = |notion: &NotionToBuy| {
            let cost = notion.cost.map_or_else(String::new, |cost| format!(", {cost:.2}"));
            let each = notion.length.map_or_else(String::new, |length| format!(", each {}", measured(length)));
            format!("[ ] {}: {} of {}{each}{cost}", clean(&notion.notion), notion.buy, clean(&notion.name))
        };
        list.notions.iter().flat_map(|notion| wrap(&words(notion), width, 4)).collect()
    })
}

/// What there is to say about a notion: how many are in case, buttonholes, where buttons go.
fn notes(notion: &NotionToBuy) -> Vec<String> {
    let name = clean(&notion.notion);
    let mut notes = Vec::new();
    if notion.spare > 0 {
        notes.push(format!("{name}: {} needed, {} in case.", notion.buy - notion.spare, notion.spare));
    }
    if let Some(places) = &notion.places {
        notes.push(format!("{name}: {}", where_they_go(places)));
    }
    if let Some(buttonhole) = notion.buttonhole {
        notes.push(format!(
            "{name}: buttonholes {} long; try one on a scrap with the button itself.",
            measured(buttonhole)
        ));
    }
    notes
}

fn where_they_go(places: &ButtonPlaces) -> String {
    let all: Vec<String> = places.from_upper_end.iter().map(|place| measured(*place)).collect();
    format!(
        "from the upper end of the opening, which is {} long: {}. Number {} is the fixed one; the gaps are all {}.",
        measured(places.opening),
        all.join(", "),
        places.fixed,
        measured(places.gap)
    )
}

fn total(list: &ShoppingList) -> Option<String> {
    let cost = list.cost?;
    if list.without_price.is_empty() {
        return Some(format!("All together: {cost:.2}."));
    }
    let without: Vec<String> = list.without_price.iter().map(|name| clean(name)).collect();
    Some(format!("All that has a price: {cost:.2}; no price is given for {}.", without.join(", ")))
}
