//! From cloth used to cloth to buy.

use crate::project::Cloth;
use crate::units::Mm;

/// A step more is bought only for what exceeds the last one by more than this part of a step: the arithmetic's own dust.
const DUST: f64 = 1e-9;

/// What to ask for in the shop for a length as it lies on the table: (length + ends) / (1 - shrinkage), rounded up to the
/// step in which the cloth is sold.
///
/// Dividing, not multiplying by 1 + shrinkage, which would buy too little.
pub fn to_buy(length: Mm, cloth: &Cloth) -> Mm {
    let need = (length + cloth.ends) / (1.0 - cloth.shrinkage_length);
    (need / cloth.sold_by - DUST).ceil() * cloth.sold_by
}

/// The longest length on the table that a step less than is needed for this one would do for; 0 or less where a step less is
/// nothing.
pub(super) fn step_less(length: Mm, cloth: &Cloth) -> Mm {
    (to_buy(length, cloth) - cloth.sold_by) * (1.0 - cloth.shrinkage_length) - cloth.ends
}

/// What that costs, to the hundredth; none where no price is given.
pub fn cost(bought: Mm, cloth: &Cloth) -> Option<f64> {
    cloth.price_per_metre.map(|price| (bought / 1000.0 * price * 100.0).round() / 100.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::Lays;

    fn cloth(shrinkage: f64, sold_by: Mm) -> Cloth {
        Cloth {
            name: String::new(),
            width: 1500.0,
            selvedge: 0.0,
            nap: false,
            right_side: true,
            shrinkage_length: shrinkage,
            shrinkage_width: 0.0,
            sold_by,
            price_per_metre: Some(24.0),
            ends: 0.0,
            gap: 0.0,
            lays: Lays::Best,
            have: Vec::new(),
            border: crate::project::BorderAt::First,
            print: None,
        }
    }

    const EIGHTH: Mm = 914.4 / 8.0;

    #[test]
    fn shrinkage_is_divided_by() {
        // 3.00 m at 5 % is 3.158 m (arithmetic); multiplying by 1.05 would give 3.15.
        assert_eq!(to_buy(3000.0, &cloth(0.05, 1.0)), 3158.0);
    }

    #[test]
    fn yards_go_up_to_the_eighth() {
        // Gathered tiers, arithmetic: 98 in = 2.72 yd -> 2 3/4; 147 in = 4.08 yd -> 4 1/8, not 4.
        assert!((to_buy(98.0 * 25.4, &cloth(0.0, EIGHTH)) - 2.75 * 914.4).abs() < 1e-9);
        assert!((to_buy(147.0 * 25.4, &cloth(0.0, EIGHTH)) - 4.125 * 914.4).abs() < 1e-9);
    }

    #[test]
    fn a_length_that_is_a_whole_step_needs_no_step_more() {
        assert_eq!(to_buy(1400.0, &cloth(0.0, 100.0)), 1400.0);
        assert_eq!(to_buy(1400.001, &cloth(0.0, 100.0)), 1500.0);
        assert!((to_buy(3.0 * EIGHTH, &cloth(0.0, EIGHTH)) - 3.0 * EIGHTH).abs() < 1e-9);
    }

    #[test]
    fn a_step_less_is_told_exactly() {
        // 3 mm over 1.40 m, 5 cm of ends: 1.353 m on the table needs 1.50 m, 1.350 m would do with 1.40 m.
        let cloth = Cloth { ends: 50.0, ..cloth(0.0, 100.0) };
        assert_eq!((to_buy(1353.0, &cloth), step_less(1353.0, &cloth)), (1500.0, 1350.0));
        assert_eq!(to_buy(1350.0, &cloth), 1400.0);
    }

    #[test]
    fn cost_is_by_the_metre() {
        assert_eq!(cost(1400.0, &cloth(0.0, 100.0)), Some(33.6));
    }
}
