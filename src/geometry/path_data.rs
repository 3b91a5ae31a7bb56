//! SVG path data (SVG 2, chapter 9) to curves in millimetres.

use kurbo::{Affine, Arc, BezPath, Point, SvgArc, Vec2};
use svgtypes::{PathParser, PathSegment};

use super::curve::MOST_POINTS;

/// Arcs are turned into cubic curves this close to them, in mm: well under the flattening tolerance.
const ARC_TOLERANCE: f64 = 1e-4;

/// Beyond this no coordinate is believed, in mm: 10 km.
pub(super) const MOST_EXTENT: f64 = 1e7;

/// Reads path data; `scale` is the size of its unit in mm. x and y are kept as they are: nothing is flipped.
///
/// # Errors
/// In words, where the data is not path data or a coordinate is beyond all measure.
pub fn path_data(data: &str, scale: f64) -> Result<BezPath, String> {
    let mut reader =
        Reader { scale, path: BezPath::new(), at: Point::ZERO, start: Point::ZERO, control: Control::None };
    for segment in PathParser::from(data) {
        let segment = segment.map_err(|error| format!("the path data cannot be read: {error}"))?;
        reader.take(segment)?;
        if reader.path.elements().len() > MOST_POINTS {
            return Err(format!("the path data has more than {MOST_POINTS} points and curves"));
        }
    }
    Ok(reader.path)
}

/// The control point that a smooth curve continues from.
enum Control {
    None,
    Cubic(Point),
    Quadratic(Point),
}

struct Reader {
    scale: f64,
    path: BezPath,
    at: Point,
    start: Point,
    control: Control,
}

impl Reader {
    /// A point given absolutely or from where the pen is.
    fn point(&self, abs: bool, x: f64, y: f64) -> Result<Point, String> {
        let from = if abs { Vec2::ZERO } else { self.at.to_vec2() };
        let point = Point::new(x * self.scale, y * self.scale) + from;
        if point.x.abs() <= MOST_EXTENT && point.y.abs() <= MOST_EXTENT {
            Ok(point)
        } else {
            Err(format!("the path data has a coordinate beyond all measure ({x:e}, {y:e})"))
        }
    }

    fn mirrored(&self, control: Point) -> Point {
        self.at + (self.at - control)
    }

    fn line(&mut self, to: Point) {
        self.path.line_to(to);
        (self.at, self.control) = (to, Control::None);
    }

    fn cubic(&mut self, a: Point, b: Point, to: Point) {
        self.path.curve_to(a, b, to);
        (self.at, self.control) = (to, Control::Cubic(b));
    }

    fn quadratic(&mut self, a: Point, to: Point) {
        self.path.quad_to(a, to);
        (self.at, self.control) = (to, Control::Quadratic(a));
    }

    fn arc(&mut self, arc: &SvgArc) -> Result<(), String> {
        if !(arc.radii.x.abs() <= MOST_EXTENT && arc.radii.y.abs() <= MOST_EXTENT && arc.x_rotation.is_finite()) {
            return Err("the path data has an arc beyond all measure".to_owned());
        }
        // An arc without radius or length is a straight line (SVG 2, section 9.5.1).
        let Some(round) = Arc::from_svg_arc(arc) else {
            self.line(arc.to);
            return Ok(());
        };
        let pieces: Vec<_> = round.append_iter(ARC_TOLERANCE).collect();
        self.path.extend(pieces);
        // The pieces end at the arc's end but for rounding: continue from there exactly.
        if let Some(kurbo::PathEl::CurveTo(_, _, end)) = self.path.elements_mut().last_mut() {
            *end = arc.to;
        }
        (self.at, self.control) = (arc.to, Control::None);
        Ok(())
    }

