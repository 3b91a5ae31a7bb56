//! What is a sector of a ring: circle skirts, gores, curved bands.

use kurbo::BezPath;

use super::shapes::{Measured, Rectangle, add_edges, arc, positive, rectangle};
use crate::error::Problem;
use crate::geometry::{Point, sine_cosine};
use crate::piece::PieceSource;
use crate::units::Mm;

/// A panel may turn by this many degrees at most: beyond, its two sides leave no room for a seam.
const MOST_DEGREES: f64 = 350.0;

/// How much of a circle a skirt is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CirclePart {
    /// The whole circle.
    Full,
    /// Three quarters of it.
    ThreeQuarter,
    /// Half of it.
    Half,
    /// A quarter of it.
    Quarter,
}

impl CirclePart {
    /// Its share of a circle.
    pub fn share(self) -> f64 {
        match self {
            Self::Full => 1.0,
            Self::ThreeQuarter => 0.75,
            Self::Half => 0.5,
            Self::Quarter => 0.25,
        }
    }

    /// The panels it is cut in unless another number is asked for: as few as open flat to no more than half a circle.
    pub fn panels(self) -> usize {
        match self {
            Self::Full | Self::ThreeQuarter => 2,
            Self::Half | Self::Quarter => 1,
        }
    }
}

/// Measures of a circle skirt, along its stitching lines.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CircleSkirt {
    /// How much of a circle.
    pub part: CirclePart,
    /// Round the waist seam.
    pub waist: Mm,
    /// From the waist seam to the finished hem.
    pub length: Mm,
    /// In how many panels.
    pub panels: usize,
    /// Each panel given as half, its middle on a fold.
    pub on_fold: bool,
}

/// Measures of a gored skirt or sleeve, along its stitching lines.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gore {
    /// The upper edges of all panels together.
    pub waist: Mm,
    /// The lower edges of all panels together, no less than the upper ones.
    pub hem: Mm,
    /// From edge to edge, the same all along.
    pub length: Mm,
    /// How many panels go round.
    pub panels: usize,
    /// Each panel given as half, its middle on a fold.
    pub on_fold: bool,
}

/// Measures of a band that is curved because one edge is longer than the other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CurvedBand {
    /// The shorter edge, which is the upper one.
    pub inner: Mm,
    /// The longer edge.
    pub outer: Mm,
    /// From edge to edge.
    pub depth: Mm,
    /// Given as half, its middle on a fold.
    pub on_fold: bool,
}

/// One panel of a circle skirt, with edges "waist", "hem" and "side" and "fold" (or "left" and "right").
///
/// The waist seam has radius waist / (2 pi share): waist / 2 pi for a full circle, waist / pi for half, 2 waist / pi for
/// a quarter (the trade's formula, worked for waists of 24 and 30 in at reference.com). A full or three-quarter skirt is
/// cut as two panels, a half or quarter skirt as one, each on the fold.
///
/// # Errors
/// A measure that is no length, or a panel that goes all round; the key is the measure's name.
pub fn circle_skirt(measures: &CircleSkirt) -> Result<Measured, Problem> {
    let CircleSkirt { part, waist, length, panels, on_fold } = *measures;
    positive(&[("waist", waist), ("length", length)])?;
    let count = panel_count(panels)?;
    let radius = waist / (std::f64::consts::TAU * part.share());
    let degrees = 360.0 * part.share() / count as f64;
    sector(radius, length, degrees, on_fold, &SKIRT).map(|source| Measured { source, count }).map_err(|mut problem| {
        "panels".clone_into(&mut problem.place.keys);
        problem
    })
}

/// One panel of a gored skirt, with edges as a [`circle_skirt`]. Its upper and lower edge are arcs about one centre, so
/// that every line from waist to hem is as long as its sides and the hem hangs level.
///
/// # Errors
/// A measure that is no length, a hem shorter than the waist; the key is the measure's name.
pub fn gore(measures: &Gore) -> Result<Measured, Problem> {
    let Gore { waist, hem, length, panels, on_fold } = *measures;
    positive(&[("waist", waist), ("hem", hem), ("length", length)])?;
    let count = panel_count(panels)?;
    let (top, bottom) = (waist / count as f64, hem / count as f64);
    ring_sector((top, bottom, length), ["waist", "hem", "length"], on_fold, &SKIRT)
        .map(|source| Measured { source, count })
}

/// A curved band, with edges "inner", "outer" and "side" and "fold" (or "left" and "right"): a sector of a ring with inner radius
/// a h / (b - a) and angle (b - a) / h, for edges a and b and depth h.
///
/// # Errors
/// A measure that is no length, an outer edge shorter than the inner, a band that closes to a whole ring; the key is the
/// measure's name.
pub fn curved_band(measures: &CurvedBand) -> Result<Measured, Problem> {
    let CurvedBand { inner, outer, depth, on_fold } = *measures;
    positive(&[("inner", inner), ("outer", outer), ("depth", depth)])?;
    ring_sector((inner, outer, depth), ["inner", "outer", "depth"], on_fold, &BAND)
        .map(|source| Measured { source, count: 1 })
}

