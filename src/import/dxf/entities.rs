//! DXF entities to paths (DXF reference, R12 to R2018, as published by the format's makers).

use std::fmt::Write as _;

use kurbo::{Affine, BezPath, Point};

use super::pairs::Entry;
use super::spline::{Spline, curve};
use crate::geometry::path_data;

/// What an entity draws, in the file's own unit.
pub(super) enum Drawn {
    Path(BezPath),
    Point(Point),
    Text(String, Point),
    /// Another block, put here.
    Insert(String, Affine),
    Nothing,
}

/// Joins the vertices that follow an old-style polyline to it, as group codes 10, 20 and 42 of one entry each.
pub(super) fn with_vertices(entries: Vec<Entry<'_>>) -> Vec<(Entry<'_>, Vec<Entry<'_>>)> {
    let mut found: Vec<(Entry, Vec<Entry>)> = Vec::new();
    let mut is_open = false;
    for entry in entries {
        match (entry.kind, found.last_mut()) {
            ("VERTEX", Some((_, vertices))) if is_open => vertices.push(entry),
            ("SEQEND", _) => is_open = false,
            _ => {
                is_open = entry.kind == "POLYLINE";
                found.push((entry, Vec::new()));
            }
        }
    }
    found
}

/// What an entity draws; `size` is its unit in mm, so that arcs are as close as they have to be.
///
/// # Errors
/// In words, where its numbers make no line.
pub(super) fn drawn(entry: &Entry, vertices: &[Entry], size: f64) -> Result<Drawn, String> {
    let drawn = match entry.kind {
        "LINE" => match (entry.point(10), entry.point(11)) {
            (Some((x1, y1)), Some((x2, y2))) => path(&format!("M {x1} {y1} L {x2} {y2}"), size)?,
            _ => return Err("a line without two ends".to_owned()),
        },
        "LWPOLYLINE" => path(&polyline(&light_vertices(entry), entry.flags(70) & 1 == 1), size)?,
        "POLYLINE" if entry.flags(70) & (16 | 64) != 0 => return Err("a mesh".to_owned()),
        "POLYLINE" => {
            // Flag 16: a control point of the frame a spline was drawn by, not a point of the line.
            let places = vertices.iter().filter(|vertex| vertex.flags(70) & 16 == 0);
            let places: Vec<_> =
                places.filter_map(|v| v.point(10).map(|(x, y)| (x, y, v.number(42).unwrap_or(0.0)))).collect();
            path(&polyline(&places, entry.flags(70) & 1 == 1), size)?
        }
        "CIRCLE" | "ARC" => path(&arc(entry)?, size)?,
        "ELLIPSE" => path(&ellipse(entry)?, size)?,
        "SPLINE" => Drawn::Path(spline(entry)?),
        "POINT" => entry.point(10).map_or(Drawn::Nothing, |p| Drawn::Point(p.into())),
        "TEXT" | "ATTRIB" | "MTEXT" => text(entry),
        "INSERT" => insert(entry),
        _ => Drawn::Nothing,
    };
    // Seen from below: x runs the other way (extrusion direction 0, 0, -1).
    let mirrors = matches!(entry.kind, "LWPOLYLINE" | "POLYLINE" | "CIRCLE" | "ARC" | "TEXT" | "INSERT");
    let is_below = mirrors && entry.number(230).is_some_and(|z| z < 0.0);
    Ok(if is_below { mirrored(drawn) } else { drawn })
}

fn mirrored(drawn: Drawn) -> Drawn {
    let flip = Affine::new([-1.0, 0.0, 0.0, 1.0, 0.0, 0.0]);
    match drawn {
        Drawn::Path(path) => Drawn::Path(flip * path),
        Drawn::Point(p) => Drawn::Point(flip * p),
        Drawn::Text(text, p) => Drawn::Text(text, flip * p),
        Drawn::Insert(name, place) => Drawn::Insert(name, flip * place),
        Drawn::Nothing => Drawn::Nothing,
    }
}

fn path(data: &str, size: f64) -> Result<Drawn, String> {
    if data.is_empty() {
        return Ok(Drawn::Nothing);
    }
    Ok(Drawn::Path(Affine::scale(1.0 / size) * path_data(data, size)?))
}

fn light_vertices(entry: &Entry) -> Vec<(f64, f64, f64)> {
    let mut places: Vec<(f64, f64, f64)> = Vec::new();
    for &(code, value) in &entry.pairs {
        let Some(value) = super::pairs::number(value) else { continue };
        match (code, places.last_mut()) {
            (10, _) => places.push((value, 0.0, 0.0)),
            (20, Some(place)) => place.1 = value,
            (42, Some(place)) => place.2 = value,
            _ => {}
        }
    }
    places
}

