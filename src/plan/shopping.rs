//! From a plan to what to ask for in the shop.

use indexmap::IndexMap;

use super::{cost, to_buy};
use crate::layout::{ButtonPlaces, Buy, ClothPlan, ClothToBuy, NotionToBuy, PlanDocument, ShoppingList, rounded};
use crate::project::{Cloth, Notion, Project};
use crate::units::Mm;

/// A buttonhole is as long as its button is wide and an eighth of an inch (common practice, no source).
const BUTTONHOLE_EASE: Mm = 25.4 / 8.0;

/// The shopping list of a project for its plan. `spare` is extra length by cloth, as it lies on the table after washing.
pub fn shopping_list(project: &Project, plan: &PlanDocument, spare: &IndexMap<String, Mm>) -> ShoppingList {
    let cloths: Vec<ClothToBuy> = plan
        .cloths
        .iter()
        .filter(|planned| planned.in_hand.is_none())
        .filter_map(|planned| {
            let cloth = project.cloths.get(&planned.cloth)?;
            Some(cloth_to_buy(planned, cloth, spare.get(&planned.cloth).copied().unwrap_or(0.0)))
        })
        .collect();
    let is_bought = |key: &str| cloths.iter().any(|cloth| cloth.cloth == key);
    let mut enough_in_hand: Vec<String> = Vec::new();
    for planned in plan.cloths.iter().filter(|planned| !is_bought(&planned.cloth)) {
        if !enough_in_hand.contains(&planned.cloth) {
            enough_in_hand.push(planned.cloth.clone());
        }
    }
    let notions: Vec<NotionToBuy> = project.notions.iter().map(|(key, notion)| notion_to_buy(key, notion)).collect();
    let costs = cloths
        .iter()
        .map(|cloth| (&cloth.cloth, cloth.buy.cost))
        .chain(notions.iter().map(|notion| (&notion.notion, notion.cost)));
    let without_price: Vec<String> =
        costs.clone().filter(|(_, cost)| cost.is_none()).map(|(name, _)| name.clone()).collect();
    let priced: Vec<f64> = costs.filter_map(|(_, cost)| cost).collect();
    let cost = (!priced.is_empty()).then(|| hundredths(priced.iter().sum()));
    ShoppingList {
        ellwand_shopping_list: 1,
        project: plan.project.clone(),
        chosen: plan.chosen.clone(),
        units: "mm".to_owned(),
        cloths,
        enough_in_hand,
        notions,
        cost,
        without_price,
    }
}

fn cloth_to_buy(planned: &ClothPlan, cloth: &Cloth, spare: Mm) -> ClothToBuy {
    // The plan's own amount, so that list and plan agree to the last bit; more only where more is asked for.
    let bought = if spare > 0.0 { rounded(to_buy(planned.length + spare, cloth)) } else { planned.buy.length };
    ClothToBuy {
        cloth: planned.cloth.clone(),
        name: cloth.name.clone(),
        width: rounded(cloth.width),
        nap: cloth.nap,
        length: planned.length,
        ends: rounded(cloth.ends),
        spare: rounded(spare),
        shrinkage_length: cloth.shrinkage_length,
        shrinkage_width: cloth.shrinkage_width,
        need: rounded((planned.length + spare + cloth.ends) / (1.0 - cloth.shrinkage_length)),
        sold_by: rounded(cloth.sold_by),
        buy: Buy { length: bought, cost: cost(bought, cloth) },
    }
}

fn notion_to_buy(key: &str, notion: &Notion) -> NotionToBuy {
    let buy = notion.count + notion.spare;
    let places = notion.spacing.as_ref().map(|spacing| ButtonPlaces {
        opening: rounded(spacing.opening),
        gap: rounded(spacing.gap),
        fixed: spacing.fixed + 1,
        from_upper_end: spacing.places.iter().map(|place| rounded(*place)).collect(),
    });
    NotionToBuy {
        notion: key.to_owned(),
        name: notion.name.clone(),
        buy,
        spare: notion.spare,
        length: notion.length.map(rounded),
        buttonhole: notion.diameter.map(|diameter| rounded(diameter + BUTTONHOLE_EASE)),
        cost: notion.price.map(|price| hundredths(price * buy as f64)),
        places,
    }
}

fn hundredths(money: f64) -> f64 {
    (money * 100.0).round() / 100.0
}
