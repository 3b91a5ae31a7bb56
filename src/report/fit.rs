//! Whether cloth in hand does, by choice, in words.

use indexmap::IndexMap;

use super::WIDTH;
use super::hand::{extra, left_over, lengths, remains};
use super::table::{clean, wrap};
use crate::layout::{Fits, Fitting, InStock, Used};
use crate::units::{Rounding, both, cloth_width};

/// All that is reported of cloth in hand, at most [`WIDTH`] columns: what there is, then every outcome with the combinations
/// of choices that have it, those that fit first.
pub fn fitting_within(fitting: &Fitting, width: usize) -> String {
    let width = width.clamp(32, WIDTH);
    let mut lines = wrap(&format!("{}: {} in hand", clean(&fitting.project), clean(&fitting.cloth)), width, 0);
    for have in &fitting.have {
        lines.extend(indented(&in_stock(have), width, 2));
    }
    let rows = &fitting.combinations;
    if rows.len() > 1 {
        let fitting = rows.iter().filter(|row| row.fits).count();
        lines.push(String::new());
        lines.extend(wrap(&format!("It does for {fitting} of {} combinations of choices.", rows.len()), width, 0));
    }
    let mut outcomes: Vec<(&Fits, Vec<&IndexMap<String, String>>)> = Vec::new();
    for row in rows {
        match outcomes.iter_mut().find(|(other, _)| same(other, row)) {
            Some((_, chosen)) => chosen.push(&row.chosen),
            None => outcomes.push((row, vec![&row.chosen])),
        }
    }
    outcomes.sort_by_key(|(row, _)| (!row.fits, row.not_possible.is_some()));
    for (row, chosen) in outcomes {
        lines.push(String::new());
        if chosen.iter().any(|chosen| !chosen.is_empty()) {
            for chosen in chosen {
                lines.extend(wrap(&in_words(chosen, &fitting.by), width, 2));
            }
        }
        for words in outcome(row) {
            lines.extend(indented(&words, width, 4));
        }
    }
    lines.push(String::new());
    lines.join("\n")
}

fn same(a: &Fits, b: &Fits) -> bool {
    let plain = |row: &Fits| Fits { chosen: IndexMap::new(), ..row.clone() };
    plain(a) == plain(b)
}

fn in_stock(have: &InStock) -> String {
    let name = have.name.as_ref().map_or_else(String::new, |name| format!(" ({})", clean(name)));
    let flaws = match have.flaws {
        0 => String::new(),
        1 => ", one flaw".to_owned(),
        count => format!(", {count} flaws"),
    };
    let length = both(have.length, Rounding::Nearest);
    format!("length {}{name}: {length} long, {} wide{flaws}", have.number, cloth_width(have.width))
}

/// The values of the choices that vary; of all where none does.
fn in_words(chosen: &IndexMap<String, String>, by: &[String]) -> String {
    let varies = |choice: &String| by.is_empty() || by.contains(choice);
    let words = chosen.iter().filter(|(choice, _)| varies(choice));
    words.map(|(choice, value)| format!("{}: {}", clean(choice), clean(value))).collect::<Vec<_>>().join(", ")
}

/// What comes out for some combinations.
fn outcome(row: &Fits) -> Vec<String> {
    if let Some(reason) = &row.not_possible {
        return vec![format!("not possible. {}", clean(reason))];
    }
    if row.fits && row.used.is_empty() {
        return vec!["nothing is cut from this cloth".to_owned()];
    }
    let mut lines = Vec::new();
    if row.fits {
        let kept = lengths(&row.kept);
        lines.push(if kept.is_empty() { "fits".to_owned() } else { format!("fits; kept whole: {kept}") });
    } else {
        let besides = row.extra.as_ref().map_or_else(String::new, |more| format!("; {}", extra(more)));
        lines.push(format!("does not fit{besides}"));
        lines.push(format!("if no more can be had, left over: {}", left_over(&row.left_over)));
    }
    lines.extend(row.used.iter().map(used));
    lines
}

fn used(used: &Used) -> String {
    let nearest = |mm| both(mm, Rounding::Nearest);
    format!(
        "length {}, {}: {} used of {}; {}",
        used.number,
        clean(&used.lay),
        nearest(used.length),
        nearest(used.of),
        remains(&used.remains)
    )
}

fn indented(words: &str, width: usize, by: usize) -> Vec<String> {
    let lines = wrap(words, width - by, 2);
    lines.into_iter().map(|line| format!("{:by$}{line}", "")).collect()
}
