//! The single values of the project file: lengths, numbers, words.

use super::findings::{Path, shortened};
use super::measured::MeasuredShape;
use super::read::{Read, Reader, inline_schema, kind, name_hint, shown_number};
use super::resolved::{Grain, Hold, LayKind, Lays};
use super::tree::{Node, Value};
use crate::draft::{CirclePart, Corner, TieEnd};
use crate::units::{LONGEST, Mm, Unit, parse_coordinate};

/// A text of one line.
#[derive(Debug)]
pub(super) struct Text(pub(super) String);

inline_schema!(Text, { "type": "string", "minLength": 1, "maxLength": 200 });

impl Read for Text {
    fn read(node: &Node, path: &Path, reader: &mut Reader) -> Option<Self> {
        let Value::Text(text) = &node.value else {
            return reader.wrong_kind(node, path, "a text in quotation marks");
        };
        let fault = if text.trim().is_empty() {
            "is empty"
        } else if text.chars().any(char::is_control) {
            "has a line break or control character in it"
        } else if text.chars().count() > 200 {
            "is longer than 200 characters"
        } else {
            return Some(Self(text.clone()));
        };
        let cause = format!("{} {fault}.", path.subject());
        reader.refuse(node, path, cause, "write it in one short line.")
    }
}

/// Yes or no.
#[derive(Debug)]
pub(super) struct Flag(pub(super) bool);

inline_schema!(Flag, { "type": "boolean" });

impl Read for Flag {
    fn read(node: &Node, path: &Path, reader: &mut Reader) -> Option<Self> {
        match node.value {
            Value::Bool(value) => Some(Self(value)),
            _ => reader.wrong_kind(node, path, "true or false"),
        }
    }
}

/// A coordinate: a length that may be below zero.
#[derive(Debug, Clone, Copy)]
pub(super) struct Coordinate(pub(super) Mm);

inline_schema!(Coordinate, { "type": ["number", "string"] });

impl Read for Coordinate {
    fn read(node: &Node, path: &Path, reader: &mut Reader) -> Option<Self> {
        length(node, path, reader).map(Self)
    }
}

/// A length of zero or more.
#[derive(Debug)]
pub(super) struct Length(pub(super) Mm);

inline_schema!(Length, { "type": ["number", "string"], "minimum": 0 });

impl Read for Length {
    fn read(node: &Node, path: &Path, reader: &mut Reader) -> Option<Self> {
        let mm = length(node, path, reader)?;
        if mm < 0.0 {
            let cause = format!("{} is {}; it cannot be below zero.", path.subject(), shown_length(node, reader.unit));
            return reader.refuse(node, path, cause, "");
        }
        Some(Self(mm))
    }
}

/// A length, or a text that the reader of it makes out: an edge's name, say.
#[derive(Debug)]
pub(super) enum Stretch {
    Length(Mm),
    Text(String),
}

inline_schema!(Stretch, { "type": ["number", "string"], "minimum": 0 });

impl Read for Stretch {
    fn read(node: &Node, path: &Path, reader: &mut Reader) -> Option<Self> {
        match &node.value {
            Value::Text(_) => Text::read(node, path, reader).map(|Text(text)| Self::Text(text)),
            _ => Length::read(node, path, reader).map(|Length(mm)| Self::Length(mm)),
        }
    }
}

/// A length above zero: half a millimetre at least, so that nothing is divided into endless steps.
#[derive(Debug)]
pub(super) struct Extent(pub(super) Mm);

const LEAST_EXTENT: Mm = 0.5;

inline_schema!(Extent, { "type": ["number", "string"], "exclusiveMinimum": 0 });

impl Read for Extent {
    fn read(node: &Node, path: &Path, reader: &mut Reader) -> Option<Self> {
        let mm = length(node, path, reader)?;
        if mm < LEAST_EXTENT {
            let limit = if mm > 0.0 { "half a millimetre at least" } else { "above zero" };
            let cause = format!("{} is {}; it has to be {limit}.", path.subject(), shown_length(node, reader.unit));
            return reader.refuse(node, path, cause, "");
        }
        Some(Self(mm))
    }
}

