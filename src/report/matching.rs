//! What matching a print costs, next to the trade's rules of thumb.

use crate::layout::{ClothPlan, PrintPlan};
use crate::units::{Mm, Rounding, amounts, both};

/// Sentences on the print of a cloth; none where nothing is matched on it.
pub(super) fn sentences(cloth: &ClothPlan) -> Vec<String> {
    let Some(print) = &cloth.print else { return Vec::new() };
    let names: Vec<&str> = print.matches.iter().map(|found| found.name.as_str()).collect();
    let mut said = vec![format!("Matched on a repeat of {} on the table: {}.", repeats(print), names.join(", "))];
    if let Some(without) = &print.without {
        let [metres, yards] = amounts(without.buy);
        let longer = cloth.length - without.length;
        let dearer = cloth.buy.length - without.buy;
        let cost = if longer < 0.5 {
            "matching costs nothing".to_owned()
        } else if dearer < 0.5 {
            format!("matching takes {} more, but no more to buy", near(longer))
        } else {
            format!("matching takes {} more, {} more to buy", near(longer), near(dearer))
        };
        said.push(format!(
            "Without matching: {}, {}, buy {metres} or {yards}; {cost}.",
            without.lay,
            near(without.length)
        ));
        if let Some(repeat) = print.repeat_length.filter(|_| print.matches.iter().any(|found| found.along.is_some())) {
            let rows = without.rows;
            let stacked = if rows == 1 { "1 row".to_owned() } else { format!("{rows} rows") };
            said.push(format!(
                "Rules of thumb for matching along the cloth: one repeat more, {}; or a repeat for each of the {stacked} \
                 stacked, {}.",
                near(repeat),
                near(repeat * rows as f64)
            ));
        }
    }
    said
}

fn repeats(print: &PrintPlan) -> String {
    let along = print.repeat_length.map(|mm| format!("{} along", near(mm)));
    let across = print.repeat_width.map(|mm| format!("{} across", near(mm)));
    along.into_iter().chain(across).collect::<Vec<_>>().join(", ")
}

fn near(mm: Mm) -> String {
    both(mm, Rounding::Nearest)
}
