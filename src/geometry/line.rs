//! Polylines by distance walked: parts of them, where lines cross, kinks faired.

use kurbo::{CubicBez, ParamCurve};

use super::Point;
use super::ring::{along_polyline, cross, distance, dot, polyline_length, unit};
use crate::units::Mm;

/// Kinks under this are what flattening leaves: the cosine of 2 degrees.
const SMOOTH_COSINE: f64 = 0.9994;

/// How far back from a kink fairing begins, in mm, widest first; the first that keeps within the tolerance is taken.
const REACHES: [Mm; 10] = [60.0, 45.0, 30.0, 20.0, 14.0, 10.0, 7.0, 4.0, 2.0, 1.0];

/// Steps of a faired stretch: chords of a gentle curve 120 mm long stray by less than the flattening tolerance.
const FAIR_STEPS: usize = 24;

/// The point after `walked` mm; beyond the ends the line is carried straight on.
pub(crate) fn point_at(line: &[Point], walked: Mm) -> Point {
    let mut left = walked;
    let last = line.len().saturating_sub(2);
    for (index, pair) in line.windows(2).enumerate() {
        let length = distance(pair[0], pair[1]);
        if left <= length || index == last {
            return if length > 0.0 { pair[0] + (pair[1] - pair[0]) * (left / length) } else { pair[0] };
        }
        left -= length;
    }
    line.first().copied().unwrap_or_default()
}

/// The part from one distance walked to another, ends carried straight on where they lie beyond the line.
pub(crate) fn part(line: &[Point], from: Mm, to: Mm) -> Vec<Point> {
    let mut points = vec![point_at(line, from)];
    let mut walked = 0.0;
    for (index, &p) in line.iter().enumerate() {
        if index > 0 {
            walked += distance(line[index - 1], p);
        }
        if walked > from + 1e-9 && walked < to - 1e-9 {
            points.push(p);
        }
    }
    points.push(point_at(line, to));
    points
}

/// The direction of the line after `walked` mm, length 1.
pub(crate) fn direction_at(line: &[Point], walked: Mm) -> Option<Point> {
    let mut left = walked;
    let mut direction = None;
    for pair in line.windows(2) {
        direction = unit(pair[1] - pair[0]).or(direction);
        left -= distance(pair[0], pair[1]);
        if left < 0.0 {
            break;
        }
    }
    direction
}

/// The line with both ends carried straight on.
pub(crate) fn carried_on(line: &[Point], before: Mm, after: Mm) -> Vec<Point> {
    let mut points = line.to_vec();
    if let [a, b, ..] = *line
        && before > 0.0
        && let Some(direction) = unit(a - b)
    {
        points.insert(0, a + direction * before);
    }
    if let [.., a, b] = *line
        && after > 0.0
        && let Some(direction) = unit(b - a)
    {
        points.push(b + direction * after);
    }
    points
}

/// Where two lines cross: how far along each, in mm, and the point. In the order of the first line.
pub(crate) fn crossings(one: &[Point], other: &[Point]) -> Vec<(Mm, Mm, Point)> {
    let mut found = Vec::new();
    let mut along_one = 0.0;
    for pair in one.windows(2) {
        let length = distance(pair[0], pair[1]);
        let mut along_other = 0.0;
        let before = found.len();
        for beside in other.windows(2) {
            let beside_length = distance(beside[0], beside[1]);
            if let Some((s, t)) = shares(pair, beside) {
                let point = pair[0] + (pair[1] - pair[0]) * s;
                found.push((along_one + s * length, along_other + t * beside_length, point));
            }
            along_other += beside_length;
        }
        found[before..].sort_by(|a, b| a.0.total_cmp(&b.0));
        along_one += length;
    }
    found
}

/// The shares of two segments at which they cross.
pub(crate) fn shares(one: &[Point], other: &[Point]) -> Option<(f64, f64)> {
    let ([a, b], [c, d]) = (one, other) else {
        return None;
    };
    let (along, beside) = (*b - *a, *d - *c);
    let slant = cross(along, beside);
    if slant.abs() <= 1e-9 * distance(*a, *b) * distance(*c, *d) {
        return None;
    }
    let s = cross(*c - *a, beside) / slant;
    let t = cross(*c - *a, along) / slant;
    let within = |share: f64| (-1e-9..=1.0 + 1e-9).contains(&share);
    (within(s) && within(t)).then(|| (s.clamp(0.0, 1.0), t.clamp(0.0, 1.0)))
}