    fn take(&mut self, segment: PathSegment) -> Result<(), String> {
        if self.path.elements().is_empty() && !matches!(segment, PathSegment::MoveTo { .. }) {
            return Err("the path data does not begin with a move (M)".to_owned());
        }
        match segment {
            PathSegment::MoveTo { abs, x, y } => {
                let to = self.point(abs, x, y)?;
                self.path.move_to(to);
                (self.at, self.start, self.control) = (to, to, Control::None);
            }
            PathSegment::LineTo { abs, x, y } => self.line(self.point(abs, x, y)?),
            PathSegment::HorizontalLineTo { abs, x } => {
                let x = self.point(abs, x, 0.0)?.x;
                self.line(Point::new(x, self.at.y));
            }
            PathSegment::VerticalLineTo { abs, y } => {
                let y = self.point(abs, 0.0, y)?.y;
                self.line(Point::new(self.at.x, y));
            }
            PathSegment::CurveTo { abs, x1, y1, x2, y2, x, y } => {
                self.cubic(self.point(abs, x1, y1)?, self.point(abs, x2, y2)?, self.point(abs, x, y)?);
            }
            PathSegment::SmoothCurveTo { abs, x2, y2, x, y } => {
                let first = if let Control::Cubic(last) = self.control { self.mirrored(last) } else { self.at };
                self.cubic(first, self.point(abs, x2, y2)?, self.point(abs, x, y)?);
            }
            PathSegment::Quadratic { abs, x1, y1, x, y } => {
                self.quadratic(self.point(abs, x1, y1)?, self.point(abs, x, y)?);
            }
            PathSegment::SmoothQuadratic { abs, x, y } => {
                let first = if let Control::Quadratic(last) = self.control { self.mirrored(last) } else { self.at };
                self.quadratic(first, self.point(abs, x, y)?);
            }
            PathSegment::EllipticalArc { abs, rx, ry, x_axis_rotation, large_arc, sweep, x, y } => {
                let to = self.point(abs, x, y)?;
                let radii = Affine::scale(self.scale) * Point::new(rx, ry);
                self.arc(&SvgArc {
                    from: self.at,
                    to,
                    radii: radii.to_vec2(),
                    x_rotation: x_axis_rotation.to_radians(),
                    large_arc,
                    sweep,
                })?;
            }
            PathSegment::ClosePath { .. } => {
                self.path.close_path();
                (self.at, self.control) = (self.start, Control::None);
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn arcs_are_close_whatever_the_unit() {
        // A circle of radius 1 m in centimetres, tenths and metres.
        for (data, scale) in [("M 100 0 A 100 100 0 0 1 -100 0 Z", 10.0), ("M 1 0 A 1 1 0 0 1 -1 0 Z", 1000.0)] {
            let path = path_data(data, scale).unwrap();
            for segment in path.segments().take_while(|s| matches!(s, kurbo::PathSeg::Cubic(_))) {
                for i in 0..=20 {
                    let p = kurbo::ParamCurve::eval(&segment, f64::from(i) / 20.0);
                    assert!((libm::hypot(p.x, p.y) - 1000.0).abs() <= ARC_TOLERANCE, "{p:?}");
                }
            }
        }
    }

    #[test]
    fn what_is_not_path_data_is_refused() {
        // Each huge flat arc comes to a thousand curves and more.
        let many = format!("M 0 0 {}", "A .0001 1000000 0 0 1 900000 0 0 0 ".repeat(100));
        for data in ["L 1 1", "M 0 0 L 1e308 0", "M 0 0 X", "M 0 0 L 1", "hello", "M 0 0 A 1e200 1 0 0 1 4 4", &many] {
            assert!(path_data(data, 10.0).is_err(), "{data}");
        }
    }

    fn command() -> impl Strategy<Value = String> {
        let n = || (-50_i32..50).prop_map(|v| f64::from(v) / 4.0);
        (prop::sample::select("MmLlHhVvCcSsQqTtZz".chars().collect::<Vec<_>>()), prop::collection::vec(n(), 6))
            .prop_map(|(letter, numbers)| {
                let count = match letter.to_ascii_lowercase() {
                    'z' => 0,
                    'h' | 'v' => 1,
                    'm' | 'l' | 't' => 2,
                    's' | 'q' => 4,
                    _ => 6,
                };
                let list: Vec<String> = numbers[..count].iter().map(f64::to_string).collect();
                // kurbo lets a smooth curve continue from a curve of the other kind, which SVG 2 (9.3.6) does not: not compared.
                let before = match letter.to_ascii_lowercase() {
                    's' => "c 1 2 3 4 5 6 ",
                    't' => "q 1 2 3 4 ",
                    _ => "",
                };
                format!("{before}{letter} {}", list.join(" "))
            })
    }

    proptest! {
        /// kurbo reads path data too; but for arcs both must agree.
        #[test]
        fn agrees_with_kurbo(commands in prop::collection::vec(command(), 1..12)) {
            let data = format!("M 0 0 {}", commands.join(" "));
            let ours = path_data(&data, 1.0).unwrap();
            let theirs = BezPath::from_svg(&data).unwrap();
            let segments = |path: &BezPath| path.segments().collect::<Vec<_>>();
            prop_assert_eq!(segments(&ours), segments(&theirs));
        }

        #[test]
        fn never_panics(data in ".{0,60}") {
            let _ = path_data(&data, 10.0);
        }
    }
}
