//! The test square: a square of known size that tells whether a pattern was printed or saved true.

use super::closed::{ClosedLine, Kind};
use super::drawing::Drawing;
use super::words;
use crate::error::Problem;
use crate::geometry::Point;
use crate::geometry::ring::{cross, distance, unit};
use crate::units::{Mm, Rounding, Unit, both};

/// A square may be off by this share of its size.
const TOLERANCE: f64 = 0.005;

/// The corners of a ring that is a rectangle, points on the way left out.
pub(super) fn rectangle(ring: &[Point]) -> Option<[Point; 4]> {
    if ring.len() > 2000 {
        return None;
    }
    let count = ring.len();
    let is_corner = |i: usize| {
        let (a, b, c) = (ring[(i + count - 1) % count], ring[i], ring[(i + 1) % count]);
        unit(b - a).zip(unit(c - b)).is_some_and(|(u, v)| cross(u, v).abs() > 0.01)
    };
    let corners: Vec<Point> = (0..count).filter(|&i| is_corner(i)).map(|i| ring[i]).collect();
    let corners: [Point; 4] = corners.try_into().ok()?;
    let sides: Vec<Point> = (0..4).filter_map(|i| unit(corners[(i + 1) % 4] - corners[i])).collect();
    let square_on = sides.len() == 4 && (0..4).all(|i| (cross(sides[i], sides[(i + 1) % 4]).abs() - 1.0).abs() < 1e-3);
    square_on.then_some(corners)
}

/// Both sides of a rectangle.
pub(super) fn sides(corners: [Point; 4]) -> [Mm; 2] {
    [distance(corners[0], corners[1]), distance(corners[1], corners[2])]
}

/// Both sides of a ring that is nearly a square: they differ by no more than 5 %.
pub(super) fn square_sides(ring: &[Point]) -> Option<[Mm; 2]> {
    let [a, b] = rectangle(ring).map(sides)?;
    (a.min(b) >= 0.95 * a.max(b)).then_some([a, b])
}

/// Whether a square's name or the lettering on it says that it is there to be measured.
pub(super) fn is_labelled(drawing: &Drawing, line: &ClosedLine) -> bool {
    let element = drawing.element_of(&drawing.lines[line.line]);
    let (min, max) = (line.bounds.min, line.bounds.max);
    // Lettering stands in the square or close beside it.
    let near = |p: Point| p.x >= min.x - 5.0 && p.x <= max.x + 5.0 && p.y >= min.y - 15.0 && p.y <= max.y + 10.0;
    element.names.iter().any(|name| words::is_test_square(name))
        || drawing
            .texts
            .iter()
            .any(|text| text.block == line.block && near(text.at) && words::is_test_square(&text.content))
}

/// Measures the test square among the closed lines: those that are called one, else the one nearest to the size asked for.
/// Gives its place among the lines, and its sides after scaling.
///
/// # Errors
/// No square, or one that is off: the problem names the scale to use.
pub(super) fn check(lines: &[ClosedLine], wanted: Mm, scale: f64) -> Result<(usize, [Mm; 2]), Problem> {
    let squares = || lines.iter().enumerate().filter(|(_, line)| line.square.is_some());
    let is_called = |line: &ClosedLine| line.kind == Kind::Square;
    let any_called = squares().any(|(_, line)| is_called(line));
    let off = |line: &ClosedLine| {
        let [a, b] = line.square.unwrap_or_default();
        [a, b].map(|side| libm::log(side / wanted).abs()).into_iter().fold(0.0, f64::max)
    };
    let nearest = squares()
        .filter(|(_, line)| !any_called || is_called(line))
        .min_by(|(_, one), (_, other)| off(one).total_cmp(&off(other)));
    let Some((index, [a, b])) = nearest.and_then(|(index, line)| Some((index, line.square?))) else {
        let cause = "There is no square in the drawing to measure.";
        return Err(Problem::at(
            "--square",
            cause,
            "leave --square out, or measure a known length yourself and use --scale",
        ));
    };
    if [a, b].iter().all(|side| (side - wanted).abs() <= TOLERANCE * wanted) {
        return Ok((index, [a, b]));
    }
    let (wide, high, want) = (shown(a), shown(b), shown(wanted));
    if (a - b).abs() > TOLERANCE * a.max(b) {
        let cause = format!("The test square measures {wide} by {high}; it should be {want} both ways.");
        return Err(Problem::at(
            "--square",
            cause,
            "the drawing was stretched: get it again, or print and copy it true",
        ));
    }
    let better = scale * wanted / f64::midpoint(a, b);
    let text = format!("{better:.5}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    let cause = format!("The test square measures {wide}; it should be {want}.");
    Err(Problem::at("--square", cause, format!("import with --scale {text}")))
}

/// A length to a hundredth of a millimetre, and as the trade gives it.
fn shown(mm: Mm) -> String {
    let inches = mm / Unit::Inch.mm();
    if mm < 500.0 { format!("{mm:.1} mm ({inches:.3} in)") } else { both(mm, Rounding::Nearest) }
}
