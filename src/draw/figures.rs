//! Lengths in both systems.

/// Which way a printed length is rounded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Rounding {
    /// To the nearest step: for measurements.
    Nearest,
    /// Never below the length: for amounts to buy.
    Up,
}

/// "1.40 m", below a metre "31.2 cm".
pub(super) fn metric(mm: f64, rounding: Rounding) -> String {
    if steps(mm, 1.0, rounding) < 1000.0 {
        format!("{:.1} cm", steps(mm, 1.0, rounding) / 10.0)
    } else {
        format!("{:.2} m", steps(mm, 10.0, rounding) / 100.0)
    }
}

/// "1 5/8 yd", below a yard "12 3/8 in".
pub(super) fn yards_inches(mm: f64, rounding: Rounding) -> String {
    let inches = steps(mm, 25.4 / 8.0, rounding);
    if inches < 288.0 {
        format!("{} in", eighths(inches))
    } else {
        format!("{} yd", eighths(steps(mm, 914.4 / 8.0, rounding)))
    }
}

/// "1.40 m (1 5/8 yd)".
pub(super) fn both(mm: f64, rounding: Rounding) -> String {
    format!("{} ({})", metric(mm, rounding), yards_inches(mm, rounding))
}

/// An amount to ask for in a shop: "0.40 m (1/2 yd)", in eighths of a yard even below a yard, never below the amount.
pub(super) fn amount(mm: f64) -> String {
    let metres = steps(mm, 10.0, Rounding::Up) / 100.0;
    format!("{metres:.2} m ({} yd)", eighths(steps(mm, 914.4 / 8.0, Rounding::Up)))
}

/// "144.0 cm (56 3/4 in)": widths are never told in metres or yards.
pub(super) fn across(mm: f64) -> String {
    let inches = eighths(steps(mm, 25.4 / 8.0, Rounding::Nearest));
    format!("{:.1} cm ({inches} in)", steps(mm, 1.0, Rounding::Nearest) / 10.0)
}

/// A number of eighths in its lowest terms: 13 is "1 5/8".
pub(super) fn eighths(count: f64) -> String {
    let whole = (count / 8.0).floor();
    let parts = ["", "1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8"];
    let part = parts[(count - whole * 8.0).clamp(0.0, 7.0) as usize];
    match (whole, part) {
        (_, "") => format!("{whole}"),
        (0.0, part) => part.to_owned(),
        (_, part) => format!("{whole} {part}"),
    }
}

fn steps(mm: f64, step: f64, rounding: Rounding) -> f64 {
    let count = if mm.is_finite() { mm.max(0.0) / step } else { 0.0 };
    match rounding {
        Rounding::Nearest => count.round(),
        // A millionth of a millimetre over a step is dust of the arithmetic and buys no further step.
        Rounding::Up => (count - 1e-6 / step).ceil().max(0.0),
    }
}
