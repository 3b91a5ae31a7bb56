//! What is cut in as many pieces as it takes: bias strips, gathered tiers, widths of curtain.

use super::shapes::{Measured, Rectangle, add_edges, polygon, positive, rectangle};
use crate::error::Problem;
use crate::geometry::Point;
use crate::units::{Mm, Rounding, both};

/// The most pieces that one measure may ask for.
const MOST_PIECES: f64 = 1000.0;

/// Measures of a bias binding joined from strips.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BiasStrips {
    /// The length of the joined binding.
    pub total: Mm,
    /// The width of the strip as cut.
    pub width: Mm,
    /// The cloth's width between its selvedges.
    pub usable_width: Mm,
    /// The allowance of each join.
    pub seam: Mm,
}

/// Measures of a gathered tier.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tier {
    /// The edge that it is gathered to.
    pub edge: Mm,
    /// How many times as long it is before it is gathered, 1 or more.
    pub fullness: f64,
    /// From seam to seam, or from seam to finished hem.
    pub depth: Mm,
    /// The cloth's width between its selvedges.
    pub usable_width: Mm,
    /// The allowance of the seams between panels.
    pub seam: Mm,
}

/// One strip of a bias binding, as cut, its ends along the grain; edges "lower", "end", "upper" and "start".
///
/// Cut on the lengthwise grain it lies at 45 degrees across the cloth, so a strip across the whole width W is W sqrt 2
/// long, and each join, sewn along the grain, takes 2 seam sqrt 2 of it: ceil(total / (sqrt 2 (W - 2 seam))) strips. All
/// are made equally long. Nothing is to be added: the seams are included.
///
/// # Errors
/// A measure that is no length, or a cloth narrower than its seams; the key is the measure's name.
pub fn bias_strips(measures: &BiasStrips) -> Result<Measured, Problem> {
    let BiasStrips { total, width, usable_width, seam } = *measures;
    positive(&[("total", total), ("width", width), ("usable_width", usable_width)])?;
    let joins = 2.0 * not_negative("seam", seam)?;
    let count = pieces(total / std::f64::consts::SQRT_2, usable_width - joins, "total")?;
    let length = total / count as f64 + joins * std::f64::consts::SQRT_2;
    let height = width;
    let corners = [(0.0, 0.0), (length, 0.0), (length + height, height), (height, height)];
    let mut source = polygon(&corners);
    let names = ["lower-start", "lower-end", "upper-end", "upper-start"];
    source.points.extend(names.iter().zip(corners).map(|(name, (x, y))| ((*name).to_owned(), Point { x, y })));
    add_edges(
        &mut source,
        &[
            ("lower", &["lower-start", "lower-end"]),
            ("end", &["lower-end", "upper-end"]),
            ("upper", &["upper-end", "upper-start"]),
            ("start", &["upper-start", "lower-start"]),
        ],
    );
    let middle = length / 2.0;
    source.grain = Some([Point { x: middle, y: 0.0 }, Point { x: middle + height, y: height }]);
    Ok(Measured { source, count })
}

/// The square for a continuous bias strip of a total length T and width w: its side is n w sqrt 2 + 1/2 in, where
/// n = ceil(sqrt(T / 2w)). Cut once along its diagonal, joined with 1/4 in seams and cut round and round it gives 2 n^2 w,
/// which is at least T (the trade's rule; never more than its area by w).
///
/// # Errors
/// A measure that is no length; the key is the measure's name.
pub fn bias_square(total: Mm, width: Mm) -> Result<Measured, Problem> {
    /// Two seams of 1/4 in.
    const SEAMS: Mm = 12.7;
    positive(&[("total", total), ("width", width)])?;
    // A hair over a whole number is rounding.
    let strips = ((total / (2.0 * width)).sqrt() - 1e-9).ceil();
    let side = strips * width * std::f64::consts::SQRT_2 + SEAMS;
    rectangle(&Rectangle { width: side, length: side, on_fold: false })
}

/// One panel of a gathered tier, along its stitching lines, with edges as a [`rectangle`](super::rectangle()).
///
/// ceil(edge x fullness / (usable width - 2 seam)) panels (common practice), all equally wide.
///
/// # Errors
/// A measure that is no length, a fullness below 1, or a cloth narrower than its seams; the key is the measure's name.
pub fn gathered_tier(measures: &Tier) -> Result<Measured, Problem> {
    let Tier { edge, fullness, depth, usable_width, seam } = *measures;
    positive(&[("edge", edge), ("depth", depth), ("usable_width", usable_width)])?;
    if !(1.0..=20.0).contains(&fullness) {
        let cause = format!("The fullness is {fullness}: a tier is gathered to 1 to 20 times less than its length.");
        return Err(Problem::at(
            "fullness",
            cause,
            "give how many times as long it is before it is gathered, such as 1.5",
        ));
    }
    let needed = edge * fullness;
    let count = widths_needed(needed, usable_width, not_negative("seam", seam)?)?;
    let panel = rectangle(&Rectangle { width: needed / count as f64, length: depth, on_fold: false })?;
    Ok(Measured { count, ..panel })
}

/// How many widths of cloth make up a breadth: ceil(needed / (usable width - 2 seam)).
///
/// # Errors
/// A cloth narrower than its seams, or a breadth that takes more than a thousand.
pub fn widths_needed(needed: Mm, usable_width: Mm, seam: Mm) -> Result<usize, Problem> {
    pieces(needed, usable_width - 2.0 * seam, "edge")
}

/// The length to cut so that every drop begins at the same place of a print: up to the next whole repeat (common practice).
pub fn matched_drop(drop: Mm, repeat: Mm) -> Mm {
    if repeat > 0.0 { (drop / repeat - 1e-9).ceil() * repeat } else { drop }
}

fn pieces(needed: Mm, each: Mm, key: &str) -> Result<usize, Problem> {
    if each < 0.5 {
        let cause = format!("The seams leave {} of the cloth's width.", both(each.max(0.0), Rounding::Nearest));
        return Err(Problem::at("usable_width", cause, "check the cloth's usable width and the seam"));
    }
    // A hair over a whole number of widths is rounding.
    let count = (needed / each - 1e-9).ceil().max(1.0);
    if count > MOST_PIECES {
        let cause = format!("This would take {count:.0} pieces; {MOST_PIECES:.0} is the most.");
        return Err(Problem::at(key, cause, "check the measures and their units"));
    }
    Ok(count as usize)
}

fn not_negative(key: &str, mm: Mm) -> Result<Mm, Problem> {
    if mm.is_finite() && mm >= 0.0 {
        return Ok(mm);
    }
    Err(Problem::at(key, format!("The {key} is not a length of 0 or more."), "check the measure"))
}
