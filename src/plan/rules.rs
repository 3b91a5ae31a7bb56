//! What a project asks for, in the checker's words.

use super::print::print_plan;
use crate::check::{ClothRules, CutRules};
use crate::cut_list::{CutEntry, CutList, Matching};
use crate::project::{Cloth, Grain, Project};

/// The rules that a plan of this project is held to.
pub fn rules(project: &Project, list: &CutList) -> Vec<ClothRules> {
    list.cloths
        .iter()
        .filter_map(|(name, cuts)| {
            project.cloths.get(name).map(|cloth| cloth_rules(name, cloth, cuts, list.matching.get(name)))
        })
        .collect()
}

pub(super) fn cloth_rules(name: &str, cloth: &Cloth, cuts: &[CutEntry], matching: Option<&Matching>) -> ClothRules {
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
        cuts: cuts.iter().map(|entry| cut_rules(entry, cloth.nap)).collect(),
    }
}

fn cut_rules(entry: &CutEntry, nap: bool) -> CutRules {
    CutRules {
        cut: entry.cut.clone(),
        piece: entry.piece.clone(),
        plain: entry.plain,
        mirrored: entry.mirrored,
        across_fold: entry.on_fold,
        turns: turns(entry.grain, nap),
        tilt: entry.tilt,
        mirrored_bias: entry.grain == Grain::Bias && entry.mirrored > 0,
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
