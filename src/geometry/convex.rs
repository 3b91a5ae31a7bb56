//! Convex parts of polygons, and sums of convex polygons.

use super::{Point, ring_area};

/// Cuts a simple counter-clockwise ring into convex polygons whose corners are corners of the ring.
///
/// Ears are clipped, then triangles are joined across every diagonal that leaves a convex polygon (Hertel and Mehlhorn
/// 1983: at most four times the least number of parts). None where the ring is not a simple polygon with an area.
pub fn convex_parts(ring: &[Point]) -> Option<Vec<Vec<Point>>> {
    let area = ring_area(ring);
    if ring.len() < 3 || area.is_nan() || area <= 0.0 {
        return None;
    }
    let triangles = triangles(ring)?;
    let covered: f64 = triangles.iter().map(|t| cross(ring[t[0]], ring[t[1]], ring[t[2]]) / 2.0).sum();
    // Parts that overlap or leave something out give another area.
    if (covered - area).abs() > 1e-9 * area {
        return None;
    }
    let parts = joined(ring, triangles.into_iter().map(Vec::from).collect());
    Some(parts.into_iter().map(|part| part.into_iter().map(|i| ring[i]).collect()).collect())
}

/// The sum of a convex polygon and another turned by half a turn about the origin: all `a - b`.
///
/// Both counter-clockwise; the sum is too.
pub fn convex_difference(a: &[Point], b: &[Point]) -> Vec<Point> {
    let b: Vec<Point> = b.iter().map(|&p| -p).collect();
    let (a, b) = (from_lowest(a), from_lowest(&b));
    let (n, m) = (a.len(), b.len());
    let mut sum = Vec::with_capacity(n + m);
    let (mut i, mut j) = (0, 0);
    while i < n || j < m {
        sum.push(a[i % n] + b[j % m]);
        let u = a[(i + 1) % n] - a[i % n];
        let v = b[(j + 1) % m] - b[j % m];
        let turn = u.x * v.y - u.y * v.x;
        if i < n && (j >= m || turn >= 0.0) {
            i += 1;
            if turn == 0.0 && j < m {
                j += 1;
            }
        } else {
            j += 1;
        }
    }
    sum
}

/// Twice the signed area of the triangle a, b, c.
pub fn cross(a: Point, b: Point, c: Point) -> f64 {
    (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)
}

fn from_lowest(ring: &[Point]) -> Vec<Point> {
    let mut first = 0;
    for (i, p) in ring.iter().enumerate() {
        let q = ring[first];
        if (p.y, p.x) < (q.y, q.x) {
            first = i;
        }
    }
    let mut turned = ring.to_vec();
    turned.rotate_left(first);
    turned
}

/// Ear clipping, short diagonals first, which keeps the triangles stout.
fn triangles(ring: &[Point]) -> Option<Vec<[usize; 3]>> {
    let size = ring.iter().map(|p| (p.x - ring[0].x).abs().max((p.y - ring[0].y).abs())).fold(0.0, f64::max);
    let flat = 1e-14 * size * size;
    let mut left: Vec<usize> = (0..ring.len()).collect();
    let mut found = Vec::with_capacity(ring.len());
    while left.len() > 3 {
        let n = left.len();
        let mut best: Option<(f64, usize)> = None;
        let mut flattest: Option<(f64, usize)> = None;
        for k in 0..n {
            let (a, b, c) = (ring[left[(k + n - 1) % n]], ring[left[k]], ring[left[(k + 1) % n]]);
            let turn = cross(a, b, c);
            if flattest.is_none_or(|(t, _)| turn.abs() < t) {
                flattest = Some((turn.abs(), k));
            }
            let span = (c.x - a.x) * (c.x - a.x) + (c.y - a.y) * (c.y - a.y);
            if turn > flat && best.is_none_or(|(s, _)| span < s) && is_ear(ring, &left, k) {
                best = Some((span, k));
            }
        }
        match (flattest, best) {
            (Some((turn, k)), _) if turn <= flat => {
                left.remove(k);
            }
            (_, Some((_, k))) => {
                found.push([left[(k + n - 1) % n], left[k], left[(k + 1) % n]]);
                left.remove(k);
            }
            _ => return None,
        }
    }
    if cross(ring[left[0]], ring[left[1]], ring[left[2]]) > flat {
        found.push([left[0], left[1], left[2]]);
    }
    Some(found)
}

