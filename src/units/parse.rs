//! Reading lengths as people write them: "2 3/8 in", "1½ yd", "25 cm", "1 yd 4 in".

use super::{LONGEST, Mm, Unit};

/// Why a text is no length, in words a dressmaker understands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LengthError {
    /// What is wrong with it.
    pub cause: String,
    /// What to write instead.
    pub hint: String,
}

impl std::fmt::Display for LengthError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} To do: {}", self.cause, self.hint)
    }
}

impl std::error::Error for LengthError {}

/// A length of zero or more in millimetres; a number without a unit counts in `default`.
///
/// Understood: whole and decimal numbers (`25`, `0.5`), fractions (`5/8`, `2 3/8`, `2-3/8`, `1½`), each with a unit or
/// without (mm, cm, m, in, `"`, ft, `'`, yd and their names), and sums that name every unit (`1 yd 4 in`).
///
/// # Errors
/// Anything else: no number, an unknown unit, below zero, or over a kilometre.
pub fn parse_length(text: &str, default: Unit) -> Result<Mm, LengthError> {
    let mm = parse_coordinate(text, default)?;
    if mm < 0.0 {
        return Err(error(format!("\"{}\" is below zero.", shown(text)), "write a length of zero or more."));
    }
    Ok(mm)
}

/// A length in millimetres that may be below zero, as in the coordinates of a point; otherwise like [`parse_length`].
///
/// # Errors
/// No number, an unknown unit, or more than a kilometre from zero.
pub fn parse_coordinate(text: &str, default: Unit) -> Result<Mm, LengthError> {
    let trimmed = text.trim();
    let (sign, unsigned) = match trimmed.strip_prefix(['-', '\u{2212}']) {
        Some(rest) => (-1.0, rest.trim_start()),
        None => (1.0, trimmed),
    };
    let mm = sign * sum(unsigned, default).map_err(|fault| fault.explain(text, default))?;
    if mm.abs() > LONGEST {
        return Err(error(
            format!("\"{}\" is longer than a kilometre.", shown(text)),
            "check the number and its unit.",
        ));
    }
    Ok(mm + 0.0) // never a negative zero
}

/// What stops a text from being a length.
enum Fault {
    Empty,
    NoNumber,
    Comma,
    UnknownUnit(String),
    UnitMissing,
    Fraction,
}

impl Fault {
    fn explain(self, text: &str, default: Unit) -> LengthError {
        let quoted = format!("\"{}\"", shown(text));
        match self {
            Self::Empty => error(
                "The length is empty.".to_owned(),
                "write a number and a unit, such as \"25 cm\" or \"2 3/8 in\".",
            ),
            Self::NoNumber => error(
                format!("{quoted} is not a length."),
                "write a number and a unit, such as \"25 cm\" or \"2 3/8 in\".",
            ),
            Self::Comma => error(
                format!("{quoted} has a comma in it."),
                "write decimals with a point, such as \"1.5 m\", and thousands without a mark.",
            ),
            Self::UnknownUnit(unit) => error(
                format!("\"{}\" in {quoted} is not a known unit.", shown(&unit)),
                "write mm, cm, m, in, ft or yd.",
            ),
            Self::UnitMissing => error(
                format!("{quoted} has more than one part, and one of them has no unit."),
                &format!(
                    "give each part its own unit, such as \"1 yd 4 in\", or write one number in {}.",
                    default.symbol()
                ),
            ),
            Self::Fraction => error(
                format!("{quoted} has a fraction that does not make sense."),
                "write fractions as in 5/8 or 2 3/8.",
            ),
        }
    }
}

fn error(cause: String, hint: &str) -> LengthError {
    LengthError { cause, hint: hint.to_owned() }
}

/// A text short enough to be repeated in a message.
fn shown(text: &str) -> String {
    let mut short: String = text.chars().take(40).map(|c| if c.is_control() { ' ' } else { c }).collect();
    if text.chars().nth(40).is_some() {
        short.push_str("...");
    }
    short
}

/// One or more parts, each a quantity with its unit; a lone part may do without.
fn sum(text: &str, default: Unit) -> Result<Mm, Fault> {
    if text.is_empty() {
        return Err(Fault::Empty);
    }
    let mut rest = text;
    let mut total = 0.0;
    let mut parts = 0;
    let mut unit_missing = false;
    while !rest.is_empty() {
        let (quantity, after) = quantity(rest)?;
        let (unit, after) = unit(after)?;
        unit_missing |= unit.is_none();
        parts += 1;
        if parts > 1 && unit_missing {
            return Err(Fault::UnitMissing);
        }
        total += quantity.of(unit.unwrap_or(default));
        rest = after;
    }
    Ok(total)
}

/// A number as written: a whole or decimal part and a fraction.
#[derive(Clone, Copy)]
struct Quantity {
    number: f64,
    over: f64,
    under: f64,
}

impl Quantity {
    /// The fraction is divided last, so that eighths of an inch come out as exactly as a double can hold them.
    fn of(self, unit: Unit) -> Mm {
        (self.number * self.under + self.over) * unit.tenths() / (10.0 * self.under)
    }
}

