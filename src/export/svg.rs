//! Pieces as SVG (W3C SVG 1.1) in millimetres, the grain upright, with a test square.

use ::svg::Document;
use ::svg::node::element::{Definitions, Group, Marker, Path, Rectangle, TSpan, Text, Title};
use kurbo::{Affine, BezPath, PathEl};
use serde_json::json;

use super::{Sheet, fold_name, level_line, number, ring_path};
use crate::geometry::Point;
use crate::geometry::ring::{nearest_place, unit};
use crate::piece::Piece;
use crate::units::Mm;

/// Space around each piece, in mm.
const MARGIN: Mm = 15.0;

/// Pieces are laid in rows of about this width, in mm.
const ROW: Mm = 1500.0;

/// The side of the test square, in mm.
const SQUARE: Mm = 100.0;

/// Digits after the point of a millimetre.
const DIGITS: usize = 4;

/// All pieces of a project on one sheet.
pub fn svg(title: &str, sheets: &[Sheet]) -> String {
    let mut groups = vec![test_square()];
    let (mut left, mut top, mut high) = (SQUARE + 2.0 * MARGIN, 0.0, SQUARE + 3.0 * MARGIN);
    let mut width: Mm = left;
    for (index, sheet) in sheets.iter().enumerate() {
        // The grain is upright: x of the piece runs up the sheet, y to the left.
        let bounds = sheet.piece.shape.bounds();
        let (wide, tall) = (bounds.width() + 2.0 * MARGIN, bounds.length() + 2.0 * MARGIN);
        if left > 0.0 && left + wide > ROW {
            (left, top, high) = (0.0, top + high, 0.0);
        }
        let place = Affine::new([0.0, -1.0, -1.0, 0.0, left + MARGIN + bounds.max.y, top + MARGIN + bounds.max.x]);
        groups.push(group(sheet, index, place));
        (left, high) = (left + wide, f64::max(high, tall));
        width = width.max(left);
    }
    let (width, height) = (number(width, DIGITS), number(top + high, DIGITS));
    let document = Document::new()
        .set("width", format!("{width}mm"))
        .set("height", format!("{height}mm"))
        .set("viewBox", format!("0 0 {width} {height}"))
        .set("font-family", "sans-serif")
        .set("fill", "none")
        .set("stroke", "#000000")
        .set("stroke-width", "0.3")
        .add(Title::new(title))
        .add(Definitions::new().add(arrow()));
    let document = groups.into_iter().fold(document, Document::add);
    let text = format!("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{document}\n");
    // These two are no characters in XML.
    text.replace(['\u{fffe}', '\u{ffff}'], "\u{fffd}")
}

/// The head of a grain line: it points to the top of the garment.
fn arrow() -> Marker {
    let head = Path::new().set("d", "M 0 0 L 8 3 L 0 6 Z").set("fill", "#000000").set("stroke", "none");
    Marker::new()
        .set("id", "arrow")
        .set("markerUnits", "userSpaceOnUse")
        .set("markerWidth", 8)
        .set("markerHeight", 6)
        .set("refX", 8)
        .set("refY", 3)
        .set("orient", "auto")
        .add(head)
}

fn test_square() -> Group {
    let square = Rectangle::new()
        .set("id", "test-square")
        .set("x", number(MARGIN, DIGITS))
        .set("y", number(MARGIN, DIGITS))
        .set("width", number(SQUARE, DIGITS))
        .set("height", number(SQUARE, DIGITS));
    // Not to an eighth: it is measured.
    let label = format!("test square {SQUARE} mm ({:.3} in)", SQUARE / 25.4);
    let text = lettering(&[label], Point { x: MARGIN + 5.0, y: MARGIN + 50.0 }, 6.0);
    Group::new().add(square).add(text)
}

