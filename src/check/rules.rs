//! Whether a plan gives what was asked for.

use std::collections::BTreeMap;

use geo::{Distance, Euclidean};
use indexmap::IndexMap;

use super::border;
use super::shapes::{piece_shape, ply_shape, points, polygon, same_ring};
use super::{Fault, PLACE_TOLERANCE};
use crate::geometry::{Point, Shape};
use crate::layout::{ClothPlan, InHand, PlanDocument, Ply, PrintPlan};
use crate::piece::Piece;
use crate::units::Mm;

/// What was asked for of one cloth.
#[derive(Debug, Clone, PartialEq)]
pub struct ClothRules {
    /// The cloth's key.
    pub cloth: String,
    /// Nominal width.
    pub width: Mm,
    /// Width between the selvedges after shrinking.
    pub usable_width: Mm,
    /// All tops one way.
    pub nap: bool,
    /// Has a right side: mirrored plies are counted apart.
    pub right_side: bool,
    /// Least distance between plies.
    pub gap: Mm,
    /// Extra length for the ends.
    pub ends: Mm,
    /// Share of the length lost in washing.
    pub shrinkage_length: f64,
    /// The step in which it is sold.
    pub sold_by: Mm,
    /// What is matched on its print, where anything is. Where the motif lies along the cloth is the plan's to say.
    pub print: Option<PrintPlan>,
    /// What is cut from it.
    pub cuts: Vec<CutRules>,
    /// Its lengths in hand, in the order of the project.
    pub have: Vec<HaveRules>,
    /// Whether its border print runs along both selvedges.
    pub border_on_both: bool,
}

/// A length in hand, as it lies on the table.
#[derive(Debug, Clone, PartialEq)]
pub struct HaveRules {
    /// Nominal width.
    pub width: Mm,
    /// Width between the selvedges after shrinking.
    pub usable_width: Mm,
    /// How long it is once it has shrunk and its ends are straight.
    pub length: Mm,
    /// What nothing may be cut from.
    pub flaws: Vec<Shape>,
}

/// What was asked for of one cut.
#[derive(Debug, Clone, PartialEq)]
pub struct CutRules {
    /// The cut's key.
    pub cut: String,
    /// The piece's key.
    pub piece: String,
    /// Plies as printed.
    pub plain: usize,
    /// Plies mirrored.
    pub mirrored: usize,
    /// Each is the whole of a piece given as half.
    pub across_fold: bool,
    /// The turns, in degrees, that bring an unmirrored ply onto the grain, tops allowed for; empty where any will do. A
    /// mirrored ply is held to the same turns the other way round.
    pub turns: Vec<f64>,
    /// Degrees off those turns allowed.
    pub tilt: f64,
    /// Plies on the bias that must be mirror images of each other, threads and all: seen from the piece, all on the same 45.
    pub mirrored_bias: bool,
    /// The line of the piece that lies on a selvedge, where one has to.
    pub border: Option<Vec<Point>>,
}

pub(super) fn check(
    document: &PlanDocument,
    rules: &[ClothRules],
    pieces: &IndexMap<String, Piece>,
    faults: &mut Vec<Fault>,
) {
    for rule in rules {
        let mut found = Vec::new();
        let cloths: Vec<&ClothPlan> = document.cloths.iter().filter(|cloth| cloth.cloth == rule.cloth).collect();
        if cloths.is_empty() {
            found.push("it is missing from the plan".to_owned());
        }
        check_counts(&cloths, rule, &mut found);
        for cloth in cloths {
            check_cloth(document, cloth, rule, &mut found);
        }
        faults.extend(found.into_iter().map(|what| Fault { cloth: rule.cloth.clone(), what }));
    }
    let known = |cloth: &&ClothPlan| rules.iter().any(|rule| rule.cloth == cloth.cloth);
    for cloth in document.cloths.iter().filter(|cloth| !known(cloth)) {
        faults.push(Fault { cloth: cloth.cloth.clone(), what: "nothing was asked of it".to_owned() });
    }
    for (name, given) in &document.pieces {
        let same = pieces.get(name).zip(piece_shape(given)).is_some_and(|(piece, shape)| {
            let fold = piece.fold.map(|fold| vec![fold.from, fold.to]);
            let given_fold = given.fold.map(|ends| points(&ends));
            same_ring(&piece.shape.outline, &shape.outline)
                && piece.shape.holes.len() == shape.holes.len()
                && match (fold, given_fold) {
                    (None, None) => true,
                    (Some(a), Some(b)) => same_ring(&a, &b),
                    _ => false,
                }
        });
        if !same {
            let what = format!("the piece \"{name}\" is not the project's");
            faults.push(Fault { cloth: String::new(), what });
        }
    }
}