/// Path data of a polyline; a bulge is the tangent of a quarter of the angle its arc turns.
fn polyline(places: &[(f64, f64, f64)], closed: bool) -> String {
    let Some(&(x, y, _)) = places.first() else { return String::new() };
    let mut data = format!("M {x} {y}");
    let following = places.iter().skip(1).chain(if closed { places.first() } else { None });
    for (&(x1, y1, bulge), &(x2, y2, _)) in places.iter().zip(following) {
        if bulge == 0.0 {
            let _ = write!(data, " L {x2} {y2}");
        } else {
            let chord = libm::hypot(x2 - x1, y2 - y1);
            let radius = chord * (1.0 + bulge * bulge) / (4.0 * bulge.abs());
            let (large, sweep) = (u8::from(bulge.abs() > 1.0), u8::from(bulge > 0.0));
            let _ = write!(data, " A {radius} {radius} 0 {large} {sweep} {x2} {y2}");
        }
    }
    if closed { data + " Z" } else { data }
}

fn arc(entry: &Entry) -> Result<String, String> {
    let ((x, y), radius) = entry.point(10).zip(entry.number(40)).ok_or("an arc without middle or radius")?;
    if radius <= 0.0 {
        return Err("an arc without radius".to_owned());
    }
    if entry.kind == "CIRCLE" {
        return Ok(turn(|t| (x + radius * libm::cos(t), y + radius * libm::sin(t)), (radius, radius, 0.0), 0.0, FULL));
    }
    let (from, to) = (entry.number(50).unwrap_or(0.0), entry.number(51).unwrap_or(360.0));
    let sweep = (to - from).rem_euclid(360.0);
    let sweep = if sweep == 0.0 { 360.0 } else { sweep };
    let at = |t: f64| (x + radius * libm::cos(t), y + radius * libm::sin(t));
    Ok(turn(at, (radius, radius, 0.0), from.to_radians(), sweep.to_radians()))
}

fn ellipse(entry: &Entry) -> Result<String, String> {
    let missing = "an ellipse without middle or axes";
    let ((x, y), (ax, ay)) = entry.point(10).zip(entry.point(11)).ok_or(missing)?;
    let ratio = entry.number(40).ok_or(missing)?;
    let long = libm::hypot(ax, ay);
    if long <= 0.0 || ratio <= 0.0 {
        return Err(missing.to_owned());
    }
    let (from, to) = (entry.number(41).unwrap_or(0.0), entry.number(42).unwrap_or(FULL));
    let sweep = (to - from).rem_euclid(FULL);
    let sweep = if sweep < 1e-9 { FULL } else { sweep };
    let at = |t: f64| {
        let (cosine, sine) = (libm::cos(t), libm::sin(t) * ratio);
        (x + ax * cosine - ay * sine, y + ay * cosine + ax * sine)
    };
    Ok(turn(at, (long, long * ratio, libm::atan2(ay, ax).to_degrees()), from, sweep))
}

const FULL: f64 = std::f64::consts::TAU;

/// Path data of an arc counter-clockwise from one angle by another; in two halves, so that a full turn has two ends.
fn turn(at: impl Fn(f64) -> (f64, f64), (rx, ry, tilt): (f64, f64, f64), from: f64, sweep: f64) -> String {
    let [(x0, y0), (x1, y1), (x2, y2)] = [0.0, 0.5, 1.0].map(|share| at(from + sweep * share));
    let end = if sweep >= FULL - 1e-9 { " Z" } else { "" };
    format!("M {x0} {y0} A {rx} {ry} {tilt} 0 1 {x1} {y1} A {rx} {ry} {tilt} 0 1 {x2} {y2}{end}")
}

fn spline(entry: &Entry) -> Result<BezPath, String> {
    let controls = entry.numbers(10).into_iter().zip(entry.numbers(20)).map(Point::from).collect();
    let degree = usize::try_from(entry.flags(71)).unwrap_or(0);
    let spline = Spline { degree, knots: entry.numbers(40), controls, weights: entry.numbers(41) };
    curve(&spline).ok_or_else(|| "a curve (spline) whose numbers do not fit together".to_owned())
}

fn text(entry: &Entry) -> Drawn {
    // Long lettering comes in parts: group codes 3, then 1.
    let content: String =
        entry.pairs.iter().filter(|(code, _)| matches!(code, 1 | 3)).map(|(_, value)| *value).collect();
    let content: String = content.replace("\\P", "\n").chars().take(2000).collect();
    Drawn::Text(content, entry.point(10).unwrap_or_default().into())
}

fn insert(entry: &Entry) -> Drawn {
    let Some(name) = entry.text(2) else { return Drawn::Nothing };
    let turn = entry.number(50).unwrap_or(0.0);
    let (sine, cosine) = crate::geometry::sine_cosine(turn);
    let (sx, sy) = (entry.number(41).unwrap_or(1.0), entry.number(42).unwrap_or(1.0));
    let (x, y) = entry.point(10).unwrap_or_default();
    Drawn::Insert(name.to_owned(), Affine::new([cosine * sx, sine * sx, -sine * sy, cosine * sy, x, y]))
}