fn group(sheet: &Sheet, index: usize, place: Affine) -> Group {
    let piece = sheet.piece;
    let at = |p: Point| {
        let p = place * kurbo::Point::new(p.x, p.y);
        Point { x: p.x, y: p.y }
    };
    let mut outline = data(&(place * piece.curve.clone()));
    for hole in &piece.shape.holes {
        outline.push(' ');
        outline.push_str(&data(&(place * ring_path(hole))));
    }
    let outline = Path::new()
        .set("id", format!("piece-{}", index + 1))
        .set("class", "outline")
        .set("fill-rule", "evenodd")
        .set("d", outline)
        .set("data-ellwand", known(piece, &at))
        .add(Title::new(piece.name.as_str()));
    let line = |class: &str, points: &[Point]| {
        Path::new().set("class", class).set("stroke-width", "0.2").set("d", polyline(points))
    };
    let [from, to] = level_line(piece).map(at);
    let mut group = Group::new().add(outline).add(line("grain", &[from, to]).set("marker-end", "url(#arrow)"));
    if let Some(fold) = piece.fold {
        let dashed = line("fold", &[at(fold.from), at(fold.to)]).set("stroke-dasharray", "8 3 2 3");
        group = group.add(dashed.set("stroke-width", "0.8"));
    }
    for &notch in &piece.notches {
        group = group.add(line("notch", &notch_line(piece, notch).map(at)));
    }
    for dart in &piece.darts {
        group = group.add(line("dart", &[at(dart.legs[0]), at(dart.apex), at(dart.legs[1])]));
    }
    let lines: Vec<String> = std::iter::once(piece.name.clone()).chain(sheet.cuts.iter().cloned()).collect();
    let middle = Point { x: from.x + 3.0, y: f64::midpoint(from.y, to.y) };
    let bounds = piece.shape.bounds();
    group.add(lettering(&lines, middle, (bounds.width().min(bounds.length()) / 12.0).clamp(2.0, 5.0)))
}

fn lettering(lines: &[String], at: Point, size: Mm) -> Text {
    let text = Text::new("")
        .set("x", number(at.x, DIGITS))
        .set("y", number(at.y, DIGITS))
        .set("font-size", number(size, 1))
        .set("fill", "#000000")
        .set("stroke", "none");
    lines.iter().enumerate().fold(text, |text, (index, line)| {
        let dy = if index == 0 { 0.0 } else { 1.3 * size };
        text.add(TSpan::new(line.as_str()).set("x", number(at.x, DIGITS)).set("dy", number(dy, DIGITS)))
    })
}

/// What lines cannot show, for a later import: named points in the sheet's coordinates, edges, allowance in mm.
fn known(piece: &Piece, at: &impl Fn(Point) -> Point) -> String {
    let round = |value: Mm| (value * 1e6).round() / 1e6;
    let points: serde_json::Map<String, serde_json::Value> =
        piece.points.iter().map(|(name, &p)| (name.clone(), json!([round(at(p).x), round(at(p).y)]))).collect();
    let edges: serde_json::Map<String, serde_json::Value> =
        piece.edges.iter().map(|(name, edge)| (name.clone(), json!(edge.names))).collect();
    let mut known = json!({ "points": points, "edges": edges });
    if let Some(fold) = fold_name(piece) {
        known["fold"] = json!(fold);
    }
    if piece.allowance.included > 0.0 || !piece.allowance.edges.is_empty() {
        known["included"] = json!(piece.allowance.included);
        known["allowances"] = json!(piece.allowance.edges);
    }
    known.to_string()
}

/// A notch as a stroke of 5 mm from the outline inwards.
pub(super) fn notch_line(piece: &Piece, notch: Point) -> [Point; 2] {
    let ring = &piece.shape.outline;
    let Some(place) = nearest_place(ring, notch) else { return [notch, notch] };
    let along = ring[(place.index + 1) % ring.len()] - ring[place.index];
    let inwards = unit(along).map_or(Point { x: 0.0, y: 1.0 }, |d| Point { x: -d.y, y: d.x });
    [notch, notch + inwards * 5.0]
}

fn polyline(points: &[Point]) -> String {
    let part = |(i, p): (usize, &Point)| {
        format!("{} {} {}", if i == 0 { 'M' } else { 'L' }, number(p.x, DIGITS), number(p.y, DIGITS))
    };
    points.iter().enumerate().map(part).collect::<Vec<_>>().join(" ")
}

fn data(path: &BezPath) -> String {
    let at = |p: kurbo::Point| format!("{} {}", number(p.x, DIGITS), number(p.y, DIGITS));
    let part = |element: &PathEl| match *element {
        PathEl::MoveTo(p) => format!("M {}", at(p)),
        PathEl::LineTo(p) => format!("L {}", at(p)),
        PathEl::QuadTo(a, p) => format!("Q {} {}", at(a), at(p)),
        PathEl::CurveTo(a, b, p) => format!("C {} {} {}", at(a), at(b), at(p)),
        PathEl::ClosePath => "Z".to_owned(),
    };
    path.elements().iter().map(part).collect::<Vec<_>>().join(" ")
}