/// The cuts of a cloth over all its lengths.
fn check_counts(cloths: &[&ClothPlan], rule: &ClothRules, faults: &mut Vec<String>) {
    let mut by_cut: BTreeMap<&str, Vec<&Ply>> = BTreeMap::new();
    for ply in cloths.iter().flat_map(|cloth| &cloth.plies) {
        by_cut.entry(&ply.cut).or_default().push(ply);
    }
    for cut in &rule.cuts {
        check_cut(cut, rule, &by_cut.remove(cut.cut.as_str()).unwrap_or_default(), faults);
    }
    for cut in by_cut.keys() {
        faults.push(format!("nobody asked for \"{cut}\" from this cloth"));
    }
}

fn check_cloth(document: &PlanDocument, cloth: &ClothPlan, rule: &ClothRules, faults: &mut Vec<String>) {
    let (width, usable_width) = match &cloth.in_hand {
        None => {
            check_amount(cloth, rule, faults);
            (rule.width, rule.usable_width)
        }
        Some(hand) => {
            let Some(have) = hand.number.checked_sub(1).and_then(|index| rule.have.get(index)) else {
                faults.push(format!("there is no length {} in hand", hand.number));
                return;
            };
            check_have(hand, have, faults);
            (have.width, have.usable_width)
        }
    };
    let asked = |print: &PrintPlan| PrintPlan { middle_along: None, without: None, ..print.clone() };
    if cloth.print.as_ref().map(asked) != rule.print {
        faults.push("what is matched on its print is not what was asked for".to_owned());
    }
    if (cloth.width - width).abs() > PLACE_TOLERANCE {
        faults.push(format!("the width is {} mm, not {width} mm", cloth.width));
    }
    if (cloth.usable_width - usable_width).abs() > PLACE_TOLERANCE {
        faults.push(format!("the usable width is {} mm, not {usable_width} mm", cloth.usable_width));
    }
    if rule.gap > 0.0 {
        check_gaps(cloth, rule.gap, faults);
    }
    for cut in &rule.cuts {
        let Some(border) = &cut.border else { continue };
        for ply in cloth.plies.iter().filter(|ply| ply.cut == cut.cut) {
            if !border::lies_on_selvedge(document, cloth, ply, border, rule.border_on_both) {
                faults.push(format!("\"{}\" ply {} does not lie on the border", ply.cut, ply.number));
            }
        }
    }
}

/// The plan's length in hand is the project's.
fn check_have(hand: &InHand, have: &HaveRules, faults: &mut Vec<String>) {
    if (hand.length - have.length).abs() > PLACE_TOLERANCE {
        faults.push(format!("length {} in hand is {} mm, not {} mm", hand.number, hand.length, have.length));
    }
    let same = hand.flaws.len() == have.flaws.len()
        && hand.flaws.iter().zip(&have.flaws).all(|(a, b)| same_ring(&points(&a.outline), &b.outline));
    if !same {
        faults.push(format!("the flaws of length {} in hand are not the project's", hand.number));
    }
}

