//! What to do with the cloth at the table, section by section in the order of work.

use super::lie::Lie;
use super::table::{Strip, Table};
use super::text::clean;
use crate::units::{Rounding, both};

/// How every section is laid, in order.
pub(super) fn steps(table: &Table) -> Vec<String> {
    let many = table.strips.len() > 1;
    let step = |(i, strip): (usize, &Strip)| {
        let how = how(strip, i == 0);
        if !many {
            return how;
        }
        let [from, to] = strip.cloth;
        let start = if i == 0 { "the beginning".to_owned() } else { length(from) };
        let then = if i == 0 { "" } else { "when the section before is cut, " };
        format!("Section {}, from {start} to {} of the cloth: {then}{how}", strip.number, length(to))
    };
    table.strips.iter().enumerate().map(step).map(|text| capital(&text)).collect()
}

fn length(mm: f64) -> String {
    both(mm, Rounding::Nearest)
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn how(strip: &Strip, is_first: bool) -> String {
    let [from, to] = strip.cloth;
    match &strip.lie {
        Lie::Open if is_first => "lay the cloth out single, right side up.".to_owned(),
        Lie::Open => "lay the cloth single, right side up.".to_owned(),
        Lie::Lengthwise { .. } => {
            "fold the cloth along its middle, right sides together, selvedge upon selvedge; the fold lies at the top."
                .to_owned()
        }
        Lie::Partial { depth } => format!(
            "fold the lower selvedge in by {}, right sides together: the fold lies at the bottom; the rest stays single, right \
             side up.",
            length(*depth)
        ),
        Lie::Double { first, second } => double_fold(*first, *second, strip.height),
        Lie::Crosswise { at } if is_first => format!(
            "fold the cloth across at {}, right sides together: its beginning comes over to {}; the fold lies at the left.",
            length(*at),
            length(to)
        ),
        Lie::Crosswise { at } => format!(
            "cut the cloth off at {}, fold it across at {}, right sides together; the fold lies at the left.",
            length(from),
            length(*at)
        ),
        Lie::Turned { cut } => format!(
            "cut the cloth across at {} and at {}; turn the second length over side to side, so that its nap still runs as before, and \
             lay it on the first, right sides together.",
            length(*cut),
            length(to)
        ),
        Lie::Other { kind, .. } => {
            format!("the cloth is drawn flat here; fold it ({}) at the broken lines.", clean(kind))
        }
    }
}

fn double_fold(first: f64, second: f64, height: f64) -> String {
    let between = if height - first - second > 1.0 {
        "between them the cloth stays single, right side up"
    } else {
        "the selvedges meet"
    };
    if (first - second).abs() < 0.5 {
        format!("fold both selvedges in by {}, right sides together; {between}.", length(first))
    } else {
        format!(
            "fold the lower selvedge in by {} and the upper one by {}, right sides together; {between}.",
            length(first),
            length(second)
        )
    }
}

/// What to do with the cloth where one strip ends and another begins, in few words.
pub(super) fn change(strip: &Strip) -> String {
    match &strip.lie {
        Lie::Open => "From here: open the cloth out, single layer, right side up.".to_owned(),
        Lie::Lengthwise { .. } => "From here: fold the cloth along its length, right sides together.".to_owned(),
        Lie::Partial { .. } => "From here: fold one selvedge in, right sides together.".to_owned(),
        Lie::Double { .. } => "From here: fold both selvedges in, right sides together.".to_owned(),
        Lie::Crosswise { .. } => "From here: fold the cloth across, right sides together.".to_owned(),
        Lie::Turned { .. } => "From here: cut across, turn, lay on itself, right sides together.".to_owned(),
        Lie::Other { kind, .. } => format!("From here: fold the cloth ({}).", clean(kind)),
    }
}
