//! Pieces as DXF in the way of ASTM D6673 and AAMA-292: a block for each piece.
//!
//! Layers **from memory**, as in `import`: 1 the cut outline, 4 notches, 6 the mirror line (the fold), 7 the grain line, 8
//! lines inside (darts), 11 cut-outs. Written as text of release 12, the oldest that every reader still takes.

use chrono::{Local, TimeZone};
use dxf::entities::{Entity, EntityType, Insert, Line, ModelPoint, Polyline, Text, Vertex};
use dxf::enums::AcadVersion;
use dxf::{Block, Drawing};

use super::{Sheet, level_line, polygon};
use crate::error::Problem;
use crate::geometry::Point;

/// All pieces of a project, in millimetres, the grain along x, each in a block of its own.
///
/// # Errors
/// In a time zone of which the library that writes the file cannot say when 1900 began.
pub fn dxf(title: &str, sheets: &[Sheet]) -> Result<String, Problem> {
    let mut drawing = empty()?;
    let names = block_names(sheets);
    for (sheet, name) in sheets.iter().zip(&names) {
        let block = block(&mut drawing, sheet, name);
        drawing.add_block(block);
    }
    for (line, y) in [(format!("Style Name: {}", plain(title)), -20.0), ("Units: METRIC".to_owned(), -40.0)] {
        drawing.add_entity(lettering(&line, Point { x: 0.0, y }));
    }
    for name in names {
        drawing.add_entity(on_layer("1", EntityType::Insert(Insert { name, ..Insert::default() })));
    }
    without_tables(&mut drawing);
    let mut bytes = Vec::new();
    drawing.save(&mut bytes).map_err(|fault| cannot_be_written(&fault.to_string()))?;
    String::from_utf8(bytes).map_err(|fault| cannot_be_written(&fault.to_string()))
}

/// A drawing that is the same on every day and in every time zone.
fn empty() -> Result<Drawing, Problem> {
    let mut drawing = Drawing::new();
    drawing.clear();
    // The unit of length has no place in the header of this release: it is in the lettering.
    drawing.header.version = AcadVersion::R12;
    // The library gives the ends of polylines within blocks the handle 0, which is none.
    drawing.header.handles_enabled = false;
    // The library counts dates from here by the local clock, and panics where the clock shows that time twice or never.
    let start = Local.with_ymd_and_hms(1900, 1, 1, 0, 0, 0).single();
    let start = start.ok_or_else(|| cannot_be_written("in this time zone 1900 has no one beginning"))?;
    (drawing.header.creation_date, drawing.header.update_date) = (start, start);
    Ok(drawing)
}

/// The library writes tables with marks that this release does not know, so that strict readers find no names in them.
/// Layers need none: they are there with the first entity on them.
fn without_tables(drawing: &mut Drawing) {
    while drawing.remove_layer(0).is_some() {}
    while drawing.remove_line_type(0).is_some() {}
    while drawing.remove_style(0).is_some() {}
}

fn cannot_be_written(cause: &str) -> Problem {
    Problem::at(
        "",
        format!("The drawing cannot be written as DXF: {cause}."),
        "export it as SVG, or set the variable TZ to UTC",
    )
}

/// Names of blocks: capital letters, digits, - and _ only, no two alike.
fn block_names(sheets: &[Sheet]) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for sheet in sheets {
        let stem: String = sheet
            .piece
            .name
            .chars()
            .take(25)
            .map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_uppercase() } else { '-' })
            .collect();
        let (mut name, mut count) = (stem.clone(), 2);
        while name.is_empty() || names.contains(&name) {
            name = format!("{stem}-{count}");
            count += 1;
        }
        names.push(name);
    }
    names
}

/// Text on one line, of letters that four digits can number.
fn plain(text: &str) -> String {
    let letter = |c: char| match c {
        _ if c.is_control() => ' ',
        '\u{10000}'.. => '\u{fffd}',
        _ => c,
    };
    text.chars().map(letter).take(200).collect()
}

/// To a millionth of a millimetre.
fn place(p: Point) -> dxf::Point {
    let round = |value: f64| (value * 1e6).round() / 1e6;
    dxf::Point::new(round(p.x), round(p.y), 0.0)
}

fn on_layer(layer: &str, specific: EntityType) -> Entity {
    let mut entity = Entity::new(specific);
    layer.clone_into(&mut entity.common.layer);
    entity
}

fn line(layer: &str, [a, b]: [Point; 2]) -> Entity {
    on_layer(layer, EntityType::Line(Line::new(place(a), place(b))))
}

fn polyline(drawing: &mut Drawing, layer: &str, points: &[Point], is_closed: bool) -> Entity {
    let mut line = Polyline::default();
    line.set_is_closed(is_closed);
    for &p in points {
        line.add_vertex(drawing, Vertex::new(place(p)));
    }
    on_layer(layer, EntityType::Polyline(line))
}

fn lettering(text: &str, at: Point) -> Entity {
    let text = Text { value: text.to_owned(), location: place(at), text_height: 8.0, ..Text::default() };
    on_layer("1", EntityType::Text(text))
}

fn block(drawing: &mut Drawing, sheet: &Sheet, name: &str) -> Block {
    let piece = sheet.piece;
    let mut entities = vec![polyline(drawing, "1", &polygon(piece), true)];
    for hole in &piece.shape.holes {
        entities.push(polyline(drawing, "11", hole, true));
    }
    let grain = level_line(piece);
    entities.push(line("7", grain));
    entities.extend(piece.fold.map(|fold| line("6", [fold.from, fold.to])));
    let notch = |&notch: &Point| on_layer("4", EntityType::ModelPoint(ModelPoint::new(place(notch))));
    entities.extend(piece.notches.iter().map(notch));
    for dart in &piece.darts {
        entities.push(polyline(drawing, "8", &[dart.legs[0], dart.apex, dart.legs[1]], false));
    }
    let lines = [
        format!("Piece Name: {}", plain(&piece.name)),
        format!("Quantity: {}", sheet.quantity.max(1)),
        "Category: piece".to_owned(),
    ];
    for (index, line) in lines.iter().enumerate() {
        let at = Point { x: grain[0].x, y: grain[0].y + 4.0 + 12.0 * index as f64 };
        entities.push(lettering(line, at));
    }
    Block { name: name.to_owned(), layer: "1".to_owned(), entities, ..Block::default() }
}
