//! Whether the figures of a plan agree with each other.

use std::collections::BTreeMap;

use super::{Fault, PLACE_TOLERANCE};
use crate::layout::{ClothPlan, PlanDocument, Ply};

/// Shares and amounts agree within this part of themselves.
const SHARE_TOLERANCE: f64 = 1e-6;

/// Lengths beyond this are no cloth, in mm: more than the most plies of the longest pieces come to, and within what the
/// boolean operations can count in millionths.
pub(super) const MOST_EXTENT: f64 = 1e10;

pub(super) fn check_document(document: &PlanDocument, faults: &mut Vec<Fault>) {
    let mut fault = |what: String| faults.push(Fault { cloth: String::new(), what });
    if document.ellwand_plan != 1 {
        fault(format!("this is version {} of the plan format; version 1 is known", document.ellwand_plan));
    }
    if document.units != "mm" {
        fault(format!("units are \"{}\", a plan is in mm", document.units));
    }
    let mut seen = BTreeMap::new();
    for cloth in &document.cloths {
        *seen.entry((cloth.cloth.as_str(), cloth.hand_number())).or_insert(0) += 1;
    }
    for ((cloth, number), times) in seen.into_iter().filter(|(_, times)| *times > 1) {
        let length = if number > 0 { format!(", length {number},") } else { String::new() };
        fault(format!("the cloth \"{cloth}\"{length} stands {times} times in the plan"));
    }
}

/// The figures of one cloth: widths, length, share, amounts, sections.
pub(super) fn check_cloth(cloth: &ClothPlan, faults: &mut Vec<String>) {
    let mut expect = |holds: bool, what: String| {
        if !holds {
            faults.push(what);
        }
    };
    let positive = |v: f64| v > 0.0 && v < MOST_EXTENT;
    expect(positive(cloth.width), format!("the width is {} mm", cloth.width));
    let narrower = positive(cloth.usable_width) && cloth.usable_width <= cloth.width + PLACE_TOLERANCE;
    expect(narrower, format!("the usable width is {} mm of {} mm", cloth.usable_width, cloth.width));
    expect(positive(cloth.length), format!("the length is {} mm", cloth.length));
    let bound = cloth.least_possible;
    let proved = bound >= 0.0 && bound <= cloth.length + PLACE_TOLERANCE;
    expect(proved, format!("the length is {} mm, below the proved least of {bound} mm", cloth.length));
    let enough = cloth.in_hand.is_some() || cloth.buy.length >= cloth.length - PLACE_TOLERANCE;
    expect(enough, "less is bought than is used".to_owned());
    let taken = cloth.tried.iter().find(|tried| tried.lay == cloth.lay);
    let agrees = taken.is_some_and(|t| t.length == cloth.length && t.buy == cloth.buy.length);
    expect(agrees, format!("the lays tried do not list \"{}\" with its own length and amount", cloth.lay));
    let least = cloth.tried.iter().all(|tried| tried.buy >= cloth.buy.length - PLACE_TOLERANCE);
    expect(least, "a lay that was tried needs less to be bought than the one taken".to_owned());
    check_sections(cloth, &mut expect);
    check_ends(cloth, &mut expect);
}

fn check_sections(cloth: &ClothPlan, expect: &mut impl FnMut(bool, String)) {
    let mut at = 0.0;
    for (index, section) in cloth.sections.iter().enumerate() {
        expect(section.from == at && section.to >= at, format!("section {index} does not begin where the last ended"));
        at = section.to;
        let width = cloth.usable_width;
        let between = |line: f64, from: f64, to: f64| line > from && line < to;
        let folds_fit = match (section.fold.as_str(), &section.fold_lines[..]) {
            ("none", []) => true,
            ("lengthwise", [line]) => (line - width / 2.0).abs() <= PLACE_TOLERANCE,
            ("partial", [line]) => between(*line, 0.0, width / 2.0 + PLACE_TOLERANCE),
            // Folded in, the two selvedges do not lie one over the other.
            ("double", [first, second]) => {
                between(*first, 0.0, width)
                    && between(*second, *first, width)
                    && first + (width - second) <= width / 2.0 + PLACE_TOLERANCE
            }
            ("crosswise" | "cut and turned", [line]) => between(*line, section.from, section.to),
            _ => false,
        };
        expect(folds_fit, format!("section {index} names the fold \"{}\" with lines that do not fit it", section.fold));
    }
    expect(at == cloth.length, format!("the sections end at {at} mm, the length is {} mm", cloth.length));
}

/// Some ply reaches the end, and the share used is the plies' area over the cloth's.
fn check_ends(cloth: &ClothPlan, expect: &mut impl FnMut(bool, String)) {
    let reach = cloth.plies.iter().flat_map(|ply| &ply.outline).map(|p| p[0]).fold(0.0, f64::max);
    let reached = (reach - cloth.length).abs() <= PLACE_TOLERANCE;
    expect(reached, format!("the plies reach to {reach} mm, the length is {} mm", cloth.length));
    let area: f64 = cloth.plies.iter().map(Ply::area).sum();
    let share = area / (cloth.usable_width * cloth.length);
    let agrees = (share - cloth.used_share).abs() <= SHARE_TOLERANCE;
    expect(agrees, format!("the share used is given as {}, the plies make it {share}", cloth.used_share));
}