/// Enough is bought, in whole steps, and not a step too much.
fn check_amount(cloth: &ClothPlan, rule: &ClothRules, faults: &mut Vec<String>) {
    let need = (cloth.length + rule.ends) / (1.0 - rule.shrinkage_length);
    let bought = cloth.buy.length;
    let steps = bought / rule.sold_by;
    let enough = bought >= need - PLACE_TOLERANCE && bought - need < rule.sold_by + PLACE_TOLERANCE;
    let whole = (steps - steps.round()).abs() <= 1e-6;
    if !(enough && whole) {
        faults.push(format!("{bought} mm is to be bought where {need} mm is needed, sold by {} mm", rule.sold_by));
    }
}

fn check_cut(cut: &CutRules, rule: &ClothRules, plies: &[&Ply], faults: &mut Vec<String>) {
    let mirrored = plies.iter().filter(|ply| ply.mirrored).count();
    let counts_hold = plies.len() == cut.plain + cut.mirrored && (!rule.right_side || mirrored == cut.mirrored);
    if !counts_hold {
        faults.push(format!(
            "\"{}\" has {} plies, {mirrored} of them mirrored; asked for were {}, {} mirrored",
            cut.cut,
            plies.len(),
            cut.plain + cut.mirrored,
            cut.mirrored
        ));
    }
    if cut.mirrored_bias {
        check_bias(cut, plies, faults);
    }
    for ply in plies {
        let name = format!("\"{}\" ply {}", ply.cut, ply.number);
        if ply.piece != cut.piece {
            faults.push(format!("{name} is cut from the piece \"{}\", not \"{}\"", ply.piece, cut.piece));
        }
        if ply.across_fold != cut.across_fold {
            faults.push(format!("{name} is a half where the whole was asked for, or the other way about"));
        }
        let turn = if ply.mirrored { -ply.turn } else { ply.turn };
        let off = |wanted: f64| {
            let apart = (turn - wanted).rem_euclid(360.0);
            apart.min(360.0 - apart)
        };
        if !cut.turns.is_empty() && !cut.turns.iter().any(|&wanted| off(wanted) <= cut.tilt + 1e-6) {
            faults.push(format!("{name} is turned by {} degrees, against grain or nap", ply.turn));
        }
    }
}

/// Seen from the piece, the threads of every ply run the same way.
fn check_bias(cut: &CutRules, plies: &[&Ply], faults: &mut Vec<String>) {
    let threads = |ply: &Ply| if ply.mirrored { -ply.turn } else { ply.turn };
    let Some(first) = plies.first().map(|ply| threads(ply)) else { return };
    for ply in plies {
        let apart = (threads(ply) - first).rem_euclid(180.0);
        if apart.min(180.0 - apart) > 2.0 * cut.tilt + 1e-6 {
            faults.push(format!("\"{}\" ply {} lies on the other bias: the pair is not mirrored", ply.cut, ply.number));
        }
    }
}

fn check_gaps(cloth: &ClothPlan, gap: Mm, faults: &mut Vec<String>) {
    let read: Vec<_> = cloth
        .plies
        .iter()
        .filter_map(|ply| ply_shape(ply).map(|shape| (ply, shape.bounds(), polygon(&shape))))
        .collect();
    for (i, (a, a_bounds, a_polygon)) in read.iter().enumerate() {
        for (b, b_bounds, b_polygon) in &read[i + 1..] {
            let apart = (a_bounds.min.x - b_bounds.max.x)
                .max(b_bounds.min.x - a_bounds.max.x)
                .max(a_bounds.min.y - b_bounds.max.y)
                .max(b_bounds.min.y - a_bounds.max.y);
            if apart >= gap {
                continue;
            }
            let between = Euclidean.distance(a_polygon, b_polygon);
            if between < gap - PLACE_TOLERANCE {
                let names = format!("\"{}\" ply {} and \"{}\" ply {}", a.cut, a.number, b.cut, b.number);
                faults.push(format!("{names} are {between} mm apart; the gap is {gap} mm"));
            }
        }
    }
}
