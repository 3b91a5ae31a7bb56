//! B-splines to curves (de Boor; Piegl and Tiller, The NURBS Book, chapters 2 and 5).

use kurbo::{BezPath, Point};

/// Points for each span of a spline that is no plain cubic.
const STEPS: usize = 32;

/// A B-spline as a DXF file gives it.
#[derive(Debug, Clone)]
pub(super) struct Spline {
    pub(super) degree: usize,
    pub(super) knots: Vec<f64>,
    pub(super) controls: Vec<Point>,
    /// One for each control point, or none where all weigh alike.
    pub(super) weights: Vec<f64>,
}

/// The curve: exact for cubics whose points weigh alike, else many short lines. None where the numbers do not fit.
pub(super) fn curve(spline: &Spline) -> Option<BezPath> {
    let Spline { degree, knots, controls, weights } = spline;
    let (p, n) = (*degree, controls.len());
    let fits = (1..=9).contains(&p) && n > p && knots.len() == n + p + 1 && n <= 20_000;
    let rises = knots.windows(2).all(|two| two[0] <= two[1]);
    if !fits || !rises || !(weights.is_empty() || weights.len() == n) {
        return None;
    }
    let weigh_alike = weights.iter().all(|&weight| (weight - 1.0).abs() < 1e-12);
    let spans: Vec<usize> = (p..n).filter(|&i| knots[i + 1] > knots[i]).collect();
    let mut path = BezPath::new();
    for &span in &spans {
        if path.elements().is_empty() {
            path.move_to(at(spline, span, knots[span])?);
        }
        if p == 3 && weigh_alike {
            let blossom = |a: f64, b: f64, c: f64| blossom(spline, span, [a, b, c]);
            let (u, v) = (knots[span], knots[span + 1]);
            path.curve_to(blossom(u, u, v), blossom(u, v, v), blossom(v, v, v));
        } else {
            for step in 1..=STEPS {
                let share = step as f64 / STEPS as f64;
                path.line_to(at(spline, span, knots[span] + (knots[span + 1] - knots[span]) * share)?);
            }
        }
    }
    (!path.elements().is_empty()).then_some(path)
}

/// The cubic's blossom: its Bézier points are the blossom at the ends of the span.
fn blossom(spline: &Spline, span: usize, at: [f64; 3]) -> Point {
    let mut d: [Point; 4] = std::array::from_fn(|j| spline.controls[span - 3 + j]);
    for (round, t) in (1..=3).zip(at) {
        for j in (round..=3).rev() {
            let i = span - 3 + j;
            let (low, high) = (spline.knots[i], spline.knots[i + 4 - round]);
            let share = if high > low { (t - low) / (high - low) } else { 0.0 };
            d[j] = d[j - 1].lerp(d[j], share);
        }
    }
    d[3]
}

/// The spline's point at a parameter within a span (de Boor, with weights).
fn at(spline: &Spline, span: usize, t: f64) -> Option<Point> {
    let p = spline.degree;
    let mut d: Vec<(Point, f64)> = (0..=p)
        .map(|j| {
            let i = span - p + j;
            let weight = spline.weights.get(i).copied().unwrap_or(1.0);
            ((spline.controls[i].to_vec2() * weight).to_point(), weight)
        })
        .collect();
    for round in 1..=p {
        for j in (round..=p).rev() {
            let i = span - p + j;
            let (low, high) = (spline.knots[i], spline.knots[i + p + 1 - round]);
            let share = if high > low { (t - low) / (high - low) } else { 0.0 };
            d[j] = (d[j - 1].0.lerp(d[j].0, share), d[j - 1].1 + (d[j].1 - d[j - 1].1) * share);
        }
    }
    let (point, weight) = d[p];
    (weight.abs() > 1e-12).then(|| (point.to_vec2() / weight).to_point())
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::ParamCurve;

    #[test]
    fn a_cubic_is_exact_and_a_rational_circle_is_round() {
        let controls: Vec<Point> =
            [(0.0, 0.0), (1.0, 3.0), (4.0, 3.0), (6.0, 0.0), (8.0, 2.0)].map(Point::from).to_vec();
        let knots = vec![0.0, 0.0, 0.0, 0.0, 0.4, 1.0, 1.0, 1.0, 1.0];
        let spline = Spline { degree: 3, knots, controls, weights: vec![] };
        let path = curve(&spline).unwrap();
        for (segment, (from, to)) in path.segments().zip([(0.0, 0.4), (0.4, 1.0)]) {
            for i in 0..=10 {
                let share = f64::from(i) / 10.0;
                let span = if to < 0.5 { 3 } else { 4 };
                let expected = at(&spline, span, from + (to - from) * share).unwrap();
                assert!(segment.eval(share).distance(expected) < 1e-12);
            }
        }
        // A quarter circle as a rational quadratic: the middle weighs 1/sqrt 2 (The NURBS Book, example 7.1).
        let quarter = Spline {
            degree: 2,
            knots: vec![0.0, 0.0, 0.0, 1.0, 1.0, 1.0],
            controls: [(1.0, 0.0), (1.0, 1.0), (0.0, 1.0)].map(Point::from).to_vec(),
            weights: vec![1.0, std::f64::consts::FRAC_1_SQRT_2, 1.0],
        };
        for element in curve(&quarter).unwrap().elements() {
            let p = element.end_point().unwrap();
            assert!((p.to_vec2().hypot() - 1.0).abs() < 1e-12);
        }
        assert!(curve(&Spline { knots: vec![0.0; 3], ..quarter }).is_none());
    }
}