/// The names of a sector's inner and outer edge.
struct Names {
    inner: &'static str,
    outer: &'static str,
}

const SKIRT: Names = Names { inner: "waist", outer: "hem" };
const BAND: Names = Names { inner: "inner", outer: "outer" };

fn panel_count(panels: usize) -> Result<usize, Problem> {
    if (1..=100).contains(&panels) {
        return Ok(panels);
    }
    let cause = format!("{panels} panels cannot go round.");
    Err(Problem::at("panels", cause, "give a whole number from 1 to 100"))
}

/// A sector by its two edges and depth; a rectangle where the edges are equally long.
fn ring_sector(
    (inner, outer, depth): (Mm, Mm, Mm),
    keys: [&str; 3],
    on_fold: bool,
    names: &Names,
) -> Result<PieceSource, Problem> {
    if outer < inner {
        let cause = format!("The {} edge is shorter than the {} edge.", keys[1], keys[0]);
        return Err(Problem::at(keys[1], cause, "exchange the two, and turn the piece when it is sewn in"));
    }
    let radians = (outer - inner) / depth;
    // A sagitta of less than a micrometre is straight.
    if radians * outer < 1e-3 {
        let straight = rectangle(&Rectangle { width: outer, length: depth, on_fold })?;
        return Ok(renamed(straight.source, names));
    }
    sector(inner / radians, depth, radians.to_degrees(), on_fold, names).map_err(|mut problem| {
        keys[2].clone_into(&mut problem.place.keys);
        problem
    })
}

/// A rectangle with the edges' names of a sector.
fn renamed(mut source: PieceSource, names: &Names) -> PieceSource {
    let edges = std::mem::take(&mut source.edges);
    let has_fold = source.fold.is_some();
    source.edges = edges
        .into_iter()
        .map(|(edge, points)| {
            let name = match edge.as_str() {
                "top" => names.inner,
                "bottom" => names.outer,
                "right" if has_fold => "side",
                other => other,
            };
            let points = points.into_iter().map(|point| point_name(&point, names, has_fold)).collect();
            (name.to_owned(), points)
        })
        .collect();
    let points = std::mem::take(&mut source.points);
    source.points = points.into_iter().map(|(name, p)| (point_name(&name, names, has_fold), p)).collect();
    source
}

fn point_name(name: &str, names: &Names, has_fold: bool) -> String {
    let name = name.replace("top", names.inner).replace("bottom", names.outer);
    if has_fold { name.replace("right", "side") } else { name }
}

/// A sector that hangs down from its centre, symmetric about the line straight down; the right half of it on a fold.
fn sector(inner: Mm, depth: Mm, degrees: f64, on_fold: bool, names: &Names) -> Result<PieceSource, Problem> {
    if degrees > MOST_DEGREES {
        let cause = format!("One panel would go round by {degrees:.0} degrees and meet itself.");
        return Err(Problem::at("", cause, "cut it in more panels, or make the difference of its edges smaller"));
    }
    let outer = inner + depth;
    let half = degrees / 2.0;
    let from = if on_fold { 270.0 } else { 270.0 - half };
    let sweep = 270.0 + half - from;
    let at = |radius: Mm, angle: f64| {
        let (sine, cosine) = sine_cosine(angle);
        Point { x: radius * cosine, y: radius * sine }
    };
    let (left, right) = if on_fold { ("fold", "side") } else { ("left", "right") };
    let corners = [
        (format!("{}-{left}", names.inner), at(inner, from)),
        (format!("{}-{left}", names.outer), at(outer, from)),
        (format!("{}-{right}", names.outer), at(outer, from + sweep)),
        (format!("{}-{right}", names.inner), at(inner, from + sweep)),
    ];
    let mut outline = BezPath::new();
    outline.move_to((corners[0].1.x, corners[0].1.y));
    outline.line_to((corners[1].1.x, corners[1].1.y));
    arc(&mut outline, Point::default(), outer, from, sweep);
    outline.line_to((corners[3].1.x, corners[3].1.y));
    arc(&mut outline, Point::default(), inner, from + sweep, -sweep);
    outline.close_path();
    let mut source = PieceSource { outline, points: corners.iter().cloned().collect(), ..PieceSource::default() };
    let [a, b, c, d] = [&corners[0].0, &corners[1].0, &corners[2].0, &corners[3].0].map(String::as_str);
    add_edges(&mut source, &[(left, &[a, b]), (names.outer, &[b, c]), (right, &[c, d]), (names.inner, &[d, a])]);
    let down = |share: f64| Point { x: if on_fold { inner.min(depth) * 0.01 } else { 0.0 }, y: -inner - depth * share };
    source.grain = Some([down(0.75), down(0.25)]);
    source.fold = on_fold.then(|| "fold".to_owned());
    Ok(source)
}