/// The quantity that `text` begins with, and what follows it.
fn quantity(text: &str) -> Result<(Quantity, &str), Fault> {
    if let Some((over, under, rest)) = fraction(text)? {
        let number = 0.0;
        return Ok((Quantity { number, over, under }, rest));
    }
    let (number, is_whole, rest) = decimal(text)?;
    if is_whole {
        let joined = rest.strip_prefix(['-', '\u{2011}', '\u{2013}']).unwrap_or(rest);
        if let Some((over, under, rest)) = fraction(joined.trim_start())? {
            if over >= under {
                return Err(Fault::Fraction); // "2 9/8" is a slip of the pen
            }
            return Ok((Quantity { number, over, under }, rest));
        }
    }
    let (over, under) = (0.0, 1.0);
    Ok((Quantity { number, over, under }, rest))
}

/// A whole or decimal number, and whether it is whole.
fn decimal(text: &str) -> Result<(f64, bool, &str), Fault> {
    let end = text.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(text.len());
    let (digits, rest) = text.split_at(end);
    if rest.starts_with(',') {
        return Err(Fault::Comma);
    }
    // No exponents: "1e3" is no way to write a length; an "e" that follows is read as a unit and refused.
    let number: f64 = digits.parse().map_err(|_| Fault::NoNumber)?;
    Ok((number, !digits.contains('.'), rest))
}

/// A fraction such as `3/8` or `⅜`, where `text` begins with one.
fn fraction(text: &str) -> Result<Option<(f64, f64, &str)>, Fault> {
    if let Some(first) = text.chars().next()
        && let Some((over, under)) = vulgar(first)
    {
        return Ok(Some((over, under, &text[first.len_utf8()..])));
    }
    let digits = |text: &str| text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len());
    let (over, rest) = text.split_at(digits(text));
    let Some(rest) = rest.trim_start().strip_prefix(['/', '\u{2044}', '\u{2215}']) else {
        return Ok(None);
    };
    let rest = rest.trim_start();
    let (under, rest) = rest.split_at(digits(rest));
    let over: f64 = over.parse().map_err(|_| Fault::Fraction)?;
    let under: f64 = under.parse().map_err(|_| Fault::Fraction)?;
    if !(1.0..=1.0e6).contains(&under) || over > 1.0e12 {
        return Err(Fault::Fraction);
    }
    Ok(Some((over, under, rest)))
}

/// The fractions that have a character of their own.
fn vulgar(c: char) -> Option<(f64, f64)> {
    Some(match c {
        '½' => (1.0, 2.0),
        '⅓' => (1.0, 3.0),
        '⅔' => (2.0, 3.0),
        '¼' => (1.0, 4.0),
        '¾' => (3.0, 4.0),
        '⅕' => (1.0, 5.0),
        '⅖' => (2.0, 5.0),
        '⅗' => (3.0, 5.0),
        '⅘' => (4.0, 5.0),
        '⅙' => (1.0, 6.0),
        '⅚' => (5.0, 6.0),
        '⅛' => (1.0, 8.0),
        '⅜' => (3.0, 8.0),
        '⅝' => (5.0, 8.0),
        '⅞' => (7.0, 8.0),
        _ => return None,
    })
}

/// The unit that `text` begins with, and the next part; no unit where nothing follows the number.
fn unit(text: &str) -> Result<(Option<Unit>, &str), Fault> {
    let text = text.trim_start();
    let Some(first) = text.chars().next() else {
        return Ok((None, text));
    };
    let mark = match first {
        '"' | '\u{2033}' | '\u{201d}' => Some(Unit::Inch),
        '\'' | '\u{2032}' | '\u{2019}' => Some(Unit::Foot),
        _ => None,
    };
    if let Some(unit) = mark {
        return Ok((Some(unit), text[first.len_utf8()..].trim_start()));
    }
    if first.is_ascii_digit() || vulgar(first).is_some() {
        return Ok((None, text)); // a second number: the caller says that a unit is missing
    }
    let end = text.find(|c: char| c.is_whitespace() || c.is_ascii_digit()).unwrap_or(text.len());
    let (word, rest) = text.split_at(end);
    let unit = named_unit(word).ok_or_else(|| Fault::UnknownUnit(word.to_owned()))?;
    Ok((Some(unit), rest.trim_start()))
}

fn named_unit(word: &str) -> Option<Unit> {
    let name = word.strip_suffix('.').unwrap_or(word).to_lowercase();
    Some(match name.as_str() {
        "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => Unit::Millimetre,
        "cm" | "centimetre" | "centimetres" | "centimeter" | "centimeters" => Unit::Centimetre,
        "m" | "metre" | "metres" | "meter" | "meters" => Unit::Metre,
        "in" | "ins" | "inch" | "inches" => Unit::Inch,
        "ft" | "foot" | "feet" => Unit::Foot,
        "yd" | "yds" | "yard" | "yards" => Unit::Yard,
        _ => return None,
    })
}
