//! Printing lengths: metric, and yards or inches to the eighth.

use super::{Mm, Unit};

/// Which way a printed length is rounded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rounding {
    /// To the nearest step: for measurements.
    Nearest,
    /// Never below the length: for amounts to buy.
    Up,
    /// Never above it: for what is left.
    Down,
}

/// A millionth of a millimetre over a step is the arithmetic's own dust, and buys no further step.
const DUST: Mm = 1.0e-6;

/// A length in metres to the centimetre ("1.40 m"), below a metre in centimetres to the millimetre ("31.2 cm"),
/// below a centimetre in millimetres to the tenth ("4 mm", "1.6 mm").
pub fn metric(mm: Mm, rounding: Rounding) -> String {
    let Some((sign, size, rounding)) = parts(mm, rounding) else {
        return UNKNOWN.to_owned();
    };
    // The size rounded by its own step decides the unit: 999.8 mm is "1.00 m", not "100.0 cm".
    let tenths = steps(size, 0.1, rounding);
    let millimetres = steps(size, 1.0, rounding);
    if tenths < 100.0 {
        let number = format!("{:.1}", tenths / 10.0);
        let number = number.strip_suffix(".0").unwrap_or(&number);
        format!("{}{number} mm", sign.before(tenths))
    } else if millimetres < 1000.0 {
        format!("{}{:.1} cm", sign.before(millimetres), millimetres / 10.0)
    } else {
        let centimetres = steps(size, 10.0, rounding);
        format!("{}{:.2} m", sign.before(centimetres), centimetres / 100.0)
    }
}

/// A length in yards to the eighth ("1 5/8 yd"), below a yard in inches to the eighth ("12 3/8 in").
pub fn yards_inches(mm: Mm, rounding: Rounding) -> String {
    let Some((sign, size, rounding)) = parts(mm, rounding) else {
        return UNKNOWN.to_owned();
    };
    let inches = steps(size, Unit::Inch.mm() / 8.0, rounding);
    if inches < 36.0 * 8.0 {
        return format!("{}{} in", sign.before(inches), eighths(inches));
    }
    let yards = steps(size, Unit::Yard.mm() / 8.0, rounding);
    format!("{}{} yd", sign.before(yards), eighths(yards))
}

/// A length both ways: "1.40 m (1 5/8 yd)".
pub fn both(mm: Mm, rounding: Rounding) -> String {
    format!("{} ({})", metric(mm, rounding), yards_inches(mm, rounding))
}

/// An amount to ask for in a shop, never below need: metres to the centimetre, and yards to the eighth even below a yard, as
/// shops cut it: "0.40 m (1/2 yd)".
pub fn amount(mm: Mm) -> String {
    let [metres, yards] = amounts(mm);
    format!("{metres} ({yards})")
}

/// The two parts of an [`amount`] apart: "0.40 m" and "1/2 yd".
pub fn amounts(mm: Mm) -> [String; 2] {
    let Some((sign, size, rounding)) = parts(mm, Rounding::Up) else {
        return [UNKNOWN.to_owned(), UNKNOWN.to_owned()];
    };
    let centimetres = steps(size, 10.0, rounding);
    let yards = steps(size, Unit::Yard.mm() / 8.0, rounding);
    [
        format!("{}{:.2} m", sign.before(centimetres), centimetres / 100.0),
        format!("{}{} yd", sign.before(yards), eighths(yards)),
    ]
}

/// A width of cloth as the trade gives it: centimetres and inches, "150 cm (59 in)".
pub fn cloth_width(mm: Mm) -> String {
    let Some((sign, size, rounding)) = parts(mm, Rounding::Nearest) else {
        return UNKNOWN.to_owned();
    };
    let millimetres = steps(size, 1.0, rounding);
    let inches = steps(size, Unit::Inch.mm() / 8.0, rounding);
    let sign = sign.before(millimetres);
    format!("{sign}{} cm ({sign}{} in)", millimetres / 10.0, eighths(inches))
}

/// What is printed for a length that is not finite; none comes out of a checked plan.
const UNKNOWN: &str = "unknown";

struct Sign(bool);

impl Sign {
    /// The minus, unless the size came out as nothing.
    fn before(&self, steps: f64) -> &'static str {
        if self.0 && steps > 0.0 { "-" } else { "" }
    }
}

/// Sign and size apart. Rounding a negative length up makes its size smaller, rounding it down larger.
fn parts(mm: Mm, rounding: Rounding) -> Option<(Sign, f64, SizeRounding)> {
    let is_negative = mm < 0.0;
    let rounding = match (rounding, is_negative) {
        (Rounding::Nearest, _) => SizeRounding::Nearest,
        (Rounding::Up, false) | (Rounding::Down, true) => SizeRounding::Up,
        (Rounding::Up, true) | (Rounding::Down, false) => SizeRounding::Down,
    };
    mm.is_finite().then(|| (Sign(is_negative), mm.abs(), rounding))
}

#[derive(Clone, Copy)]
enum SizeRounding {
    Nearest,
    Up,
    Down,
}

/// How many whole steps a size comes to.
fn steps(size: Mm, step: Mm, rounding: SizeRounding) -> f64 {
    match rounding {
        SizeRounding::Nearest => (size / step).round(),
        SizeRounding::Up => ((size - DUST) / step).ceil().max(0.0),
        SizeRounding::Down => ((size + DUST) / step).floor(),
    }
}

/// A number of eighths as a mixed number in its lowest terms: 13 is "1 5/8", 4 is "1/2", 16 is "2".
pub fn eighths(count: f64) -> String {
    let whole = (count / 8.0).floor();
    let fraction = match (count - whole * 8.0) as u8 {
        1 => "1/8",
        2 => "1/4",
        3 => "3/8",
        4 => "1/2",
        5 => "5/8",
        6 => "3/4",
        7 => "7/8",
        _ => return format!("{whole}"),
    };
    if whole == 0.0 { fraction.to_owned() } else { format!("{whole} {fraction}") }
}