/// The millimetres of a number in the project's unit, or of a text with its own unit.
fn length(node: &Node, path: &Path, reader: &mut Reader) -> Option<Mm> {
    match &node.value {
        Value::Number(number) => {
            let mm = reader.unit.times(*number);
            if mm.abs() <= LONGEST {
                return Some(mm + 0.0); // never a negative zero
            }
            let cause = format!(
                "{} is {}; nothing here is longer than a kilometre.",
                path.subject(),
                shown_length(node, reader.unit)
            );
            reader.refuse(node, path, cause, "check the number and its unit.")
        }
        Value::Text(text) => match parse_coordinate(text, reader.unit) {
            Ok(mm) => Some(mm),
            Err(error) => reader.refuse(node, path, error.cause, error.hint),
        },
        _ => reader.wrong_kind(node, path, "a length, such as 25 or \"2 3/8 in\""),
    }
}

/// A length as it was written, with its unit.
fn shown_length(node: &Node, unit: Unit) -> String {
    match &node.value {
        Value::Number(number) if number.is_finite() => {
            format!("{} {}", shown_number(*number), unit.symbol())
        }
        Value::Number(number) => shown_number(*number),
        Value::Text(text) => shortened(text),
        _ => kind(node),
    }
}

/// A plain number in a range, for the values below.
pub(super) fn number_between(
    (node, path): (&Node, &Path),
    reader: &mut Reader,
    is_allowed: impl Fn(f64) -> bool,
    allowed: &str,
) -> Option<f64> {
    let Value::Number(number) = node.value else {
        return reader.wrong_kind(node, path, &format!("a number {allowed}"));
    };
    if is_allowed(number) {
        return Some(number + 0.0);
    }
    let cause = format!("{} is {}; it has to be {allowed}.", path.subject(), shown_number(number));
    reader.refuse(node, path, cause, "")
}

/// The version of the file's format.
#[derive(Debug)]
pub(super) struct Version;

inline_schema!(Version, { "const": 1 });

impl Read for Version {
    fn read(node: &Node, path: &Path, reader: &mut Reader) -> Option<Self> {
        // Other numbers never come here: a file of another version is not read at all.
        if matches!(node.value, Value::Number(1.0)) {
            return Some(Self);
        }
        reader.wrong_kind(node, path, "the number 1")
    }
}

/// A share in per cent, given as a fraction of one.
#[derive(Debug)]
pub(super) struct Shrinkage(pub(super) f64);

inline_schema!(Shrinkage, { "type": "number", "minimum": 0, "exclusiveMaximum": 100 });

impl Read for Shrinkage {
    fn read(node: &Node, path: &Path, reader: &mut Reader) -> Option<Self> {
        let range = "0 or more and below 100 (per cent)";
        number_between((node, path), reader, |share| (0.0..100.0).contains(&share), range)
            .map(|share| Self(share / 100.0))
    }
}

/// An amount of money.
#[derive(Debug)]
pub(super) struct Price(pub(super) f64);

inline_schema!(Price, { "type": "number", "minimum": 0, "maximum": 1.0e6 });

impl Read for Price {
    fn read(node: &Node, path: &Path, reader: &mut Reader) -> Option<Self> {
        let range = "0 or more and at most a million";
        number_between((node, path), reader, |price| (0.0..=1.0e6).contains(&price), range).map(Self)
    }
}

/// How many.
#[derive(Debug)]
pub(super) struct Count(pub(super) usize);

/// The most plies that a cut may ask for.
pub(super) const MOST_PLIES: usize = 1000;

inline_schema!(Count, { "type": "integer", "minimum": 1, "maximum": MOST_PLIES });

impl Read for Count {
    fn read(node: &Node, path: &Path, reader: &mut Reader) -> Option<Self> {
        let is_count = |number: f64| number.fract() == 0.0 && (1.0..=MOST_PLIES as f64).contains(&number);
        let range = format!("a whole number from 1 to {MOST_PLIES}");
        number_between((node, path), reader, is_count, &range).map(|count| Self(count as usize))
    }
}

