//! What is cut by measurement and has straight sides: rectangle, trapezium, tie, patch pocket.
//!
//! All shapes are drawn with x to the right, y and the grain upwards, named points at their corners and named edges
//! between them. Formulas without a source are arithmetic.

use kurbo::{Arc, BezPath, Shape as _, Vec2};

use crate::error::Problem;
use crate::geometry::Point;
use crate::piece::PieceSource;
use crate::units::{LONGEST, Mm, Rounding, both};

/// A piece made from measures, and how many of it the garment needs.
#[derive(Debug, Clone)]
pub struct Measured {
    /// The piece, without a name or allowance.
    pub source: PieceSource,
    /// How many the measures ask for: each once, or once on the fold where the piece has a fold edge.
    pub count: usize,
}

/// Measures of a rectangle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rectangle {
    /// Across the grain.
    pub width: Mm,
    /// Along the grain.
    pub length: Mm,
    /// Given as half, its left side on a fold.
    pub on_fold: bool,
}

/// Measures of a trapezium that is the same left and right.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trapezium {
    /// Its upper edge.
    pub top: Mm,
    /// Its lower edge.
    pub bottom: Mm,
    /// From edge to edge along the grain.
    pub length: Mm,
    /// Given as half, its middle on a fold.
    pub on_fold: bool,
}

/// How the free end of a tie is shaped.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum TieEnd {
    /// Straight across.
    #[default]
    Square,
    /// Slanting at 45 degrees once the tie is folded: cut as a point.
    Slanted,
}

/// Measures of a tie or sash that is cut double and folded along its length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tie {
    /// From the end that is sewn in to the tip.
    pub length: Mm,
    /// Finished, folded.
    pub width: Mm,
    /// The free end.
    pub end: TieEnd,
}

/// A rectangle with edges "top", "left" (or "fold"), "bottom" and "right".
///
/// # Errors
/// A measure that is no length; the key is the measure's name.
pub fn rectangle(measures: &Rectangle) -> Result<Measured, Problem> {
    let Rectangle { width, length, on_fold } = *measures;
    positive(&[("width", width), ("length", length)])?;
    Ok(four_sided(width, width, length, on_fold))
}

/// A trapezium with edges as a [`rectangle`].
///
/// # Errors
/// A measure that is no length; the key is the measure's name.
pub fn trapezium(measures: &Trapezium) -> Result<Measured, Problem> {
    let Trapezium { top, bottom, length, on_fold } = *measures;
    positive(&[("top", top), ("bottom", bottom), ("length", length)])?;
    Ok(four_sided(top, bottom, length, on_fold))
}

fn four_sided(top: Mm, bottom: Mm, length: Mm, on_fold: bool) -> Measured {
    let (t, b) = (top / 2.0, bottom / 2.0);
    let (left, corners) = if on_fold {
        ("fold", [(0.0, length), (0.0, 0.0), (b, 0.0), (t, length)])
    } else {
        ("left", [(-t, length), (-b, 0.0), (b, 0.0), (t, length)])
    };
    let names = [format!("top-{left}"), format!("bottom-{left}"), "bottom-right".to_owned(), "top-right".to_owned()];
    let mut source = polygon(&corners);
    for (name, &(x, y)) in names.iter().zip(&corners) {
        source.points.insert(name.clone(), Point { x, y });
    }
    for (edge, from, to) in [(left, 0, 1), ("bottom", 1, 2), ("right", 2, 3), ("top", 3, 0)] {
        source.edges.insert(edge.to_owned(), vec![names[from].clone(), names[to].clone()]);
    }
    source.fold = on_fold.then(|| "fold".to_owned());
    let x = if on_fold { t.min(b) / 2.0 } else { 0.0 };
    source.grain = Some([Point { x, y: length / 4.0 }, Point { x, y: length * 0.75 }]);
    Measured { source, count: 1 }
}

