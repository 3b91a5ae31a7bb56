//! A layout of one order that serves another: the same plies or more, on cloth as wide or narrower.
//!
//! Searches with little work may find more for less, though a garment without a band never needs more cloth than with it.
//! What another search found is then taken over, laid open, once the checker has passed it.

use indexmap::IndexMap;

use super::buy::{cost, to_buy};
use super::plan_piece;
use super::rules::cloth_rules;
use crate::check;
use crate::cut_list::CutEntry;
use crate::lay::Order;
use crate::layout::{Buy, ClothNotes, ClothPlan, PlanDocument, Ply, Section, Tried, rounded};
use crate::project::{LayKind, Lays};

/// The layout found for another order with the plies that this one asks for, laid open; none where it does not serve or
/// does not save a step of the shop against what this order has.
pub(super) fn carried(
    other: &ClothPlan,
    own: &(ClothPlan, ClothNotes),
    order: &Order,
) -> Option<(ClothPlan, ClothNotes)> {
    let (plan, notes) = own;
    let is_plain = other.in_hand.is_none() && order.flaws.is_empty() && order.matching.is_none();
    if other.cloth != plan.cloth || !may_be_open(order) || !is_plain {
        return None;
    }
    let mut plies = Vec::new();
    for entry in order.cuts {
        plies.extend(plies_for(entry, other, order.cloth.right_side)?);
    }
    let begin = extent(&plies, f64::INFINITY, f64::min);
    for place in plies.iter_mut().flat_map(|ply| ply.outline.iter_mut().chain(ply.holes.iter_mut().flatten())) {
        place[0] = rounded(place[0] - begin);
    }
    let length = extent(&plies, 0.0, f64::max);
    let buy = rounded(to_buy(length, order.cloth));
    if buy >= plan.buy.length {
        return None;
    }
    let lay = LayKind::Open.name().to_owned();
    let area: f64 = plies.iter().map(Ply::area).sum();
    let mut tried: Vec<Tried> = plan.tried.iter().filter(|tried| tried.lay != lay).cloned().collect();
    tried.insert(0, Tried { lay: lay.clone(), length, buy });
    let carried = ClothPlan {
        lay,
        length,
        least_possible: plan.least_possible.min(length),
        used_share: area / (plan.usable_width * length),
        buy: Buy { length: buy, cost: cost(buy, order.cloth) },
        sections: vec![Section { from: 0.0, to: length, fold: "none".to_owned(), fold_lines: Vec::new() }],
        plies,
        tried,
        ..plan.clone()
    };
    let why = "less to buy: a layout found in planning something else, opened out".to_owned();
    holds(&carried, order).then(|| (carried, ClothNotes { why, ..notes.clone() }))
}

fn may_be_open(order: &Order) -> bool {
    let cloth_may = match &order.cloth.lays {
        Lays::Best => true,
        Lays::These(kinds) => kinds.contains(&LayKind::Open),
    };
    cloth_may && order.cuts.iter().all(|cut| cut.lay.is_none_or(|kind| kind == LayKind::Open))
}

/// The plies of a cut, numbered anew: those that reach least far, as many as are asked for.
fn plies_for(entry: &CutEntry, other: &ClothPlan, right_side: bool) -> Option<Vec<Ply>> {
    let mut found: Vec<&Ply> =
        other.plies.iter().filter(|ply| ply.cut == entry.cut && ply.piece == entry.piece).collect();
    let reach = |ply: &Ply| ply.outline.iter().map(|place| place[0]).fold(0.0, f64::max);
    found.sort_by(|a, b| reach(a).total_cmp(&reach(b)));
    let taken: Vec<&Ply> = if right_side {
        let side = |mirrored: bool, count| found.iter().filter(move |ply| ply.mirrored == mirrored).take(count);
        side(false, entry.plain).chain(side(true, entry.mirrored)).copied().collect()
    } else {
        found.into_iter().take(entry.plies()).collect()
    };
    let numbered = |(place, ply): (usize, &Ply)| Ply { number: place + 1, section: 0, ..ply.clone() };
    (taken.len() == entry.plies()).then(|| taken.into_iter().enumerate().map(numbered).collect())
}

fn extent(plies: &[Ply], from: f64, fold: fn(f64, f64) -> f64) -> f64 {
    plies.iter().flat_map(|ply| &ply.outline).map(|place| place[0]).fold(from, fold)
}

/// Whether the checker passes it.
fn holds(cloth: &ClothPlan, order: &Order) -> bool {
    let names = cloth.plies.iter().map(|ply| &ply.piece);
    let pieces = names.filter_map(|name| Some((name.clone(), plan_piece(order.pieces.get(name)?)))).collect();
    let document = PlanDocument {
        ellwand_plan: 1,
        project: String::new(),
        chosen: IndexMap::new(),
        seed: 0,
        effort: String::new(),
        units: "mm".to_owned(),
        pieces,
        cloths: vec![cloth.clone()],
    };
    let rules = cloth_rules(&cloth.cloth, order);
    check::faults_against(&document, &[rules], order.pieces).is_empty()
}