/// Degrees off grain.
#[derive(Debug)]
pub(super) struct Tilt(pub(super) f64);

inline_schema!(Tilt, { "type": "number", "minimum": 0, "exclusiveMaximum": 45 });

impl Read for Tilt {
    fn read(node: &Node, path: &Path, reader: &mut Reader) -> Option<Self> {
        let range = "0 or more and below 45 (degrees)";
        number_between((node, path), reader, |tilt| (0.0..45.0).contains(&tilt), range).map(Self)
    }
}

/// How many times as large.
#[derive(Debug)]
pub(super) struct Scale(pub(super) f64);

inline_schema!(Scale, { "type": "number", "minimum": 0.01, "maximum": 100 });

impl Read for Scale {
    fn read(node: &Node, path: &Path, reader: &mut Reader) -> Option<Self> {
        let range = "from 0.01 to 100";
        number_between((node, path), reader, |scale| (0.01..=100.0).contains(&scale), range).map(Self)
    }
}

/// How many times as long before it is gathered.
#[derive(Debug)]
pub(super) struct Fullness(pub(super) f64);

inline_schema!(Fullness, { "type": "number", "minimum": 1, "maximum": 20 });

impl Read for Fullness {
    fn read(node: &Node, path: &Path, reader: &mut Reader) -> Option<Self> {
        number_between((node, path), reader, |times| (1.0..=20.0).contains(&times), "from 1 to 20").map(Self)
    }
}

/// One of a few words; `later` are words of the trade that this version does not plan yet.
pub(super) fn word<T: Copy>(
    (node, path): (&Node, &Path),
    reader: &mut Reader,
    words: &[(&str, T)],
    later: &[&str],
) -> Option<T> {
    let known = words.iter().map(|&(word, _)| word);
    let Value::Text(text) = &node.value else {
        let wanted = format!("one of the words {}", known.collect::<Vec<_>>().join(", "));
        return reader.wrong_kind(node, path, &wanted);
    };
    if let Some(&(_, value)) = words.iter().find(|(word, _)| word == text) {
        return Some(value);
    }
    if later.contains(&text.as_str()) {
        let cause = format!("\"{text}\" is not planned by this version yet.");
        let known = known.collect::<Vec<_>>().join(", ");
        return reader.refuse(node, path, cause, format!("write one of these: {known}."));
    }
    let cause = format!("\"{}\" is not a known word here.", shortened(text));
    reader.refuse(node, path, cause, name_hint(text, known))
}

inline_schema!(UnitWord, { "enum": ["mm", "cm", "m", "in", "ft", "yd"] });

/// A unit by its symbol.
#[derive(Debug)]
pub(super) struct UnitWord(pub(super) Unit);

impl Read for UnitWord {
    fn read(node: &Node, path: &Path, reader: &mut Reader) -> Option<Self> {
        let words = Unit::ALL.map(|unit| (unit.symbol(), unit));
        word((node, path), reader, &words, &[]).map(Self)
    }
}

/// How a piece's grain lies to the cloth's.
#[derive(Debug)]
pub(super) struct GrainWord(pub(super) Grain);

inline_schema!(GrainWord, { "enum": ["lengthwise", "crosswise", "bias", "any"] });

impl Read for GrainWord {
    fn read(node: &Node, path: &Path, reader: &mut Reader) -> Option<Self> {
        let words = [
            ("lengthwise", Grain::Lengthwise),
            ("crosswise", Grain::Crosswise),
            ("bias", Grain::Bias),
            ("any", Grain::Any),
        ];
        word((node, path), reader, &words, &[]).map(Self)
    }
}

/// One kind of lay.
#[derive(Debug)]
pub(super) struct LayWord(pub(super) LayKind);

inline_schema!(LayWord, { "enum": LayKind::ALL.map(LayKind::name) });

impl Read for LayWord {
    fn read(node: &Node, path: &Path, reader: &mut Reader) -> Option<Self> {
        let words = LayKind::ALL.map(|kind| (kind.name(), kind));
        word((node, path), reader, &words, &[]).map(Self)
    }
}

/// The lays to try: one kind, a list of kinds, or "best".
#[derive(Debug)]
pub(super) struct LaysValue(pub(super) Lays);

