//! Outlines and points of the project file.

use kurbo::BezPath;
use schemars::{JsonSchema, Schema, SchemaGenerator};

use super::findings::Path;
use super::read::{Read, Reader};
use super::tree::{Node, Value};
use super::values::Coordinate;
use crate::geometry::curve::MOST_POINTS;
use crate::geometry::{Point, path_data};

/// Path data of that many segments is never longer, in bytes.
const LONGEST_PATH_DATA: usize = 4 << 20;

const TOO_MANY: &str = "draw it with fewer points, or with curves in place of many short lines.";

/// A point [x, y].
#[derive(Debug, Clone, Copy)]
pub(super) struct PointValue(pub(super) Point);

impl Read for PointValue {
    fn read(node: &Node, path: &Path, reader: &mut Reader) -> Option<Self> {
        let Value::List(items) = &node.value else {
            return reader.wrong_kind(node, path, "a point: [x, y]");
        };
        let [x, y] = items.as_slice() else {
            let cause = format!("A point has two numbers, x and y; this one has {}.", items.len());
            return reader.refuse(node, path, cause, "write [x, y].");
        };
        let x = Coordinate::read(x, &path.item(0), reader);
        let y = Coordinate::read(y, &path.item(1), reader);
        Some(Self(Point { x: x?.0, y: y?.0 }))
    }
}

impl JsonSchema for PointValue {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Point".into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        schemars::json_schema!({
            "type": "array",
            "description": "A point [x, y].",
            "items": generator.subschema_for::<Coordinate>(),
            "minItems": 2,
            "maxItems": 2,
        })
    }
}

/// One closed outline in millimetres, in the file's coordinates.
#[derive(Debug)]
pub(super) struct Outline(pub(super) BezPath);

impl Read for Outline {
    fn read(node: &Node, path: &Path, reader: &mut Reader) -> Option<Self> {
        match &node.value {
            Value::Text(text) => curve(text, (node, path), reader).map(Self),
            Value::List(items) => ring(items, (node, path), reader).map(Self),
            _ => reader.wrong_kind(node, path, "SVG path data in quotation marks, or a list of points [x, y]"),
        }
    }
}

fn curve(text: &str, (node, path): (&Node, &Path), reader: &mut Reader) -> Option<BezPath> {
    if text.len() > LONGEST_PATH_DATA {
        let cause = format!("{} is {} MB of path data.", path.subject(), text.len() >> 20);
        return reader.refuse(node, path, cause, TOO_MANY);
    }
    match path_data(text, reader.unit.mm()) {
        Ok(curve) => Some(curve),
        Err(fault) => {
            let cause = format!("{} cannot be drawn: {fault}.", path.subject());
            let hint = "write SVG path data such as \"M 0 0 L 10 0 L 10 5 Z\", with plain numbers and no units.";
            reader.refuse(node, path, cause, hint)
        }
    }
}

fn ring(items: &[Node], (node, path): (&Node, &Path), reader: &mut Reader) -> Option<BezPath> {
    if items.len() < 3 || items.len() > MOST_POINTS {
        let cause = format!("{} has {} points; it has to have 3 to {MOST_POINTS}.", path.subject(), items.len());
        return reader.refuse(node, path, cause, "");
    }
    let points: Vec<Option<PointValue>> =
        items.iter().enumerate().map(|(number, item)| PointValue::read(item, &path.item(number), reader)).collect();
    let mut outline = BezPath::new();
    for point in points {
        let PointValue(Point { x, y }) = point?;
        if outline.elements().is_empty() {
            outline.move_to((x, y));
        } else {
            outline.line_to((x, y));
        }
    }
    outline.close_path();
    Some(outline)
}

impl JsonSchema for Outline {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Outline".into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        schemars::json_schema!({
            "description": "A closed outline.",
            "anyOf": [
                { "type": "string", "description": "SVG path data, such as \"M 0 0 L 10 0 L 10 5 Z\"; numbers in `units`." },
                {
                    "type": "array",
                    "description": "Points [x, y]; the last is joined to the first.",
                    "items": generator.subschema_for::<PointValue>(),
                    "minItems": 3,
                    "maxItems": MOST_POINTS,
                },
            ],
        })
    }
}
