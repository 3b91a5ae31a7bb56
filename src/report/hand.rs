//! Cloth in hand, in words.

use super::table::clean;
use crate::layout::{ClothPlan, Extra, HandAnswer, LeftOver, Remains};
use crate::units::{Mm, Rounding, amount, both};

fn nearest(mm: Mm) -> String {
    both(mm, Rounding::Nearest)
}

/// What is left of a length.
pub(super) fn remains(remains: &Remains) -> String {
    let Some([from, to]) = remains.rectangle else { return "nothing of it is left".to_owned() };
    // Rounded down: a remnant is never made out larger than it is.
    let down = |mm| both(mm, Rounding::Down);
    let piece = format!("the largest piece left is {} by {}", down(to[0] - from[0]), down(to[1] - from[1]));
    if remains.full_width_end < 10.0 {
        return format!("{piece}; no end is whole over the full width");
    }
    format!("{piece}; an end of {} is whole over the full width", down(remains.full_width_end))
}

/// What is left over: "pocket (1 of 2), belt".
pub(super) fn left_over(left: &[LeftOver]) -> String {
    let words = |left: &LeftOver| {
        let name = clean(&left.cut);
        if left.plies == left.of { name } else { format!("{name} ({} of {})", left.plies, left.of) }
    };
    left.iter().map(words).collect::<Vec<_>>().join(", ")
}

/// What would do besides.
pub(super) fn extra(extra: &Extra) -> String {
    format!("{} more would do: buy {}", both(extra.length, Rounding::Up), amount(extra.buy))
}

/// The numbers of lengths: "length 2", "lengths 1 and 3", "lengths 1, 2 and 4".
pub(super) fn lengths(numbers: &[usize]) -> String {
    let words: Vec<String> = numbers.iter().map(ToString::to_string).collect();
    match &words[..] {
        [one] => format!("length {one}"),
        [first @ .., last] => format!("lengths {} and {last}", first.join(", ")),
        [] => String::new(),
    }
}

/// What a cloth in hand is good for.
pub(super) fn answer(answer: &HandAnswer) -> Vec<String> {
    let cloth = clean(&answer.cloth);
    if answer.fits {
        let kept = if answer.kept.is_empty() {
            String::new()
        } else {
            format!(" {} kept whole.", capital(&lengths(&answer.kept), answer.kept.len()))
        };
        return vec![format!("{cloth}: everything can be cut from the cloth in hand; nothing is to be bought.{kept}")];
    }
    let besides = answer.extra.as_ref().map_or_else(String::new, |more| format!(" {}.", extra(more)));
    vec![
        format!("{cloth}: the cloth in hand does not give everything.{besides}"),
        format!("If no more can be had, this is left over: {}.", left_over(&answer.left_over)),
    ]
}

fn capital(words: &str, count: usize) -> String {
    let verb = if count == 1 { "is" } else { "are" };
    let mut letters = words.chars();
    let first = letters.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
    format!("{first}{} {verb}", letters.as_str())
}

/// What one length in hand gives: what is used of it, and what is left.
pub(super) fn used(cloth: &ClothPlan) -> Option<String> {
    let hand = cloth.in_hand.as_ref()?;
    Some(format!("uses {} of {} on the table; {}", nearest(cloth.length), nearest(hand.length), remains(&hand.remains)))
}