inline_schema!(LaysValue, {
    "anyOf": [
        { "enum": ["best", "open", "lengthwise fold", "partial fold", "double fold", "crosswise fold", "crosswise cut and turned"] },
        { "type": "array", "items": { "enum": LayKind::ALL.map(LayKind::name) }, "minItems": 1, "maxItems": 8 },
    ]
});

impl Read for LaysValue {
    fn read(node: &Node, path: &Path, reader: &mut Reader) -> Option<Self> {
        let Value::List(items) = &node.value else {
            let mut words = vec![("best", None)];
            words.extend(LayKind::ALL.map(|kind| (kind.name(), Some(kind))));
            return word((node, path), reader, &words, &[])
                .map(|kind| Self(kind.map_or(Lays::Best, |kind| Lays::These(vec![kind]))));
        };
        if items.is_empty() || items.len() > 8 {
            let cause = format!("The list of lays has {} items.", items.len());
            return reader.refuse(node, path, cause, "name one to eight kinds of lay, or write \"best\".");
        }
        let mut kinds = Vec::new();
        let mut all_known = true;
        for (number, item) in items.iter().enumerate() {
            match LayWord::read(item, &path.item(number), reader) {
                Some(LayWord(kind)) if !kinds.contains(&kind) => kinds.push(kind),
                Some(_) => {}
                None => all_known = false,
            }
        }
        all_known.then_some(Self(Lays::These(kinds)))
    }
}

inline_schema!(HoldWord, { "enum": ["alike", "middle", "between"] });

/// Where in a repeat matched points lie.
#[derive(Debug)]
pub(super) struct HoldWord(pub(super) Hold);

impl Read for HoldWord {
    fn read(node: &Node, path: &Path, reader: &mut Reader) -> Option<Self> {
        let words = [("alike", Hold::Alike), ("middle", Hold::Middle), ("between", Hold::Between)];
        word((node, path), reader, &words, &[]).map(Self)
    }
}

inline_schema!(CornerWord, { "enum": ["extended", "mitred", "squared"] });

/// How an allowance ends at its corners.
#[derive(Debug)]
pub(super) struct CornerWord(pub(super) Corner);

impl Read for CornerWord {
    fn read(node: &Node, path: &Path, reader: &mut Reader) -> Option<Self> {
        let words = [("extended", Corner::Extended), ("mitred", Corner::Mitred), ("squared", Corner::Squared)];
        word((node, path), reader, &words, &[]).map(Self)
    }
}

inline_schema!(PartWord, { "enum": ["full", "three-quarter", "half", "quarter"] });

/// How much of a circle.
#[derive(Debug)]
pub(super) struct PartWord(pub(super) CirclePart);

impl Read for PartWord {
    fn read(node: &Node, path: &Path, reader: &mut Reader) -> Option<Self> {
        let words = [
            ("full", CirclePart::Full),
            ("three-quarter", CirclePart::ThreeQuarter),
            ("half", CirclePart::Half),
            ("quarter", CirclePart::Quarter),
        ];
        word((node, path), reader, &words, &[]).map(Self)
    }
}

inline_schema!(EndWord, { "enum": ["square", "slanted"] });

/// The free end of a tie.
#[derive(Debug)]
pub(super) struct EndWord(pub(super) TieEnd);

impl Read for EndWord {
    fn read(node: &Node, path: &Path, reader: &mut Reader) -> Option<Self> {
        word((node, path), reader, &[("square", TieEnd::Square), ("slanted", TieEnd::Slanted)], &[]).map(Self)
    }
}

inline_schema!(ShapeWord, { "enum": MeasuredShape::ALL.map(MeasuredShape::name) });

/// What a piece that is measured is.
#[derive(Debug)]
pub(super) struct ShapeWord(pub(super) MeasuredShape);

impl Read for ShapeWord {
    fn read(node: &Node, path: &Path, reader: &mut Reader) -> Option<Self> {
        word((node, path), reader, &MeasuredShape::ALL.map(|shape| (shape.name(), shape)), &[]).map(Self)
    }
}