/// Whether a closed ring holds a point (the even-odd rule).
pub(crate) fn holds(ring: &[Point], p: Point) -> bool {
    let mut inside = false;
    for (i, &a) in ring.iter().enumerate() {
        let b = ring[(i + 1) % ring.len()];
        if (a.y > p.y) != (b.y > p.y) && p.x < (b.x - a.x) * (p.y - a.y) / (b.y - a.y) + a.x {
            inside = !inside;
        }
    }
    inside
}

/// Rounds the kink nearest to `at` into a curve that strays no further than `tolerance` from the line and begins no further
/// than `most` back from it.
///
/// The curve leaves and meets the line in the line's own direction. Also gives the length that was redrawn: 0 where there
/// is no kink.
pub(crate) fn faired(line: &[Point], at: Point, tolerance: Mm, most: Mm) -> (Vec<Point>, Mm) {
    let (place, _) = along_polyline(line, at);
    let whole = polyline_length(line);
    let kink = direction_at(line, place - 1e-3).zip(direction_at(line, place + 1e-3));
    if kink.is_none_or(|(before, after)| dot(before, after) > SMOOTH_COSINE) {
        return (line.to_vec(), 0.0);
    }
    for reach in REACHES {
        let reach = reach.min(most).min(0.45 * place).min(0.45 * (whole - place));
        let Some(curve) = rounded(line, place, reach) else { continue };
        let old = part(line, place - reach, place + reach);
        let away = |from: &[Point], to: &[Point]| from.iter().map(|&p| along_polyline(to, p).1).fold(0.0, f64::max);
        if away(&curve, &old).max(away(&old, &curve)) <= tolerance {
            let mut points = part(line, 0.0, place - reach);
            points.extend_from_slice(&curve[1..]);
            points.extend_from_slice(&part(line, place + reach, whole)[1..]);
            return (points, 2.0 * reach);
        }
    }
    (line.to_vec(), 0.0)
}

/// A smooth curve over the stretch within `reach` of a place of the line.
pub(crate) fn rounded(line: &[Point], place: Mm, reach: Mm) -> Option<Vec<Point>> {
    if reach <= 1e-6 {
        return None;
    }
    let (a, b) = (point_at(line, place - reach), point_at(line, place + reach));
    let from = direction_at(line, place - reach + 1e-6)?;
    let to = direction_at(line, place + reach - 1e-6)?;
    let third = distance(a, b) / 3.0;
    let kurbo = |p: Point| kurbo::Point::new(p.x, p.y);
    let curve = CubicBez::new(kurbo(a), kurbo(a + from * third), kurbo(b - to * third), kurbo(b));
    let mut points: Vec<Point> = (0..=FAIR_STEPS)
        .map(|step| {
            let p = curve.eval(step as f64 / FAIR_STEPS as f64);
            Point { x: p.x, y: p.y }
        })
        .collect();
    points[0] = a;
    points[FAIR_STEPS] = b;
    Some(points)
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::coord;

    #[test]
    fn parts_join_up_and_carry_on() {
        let line = [coord! {x: 0.0, y: 0.0}, coord! {x: 10.0, y: 0.0}, coord! {x: 10.0, y: 10.0}];
        assert_eq!(part(&line, 5.0, 12.0), [coord! {x: 5.0, y: 0.0}, line[1], coord! {x: 10.0, y: 2.0}]);
        assert_eq!(part(&line, -3.0, 4.0), [coord! {x: -3.0, y: 0.0}, line[0], coord! {x: 4.0, y: 0.0}]);
        assert_eq!(point_at(&line, 25.0), coord! {x: 10.0, y: 15.0});
        let cross = [coord! {x: 3.0, y: -1.0}, coord! {x: 3.0, y: 1.0}];
        assert_eq!(crossings(&line, &cross), [(3.0, 1.0, coord! {x: 3.0, y: 0.0})]);
    }

    #[test]
    fn a_kink_is_faired_within_the_tolerance_and_a_straight_line_left_alone() {
        let line = [coord! {x: 0.0, y: 0.0}, coord! {x: 100.0, y: 0.0}, coord! {x: 200.0, y: 14.0}];
        let (smooth, redrawn) = faired(&line, line[1], 1.0, 60.0);
        assert!(redrawn > 10.0);
        assert!(smooth.iter().all(|&p| along_polyline(&line, p).1 <= 1.0));
        // No turn of more than a degree and a half is left of the eight.
        let turns = smooth.windows(3).map(|w| dot(unit(w[1] - w[0]).unwrap(), unit(w[2] - w[1]).unwrap()));
        assert!(turns.fold(1.0, f64::min) > 0.9996);
        let straight = [line[0], coord! {x: 50.0, y: 0.0}, line[1]];
        assert_eq!(faired(&straight, straight[1], 1.0, 60.0), (straight.to_vec(), 0.0));
    }
}
