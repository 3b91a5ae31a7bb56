//! DXF entities to paths (DXF reference, R12 to R2018, as published by the format's makers).

use std::fmt::Write as _;

use dxf::entities::{Ellipse, EntityType, Insert, Polyline};
use kurbo::{Affine, BezPath, Point};

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

/// What an entity draws; `size` is its unit in mm, so that arcs are as close as they have to be.
///
/// # Errors
/// In words, where its numbers make no line.
pub(super) fn drawn(entity: &EntityType, size: f64) -> Result<Drawn, String> {
    // Seen from below, x runs the other way (extrusion direction 0, 0, -1).
    let (drawn, height) = match entity {
        EntityType::Line(line) => {
            let (a, b) = (&line.p1, &line.p2);
            (path(&format!("M {} {} L {} {}", a.x, a.y, b.x, b.y), size)?, 1.0)
        }
        EntityType::LwPolyline(line) => {
            let places: Vec<_> = line.vertices.iter().map(|v| (v.x, v.y, v.bulge)).collect();
            (path(&polyline(&places, line.is_closed()), size)?, line.extrusion_direction.z)
        }
        EntityType::Polyline(line) => (old_polyline(line, size)?, line.normal.z),
        EntityType::Circle(circle) => (path(&arc(&circle.center, circle.radius, 0.0, 360.0)?, size)?, circle.normal.z),
        EntityType::Arc(found) => {
            (path(&arc(&found.center, found.radius, found.start_angle, found.end_angle)?, size)?, found.normal.z)
        }
        EntityType::Ellipse(found) => (path(&ellipse(found)?, size)?, 1.0),
        EntityType::Spline(found) => (Drawn::Path(spline(found)?), 1.0),
        EntityType::ModelPoint(point) => (Drawn::Point(flat(&point.location)), 1.0),
        EntityType::Text(text) => (lettering(&text.value, &text.location), text.normal.z),
        // Long lettering comes in parts.
        EntityType::MText(text) => (lettering(&(text.extended_text.concat() + &text.text), &text.insertion_point), 1.0),
        EntityType::Insert(insert) => (put_in(insert), insert.extrusion_direction.z),
        _ => (Drawn::Nothing, 1.0),
    };
    Ok(if height < 0.0 { mirrored(drawn) } else { drawn })
}

fn flat(p: &dxf::Point) -> Point {
    Point::new(p.x, p.y)
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

/// A polyline of the kind whose points are entities of their own.
fn old_polyline(line: &Polyline, size: f64) -> Result<Drawn, String> {
    if line.is_3d_polygon_mesh() || line.is_polyface_mesh() {
        return Err("a mesh".to_owned());
    }
    let places = line.vertices().filter(|vertex| !vertex.is_spline_frame_control_point());
    let places: Vec<_> = places.map(|v| (v.location.x, v.location.y, v.bulge)).collect();
    path(&polyline(&places, line.is_closed()), size)
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

/// An arc counter-clockwise from one angle to another, in degrees; the whole circle where they are the same.
fn arc(middle: &dxf::Point, radius: f64, from: f64, to: f64) -> Result<String, String> {
    if radius <= 0.0 {
        return Err("an arc without radius".to_owned());
    }
    let sweep = (to - from).rem_euclid(360.0);
    let sweep = if sweep == 0.0 { 360.0 } else { sweep };
    let at = |t: f64| (middle.x + radius * libm::cos(t), middle.y + radius * libm::sin(t));
    Ok(turn(at, (radius, radius, 0.0), from.to_radians(), sweep.to_radians()))
}

fn ellipse(found: &Ellipse) -> Result<String, String> {
    let (middle, axis, ratio) = (&found.center, &found.major_axis, found.minor_axis_ratio);
    let long = libm::hypot(axis.x, axis.y);
    if long <= 0.0 || ratio <= 0.0 {
        return Err("an ellipse without axes".to_owned());
    }
    let sweep = (found.end_parameter - found.start_parameter).rem_euclid(FULL);
    let sweep = if sweep < 1e-9 { FULL } else { sweep };
    let at = |t: f64| {
        let (cosine, sine) = (libm::cos(t), libm::sin(t) * ratio);
        (middle.x + axis.x * cosine - axis.y * sine, middle.y + axis.y * cosine + axis.x * sine)
    };
    Ok(turn(at, (long, long * ratio, libm::atan2(axis.y, axis.x).to_degrees()), found.start_parameter, sweep))
}

const FULL: f64 = std::f64::consts::TAU;

/// Path data of an arc counter-clockwise from one angle by another; in two halves, so that a full turn has two ends.
fn turn(at: impl Fn(f64) -> (f64, f64), (rx, ry, tilt): (f64, f64, f64), from: f64, sweep: f64) -> String {
    let [(x0, y0), (x1, y1), (x2, y2)] = [0.0, 0.5, 1.0].map(|share| at(from + sweep * share));
    let end = if sweep >= FULL - 1e-9 { " Z" } else { "" };
    format!("M {x0} {y0} A {rx} {ry} {tilt} 0 1 {x1} {y1} A {rx} {ry} {tilt} 0 1 {x2} {y2}{end}")
}

fn spline(found: &dxf::entities::Spline) -> Result<BezPath, String> {
    let spline = Spline {
        degree: usize::try_from(found.degree_of_curve).unwrap_or(0),
        knots: found.knot_values.clone(),
        controls: found.control_points.iter().map(flat).collect(),
        weights: found.weight_values.clone(),
    };
    curve(&spline).ok_or_else(|| "a curve (spline) whose numbers do not fit together".to_owned())
}

fn lettering(content: &str, at: &dxf::Point) -> Drawn {
    Drawn::Text(content.replace("\\P", "\n").chars().take(2000).collect(), flat(at))
}

fn put_in(insert: &Insert) -> Drawn {
    let (sine, cosine) = crate::geometry::sine_cosine(insert.rotation);
    let (sx, sy) = (insert.x_scale_factor, insert.y_scale_factor);
    let place = [cosine * sx, sine * sx, -sine * sy, cosine * sy, insert.location.x, insert.location.y];
    Drawn::Insert(insert.name.clone(), Affine::new(place))
}