/// A tie with edges "end" (sewn in, below), "right", "tip" and "left", its grain along it. It is cut twice as wide as it
/// finishes, to be folded along its middle; a slanted tip is cut as a point of a right angle.
///
/// # Errors
/// A measure that is no length, or a point longer than the tie; the key is the measure's name.
pub fn tie(measures: &Tie) -> Result<Measured, Problem> {
    let Tie { length, width, end } = *measures;
    positive(&[("length", length), ("width", width)])?;
    let slanted = end == TieEnd::Slanted;
    if slanted && width >= length {
        let cause = format!("A slanted end takes {}, which is the whole tie.", both(width, Rounding::Nearest));
        return Err(Problem::at("length", cause, "make the tie longer or its end square"));
    }
    let shoulder = if slanted { length - width } else { length };
    let mut source = if slanted {
        polygon(&[(-width, 0.0), (width, 0.0), (width, shoulder), (0.0, length), (-width, shoulder)])
    } else {
        polygon(&[(-width, 0.0), (width, 0.0), (width, length), (-width, length)])
    };
    let corners = [
        ("end-left", -width, 0.0),
        ("end-right", width, 0.0),
        ("tip-right", width, shoulder),
        ("tip-left", -width, shoulder),
    ];
    source.points.extend(corners.map(|(name, x, y)| (name.to_owned(), Point { x, y })));
    add_edges(
        &mut source,
        &[
            ("end", &["end-left", "end-right"]),
            ("right", &["end-right", "tip-right"]),
            ("tip", &["tip-right", "tip-left"]),
            ("left", &["tip-left", "end-left"]),
        ],
    );
    source.grain = Some([Point { x: 0.0, y: shoulder / 4.0 }, Point { x: 0.0, y: shoulder * 0.75 }]);
    Ok(Measured { source, count: 1 })
}

/// A patch pocket with edges "top" and "round" (down one side, along the bottom, up the other); its two lower corners
/// are quarter circles of `radius`.
///
/// # Errors
/// A measure that is no length, or corners that do not fit; the key is the measure's name.
pub fn patch_pocket(width: Mm, length: Mm, radius: Mm) -> Result<Measured, Problem> {
    positive(&[("width", width), ("length", length)])?;
    if !(0.0..=length.min(width / 2.0)).contains(&radius) {
        let cause = format!(
            "Corners of {} do not fit a pocket of {} by {}.",
            both(radius, Rounding::Nearest),
            both(width, Rounding::Nearest),
            both(length, Rounding::Nearest)
        );
        return Err(Problem::at("radius", cause, "half the width and the whole length are the most"));
    }
    let half = width / 2.0;
    let mut outline = BezPath::new();
    outline.move_to((-half, length));
    outline.line_to((-half, radius));
    arc(&mut outline, Point { x: radius - half, y: radius }, radius, 180.0, 90.0);
    outline.line_to((half - radius, 0.0));
    arc(&mut outline, Point { x: half - radius, y: radius }, radius, 270.0, 90.0);
    outline.line_to((half, length));
    outline.close_path();
    let mut source = PieceSource { outline, ..PieceSource::default() };
    source
        .points
        .extend([("top-left", -half), ("top-right", half)].map(|(name, x)| (name.to_owned(), Point { x, y: length })));
    add_edges(&mut source, &[("round", &["top-left", "top-right"]), ("top", &["top-right", "top-left"])]);
    source.grain = Some([Point { x: 0.0, y: length / 4.0 }, Point { x: 0.0, y: length * 0.75 }]);
    Ok(Measured { source, count: 1 })
}

/// Every measure has to be a length above zero.
pub(super) fn positive(measures: &[(&str, Mm)]) -> Result<(), Problem> {
    let Some((key, _)) = measures.iter().find(|(_, mm)| !(0.5..=LONGEST).contains(mm)) else {
        return Ok(());
    };
    Err(Problem::at(*key, format!("The {key} is not a length of half a millimetre or more."), "check the measure"))
}

pub(super) fn add_edges(source: &mut PieceSource, edges: &[(&str, &[&str])]) {
    for (edge, names) in edges {
        source.edges.insert((*edge).to_owned(), names.iter().map(|&name| name.to_owned()).collect());
    }
}

/// A piece with straight sides.
pub(super) fn polygon(corners: &[(f64, f64)]) -> PieceSource {
    let mut outline = BezPath::new();
    for (number, &corner) in corners.iter().enumerate() {
        if number == 0 {
            outline.move_to(corner);
        } else {
            outline.line_to(corner);
        }
    }
    outline.close_path();
    PieceSource { outline, ..PieceSource::default() }
}

/// Carries a path on along an arc from angle `from`, turning by `sweep`, both in degrees.
pub(super) fn arc(path: &mut BezPath, centre: Point, radius: Mm, from: f64, sweep: f64) {
    /// Arcs become cubic curves that stray no further than this, in mm.
    const ARC_TOLERANCE: Mm = 1e-4;
    let radii = Vec2::new(radius, radius);
    let arc = Arc::new((centre.x, centre.y), radii, from.to_radians(), sweep.to_radians(), 0.0);
    path.extend(arc.path_elements(ARC_TOLERANCE).skip(1));
}
