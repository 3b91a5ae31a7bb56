//! The project file that a drawing's pieces make.

use std::fmt::Write as _;

use kurbo::{BezPath, PathEl};
use serde_json::{Map, Value, json};

use super::assemble::{Imported, ImportedPiece};
use crate::geometry::Point;
use crate::piece::Allowance;
use crate::units::Mm;

/// Widths of cloth that are sold, in mm: the first that takes every piece is written as a start.
const WIDTHS: [Mm; 3] = [1500.0, 1600.0, 2800.0];

/// Objects and lists are kept on one line up to this many characters.
const LINE: usize = 110;

/// A project file in millimetres: the pieces, a cloth "main" to begin with, and one cut for each piece.
pub fn project_text(name: &str, imported: &Imported) -> String {
    let pieces: Map<String, Value> = imported.pieces.iter().map(|p| (p.source.name.clone(), piece(p))).collect();
    let cuts: Map<String, Value> = imported.pieces.iter().map(|p| (p.source.name.clone(), cut(p))).collect();
    let needed = imported.pieces.iter().map(width_needed).fold(0.0, f64::max);
    let width = WIDTHS.into_iter().find(|width| *width >= needed).unwrap_or(WIDTHS[0]);
    let document = json!({
        "ellwand": 1,
        "name": name,
        "units": "mm",
        "cloths": { "main": { "name": "main cloth", "width": number(width) } },
        "pieces": pieces,
        "cuts": cuts,
    });
    let mut text = String::new();
    write(&document, 0, &mut text);
    text.push('\n');
    text
}

fn width_needed(piece: &ImportedPiece) -> Mm {
    let whole = if piece.on_fold { piece.piece.whole() } else { None };
    whole.as_ref().unwrap_or(&piece.piece.shape).bounds().width()
}

fn piece(imported: &ImportedPiece) -> Value {
    let source = &imported.source;
    let mut file = Map::new();
    file.insert("outline".into(), path_data(&source.outline).into());
    if !source.holes.is_empty() {
        file.insert("holes".into(), source.holes.iter().map(path_data).collect());
    }
    if !source.points.is_empty() {
        let points: Map<String, Value> = source.points.iter().map(|(name, &p)| (name.clone(), point(p))).collect();
        file.insert("points".into(), points.into());
        file.insert("edges".into(), json!(source.edges));
    }
    if let Some([from, to]) = source.grain {
        file.insert("grain".into(), json!({ "from": point(from), "to": point(to) }));
    }
    if let Some(fold) = &source.fold {
        file.insert("fold".into(), fold.clone().into());
    }
    if !source.notches.is_empty() {
        file.insert("notches".into(), source.notches.iter().map(|&p| point(p)).collect());
    }
    if let Some(allowance) = allowance(&source.allowance) {
        file.insert("allowance".into(), allowance);
    }
    if !source.darts.is_empty() {
        let dart = |dart: &crate::piece::DartSource| json!({ "apex": point(dart.apex), "legs": dart.legs.map(point) });
        file.insert("darts".into(), source.darts.iter().map(dart).collect());
    }
    file.into()
}

fn allowance(allowance: &Allowance) -> Option<Value> {
    let edges: Map<String, Value> = allowance.edges.iter().map(|(name, &mm)| (name.clone(), number(mm))).collect();
    match (allowance.included > 0.0, edges.is_empty()) {
        (false, true) => None,
        (true, true) => Some(json!({ "included": number(allowance.included) })),
        (_, false) => Some(json!({ "included": number(allowance.included), "edges": edges })),
    }
}

fn cut(imported: &ImportedPiece) -> Value {
    let mut file = Map::new();
    file.insert("piece".into(), imported.source.name.clone().into());
    file.insert("cloth".into(), "main".into());
    file.insert("count".into(), imported.count.into());
    if imported.mirrored {
        file.insert("mirrored".into(), true.into());
    }
    if imported.on_fold {
        file.insert("on_fold".into(), true.into());
    }
    file.into()
}

fn point(p: Point) -> Value {
    Value::Array(vec![number(p.x), number(p.y)])
}

/// A length to the ten-thousandth of a millimetre; a whole number without a point.
fn number(mm: Mm) -> Value {
    let rounded = (mm * 1e4).round() / 1e4 + 0.0;
    if rounded.fract() == 0.0 && rounded.abs() < 1e9 { json!(rounded as i64) } else { json!(rounded) }
}

/// A curve as SVG path data, absolute, to the ten-thousandth of a millimetre.
fn path_data(path: &BezPath) -> String {
    let at = |p: kurbo::Point| format!("{} {}", number(p.x), number(p.y));
    let part = |element: &PathEl| match *element {
        PathEl::MoveTo(p) => format!("M {}", at(p)),
        PathEl::LineTo(p) => format!("L {}", at(p)),
        PathEl::QuadTo(a, p) => format!("Q {}, {}", at(a), at(p)),
        PathEl::CurveTo(a, b, p) => format!("C {}, {}, {}", at(a), at(b), at(p)),
        PathEl::ClosePath => "Z".to_owned(),
    };
    path.elements().iter().map(part).collect::<Vec<_>>().join(" ")
}

/// JSON as a person would set it: short values on one line, long ones with a line for each member.
fn write(value: &Value, depth: usize, out: &mut String) {
    let compact = spaced(value);
    let is_short = depth > 1 && depth * 2 + compact.len() <= LINE;
    let (open, close, members): (_, _, Vec<(Option<&String>, &Value)>) = match value {
        Value::Object(map) if !is_short && !map.is_empty() => {
            ('{', '}', map.iter().map(|(key, member)| (Some(key), member)).collect())
        }
        Value::Array(items) if !is_short && !items.is_empty() => {
            ('[', ']', items.iter().map(|item| (None, item)).collect())
        }
        _ => return out.push_str(&compact),
    };
    out.push(open);
    for (number, (key, member)) in members.into_iter().enumerate() {
        out.push_str(if number == 0 { "\n" } else { ",\n" });
        out.push_str(&"  ".repeat(depth + 1));
        if let Some(key) = key {
            let _ = write!(out, "{}: ", Value::from(key.as_str()));
        }
        write(member, depth + 1, out);
    }
    out.push('\n');
    out.push_str(&"  ".repeat(depth));
    out.push(close);
}

/// JSON on one line, with room to breathe.
fn spaced(value: &Value) -> String {
    match value {
        Value::Object(map) if map.is_empty() => "{}".to_owned(),
        Value::Object(map) => {
            let members: Vec<String> =
                map.iter().map(|(key, member)| format!("{}: {}", Value::from(key.as_str()), spaced(member))).collect();
            format!("{{ {} }}", members.join(", "))
        }
        Value::Array(items) => format!("[{}]", items.iter().map(spaced).collect::<Vec<_>>().join(", ")),
        other => other.to_string(),
    }
}