fn is_ear(ring: &[Point], left: &[usize], k: usize) -> bool {
    let n = left.len();
    let (before, after) = ((k + n - 1) % n, (k + 1) % n);
    let (a, b, c) = (ring[left[before]], ring[left[k]], ring[left[after]]);
    (0..n).all(|i| {
        if i == before || i == k || i == after {
            return true;
        }
        let p = ring[left[i]];
        // A corner that only touches the ear's own corner does not stand in its way.
        p == a || p == b || p == c || cross(a, b, p) < 0.0 || cross(b, c, p) < 0.0 || cross(c, a, p) < 0.0
    })
}

fn joined(ring: &[Point], mut parts: Vec<Vec<usize>>) -> Vec<Vec<usize>> {
    let n = ring.len();
    let mut diagonals: Vec<(f64, usize, usize)> = Vec::new();
    for part in &parts {
        for k in 0..part.len() {
            let (a, b) = (part[k], part[(k + 1) % part.len()]);
            if a < b && (a + 1) % n != b && (b + 1) % n != a {
                let d = ring[b] - ring[a];
                diagonals.push((d.x * d.x + d.y * d.y, a, b));
            }
        }
    }
    diagonals.sort_by(|p, q| q.0.total_cmp(&p.0).then((p.1, p.2).cmp(&(q.1, q.2))));
    for (_, a, b) in diagonals {
        let place = |parts: &[Vec<usize>], from: usize, to: usize| {
            parts.iter().enumerate().find_map(|(index, part)| {
                let k = part.iter().position(|&v| v == from)?;
                (part[(k + 1) % part.len()] == to).then_some((index, k))
            })
        };
        let (Some((first, k)), Some((second, m))) = (place(&parts, a, b), place(&parts, b, a)) else {
            continue;
        };
        let (p, q) = (&parts[first], &parts[second]);
        // From b round the first part to a, then on round the second to b.
        let mut whole: Vec<usize> = (1..p.len()).map(|s| p[(k + s) % p.len()]).collect();
        whole.push(a);
        whole.extend((2..q.len()).map(|s| q[(m + s) % q.len()]));
        let size = whole.len();
        let convex = (0..size).all(|s| {
            let (u, v, w) = (ring[whole[s]], ring[whole[(s + 1) % size]], ring[whole[(s + 2) % size]]);
            cross(u, v, w) >= 0.0
        });
        if convex {
            parts[first] = whole;
            parts.remove(second);
        }
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(coordinates: &[(f64, f64)]) -> Vec<Point> {
        coordinates.iter().map(|&(x, y)| Point { x, y }).collect()
    }

    #[test]
    fn a_convex_ring_is_one_part() {
        let square = points(&[(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (1.0, 2.0), (0.0, 2.0)]);
        let parts = convex_parts(&square).unwrap();
        assert_eq!(parts.len(), 1);
        assert_eq!(ring_area(&parts[0]), 4.0);
    }

    #[test]
    fn an_angle_is_two_parts_that_cover_it() {
        let angle = points(&[(0.0, 0.0), (3.0, 0.0), (3.0, 1.0), (1.0, 1.0), (1.0, 3.0), (0.0, 3.0)]);
        let parts = convex_parts(&angle).unwrap();
        assert_eq!(parts.len(), 2);
        let total: f64 = parts.iter().map(|part| ring_area(part)).sum();
        assert!((total - 5.0).abs() < 1e-12);
    }

    #[test]
    fn a_crossed_ring_has_no_parts() {
        let crossed = points(&[(0.0, 0.0), (4.0, 0.0), (0.0, 2.0), (4.0, 3.0)]);
        assert!(convex_parts(&crossed).is_none());
    }

    #[test]
    fn the_difference_of_two_rectangles_is_a_rectangle() {
        let a = points(&[(0.0, 0.0), (2.0, 0.0), (2.0, 1.0), (0.0, 1.0)]);
        let b = points(&[(0.0, 0.0), (3.0, 0.0), (3.0, 5.0), (0.0, 5.0)]);
        let sum = convex_difference(&a, &b);
        assert_eq!(sum.len(), 4);
        assert_eq!(ring_area(&sum), 30.0);
    }
}
