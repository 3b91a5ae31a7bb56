//! What a project asks for, in the checker's words.

use indexmap::IndexMap;

use super::print::print_plan;
use super::work::orders;
use crate::check::{ClothRules, CutRules, HaveRules};
use crate::cut_list::{CutEntry, CutList};
use crate::geometry::{Bounds, Point, Shape};
use crate::lay::Order;
use crate::piece::Piece;
use crate::project::{BorderAt, Cloth, Grain, HaveLength, Project};

/// The rules that a plan of this project is held to.
pub fn rules(project: &Project, list: &CutList) -> Vec<ClothRules> {
    orders(project, list).map(|(name, order)| cloth_rules(name, &order)).collect()
}

pub(super) fn cloth_rules(name: &str, order: &Order) -> ClothRules {
    let Order { cloth, cuts, pieces, matching, .. } = *order;
    ClothRules {
        cloth: name.to_owned(),
        width: cloth.width,
        usable_width: cloth.usable_width(),
        nap: cloth.nap,
        right_side: cloth.right_side,
        gap: cloth.gap,
        ends: cloth.ends,
        shrinkage_length: cloth.shrinkage_length,
        sold_by: cloth.sold_by,
        print: matching.map(print_plan),
        cuts: cuts.iter().map(|entry| cut_rules(entry, cloth.nap, pieces)).collect(),
        have: cloth.have.iter().map(|have| have_rules(cloth, have)).collect(),
        border_on_both: cloth.border == BorderAt::Both,
    }
}

/// Stated apart from the plan of it, as the turns below.
fn have_rules(cloth: &Cloth, have: &HaveLength) -> HaveRules {
    let left = |share: f64| if have.washed { 1.0 } else { 1.0 - share };
    let (along, across) = (left(cloth.shrinkage_length), left(cloth.shrinkage_width));
    let (length, usable_width) = (have.length * along - cloth.ends, (have.width - 2.0 * cloth.selvedge) * across);
    let place = |p: &Point| Point { x: p.x * along - cloth.ends / 2.0, y: (p.y - cloth.selvedge) * across };
    let flaws = have.flaws.iter().map(|flaw| Shape::new(flaw.shape.outline.iter().map(place).collect(), Vec::new()));
    let on_cloth = |flaw: &Shape| {
        let Bounds { min, max } = flaw.bounds();
        max.x > 0.0 && min.x < length && max.y > 0.0 && min.y < usable_width
    };
    HaveRules { width: have.width, usable_width, length, flaws: flaws.filter(on_cloth).collect() }
}

fn cut_rules(entry: &CutEntry, nap: bool, pieces: &IndexMap<String, Piece>) -> CutRules {
    let edge = |edge: &String| pieces.get(&entry.piece)?.edges.get(edge).map(|edge| edge.points.clone());
    CutRules {
        cut: entry.cut.clone(),
        piece: entry.piece.clone(),
        plain: entry.plain,
        mirrored: entry.mirrored,
        across_fold: entry.on_fold,
        turns: turns(entry.grain, nap),
        tilt: entry.tilt,
        mirrored_bias: entry.grain == Grain::Bias && entry.mirrored > 0,
        border: entry.border.as_ref().and_then(edge),
    }
}

/// Stated apart from the lays, which choose turns, so that a slip in one is caught by the other.
fn turns(grain: Grain, nap: bool) -> Vec<f64> {
    let on_grain: &[f64] = match grain {
        Grain::Lengthwise => &[0.0, 180.0],
        Grain::Crosswise => &[90.0, 270.0],
        Grain::Bias => &[45.0, 135.0, 225.0, 315.0],
        Grain::Any if nap => &[0.0],
        Grain::Any => &[],
    };
    // With nap no top may point down the cloth; across it all must point the same way.
    let down_the_cloth = |turn: f64| turn > 90.0 && turn < 271.0;
    on_grain.iter().copied().filter(|&turn| !(nap && down_the_cloth(turn))).collect()
}
