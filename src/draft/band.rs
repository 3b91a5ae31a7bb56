//! The band at the waist out of a bodice, and the bodice shortened by it.
//!
//! The band's upper line is measured from the stitching line of the waist and runs parallel to it, as the waist lies with
//! its darts closed. Cutting the bodice there leaves the darts' upper parts on it, and the band without darts: closing
//! wedges that total the angle t makes the two edges of a band of depth h differ by h t (arithmetic).

use super::band_line::{new_line, wedge};
use super::band_pieces::Draft;
use super::band_proof;
use super::cut::{NewEdge, Parting, parted};
use super::darts::Waist;
use super::net::Net;
use super::proof::{Drafted, TRUING};
use crate::error::{Problem, Problems};
use crate::geometry::ring::polyline_length;
use crate::piece::{Dart, Piece};
use crate::units::{Mm, Rounding, both};

/// A bodice piece to take a band from.
#[derive(Debug, Clone, Copy)]
pub struct BandPart<'a> {
    /// The bodice.
    pub piece: &'a Piece,
    /// Its waist edge.
    pub waist: &'a str,
    /// Its side seam, which begins or ends at the waist.
    pub side: &'a str,
    /// The band's depth between its stitching lines.
    pub depth: Mm,
    /// The name of the new band.
    pub band: &'a str,
    /// The name of the shortened bodice.
    pub bodice: &'a str,
}

/// How a band is made.
#[derive(Debug, Clone, Copy, Default)]
pub struct BandOptions {
    /// The allowance on the new seam between bodice and band; none: as at the waist.
    pub allowance: Option<Mm>,
    /// A straight band of the waist's length, for cloth that stretches.
    pub is_knit: bool,
}

/// Drafts the band of a front, of a back or of both.
///
/// Each new band has the edges "lower" and "upper" and, between them, the bodice's own edges cut off there; the shortened
/// bodice keeps the names of all its edges. A dart that reaches above the band goes on in the bodice; one that ends inside
/// the band is first lengthened to its upper line (common practice, no source).
///
/// # Errors
/// Where the band cannot be drawn, the side seams of front and back do not meet, or a proof fails. Keys begin with
/// "front" or "back".
pub fn band(front: Option<&BandPart>, back: Option<&BandPart>, options: &BandOptions) -> Result<Drafted, Problems> {
    let mut problems = Problems::new();
    let mut made = Vec::new();
    for (key, part) in [("front", front), ("back", back)] {
        let Some(part) = part else { continue };
        match band_of(part, options) {
            Ok(taken) => made.push((part, taken)),
            Err(found) => problems.extend(found.into_iter().map(|problem| within(key, problem))),
        }
    }
    if !problems.is_empty() {
        return Err(problems);
    }
    let mut drafted = Drafted::default();
    if let [(front, one), (back, other)] = &made[..] {
        let lengths = [one.side_length(front), other.side_length(back)];
        if (lengths[0] - lengths[1]).abs() > TRUING {
            let cause = format!(
                "The side seams of the band would not meet: {} on the front, {} on the back.",
                both(lengths[0], Rounding::Nearest),
                both(lengths[1], Rounding::Nearest)
            );
            let hint = "give the \"depth\" of one of them so that both are as long at the side";
            return Err(vec![Problem::at("back.depth", cause, hint)]);
        }
        drafted.proofs.push(super::Proof::length("side seams of the band, front and back", lengths[0], lengths[1]));
    }
    for (part, taken) in made {
        drafted.proofs.extend(band_proof::proofs(part, &taken, options));
        drafted.pieces.extend([taken.band, taken.bodice]);
    }
    drafted.proved()
}

fn within(key: &str, mut problem: Problem) -> Problem {
    let keys = &problem.place.keys;
    problem.place.keys = if keys.is_empty() { key.to_owned() } else { format!("{key}.{keys}") };
    problem
}

/// A band and the bodice it was taken from, with what their proof needs.
pub(super) struct Taken {
    pub(super) band: Piece,
    pub(super) bodice: Piece,
    /// The bodice before, as it was sewn.
    pub(super) before: Net,
    /// The waist, darts lengthened where that was needed.
    pub(super) waist: Waist,
    /// The areas of the wedges closed in the band.
    pub(super) wedges: Vec<f64>,
    /// How much line was redrawn in fairing.
    pub(super) redrawn: Mm,
    /// The notches matched across the new seam: how many.
    pub(super) matched: usize,
}

impl Taken {
    fn side_length(&self, part: &BandPart) -> Mm {
        crate::piece::seam_length(&self.band, part.side).map_or(0.0, |length| length.sewn())
    }
}

/// Which end of the waist the side seam is at.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum SideAt {
    End,
    Start,
}

fn band_of(part: &BandPart, options: &BandOptions) -> Result<Taken, Problems> {
    let alone = |problem| vec![problem];
    let net = Net::of(part.piece).map_err(alone)?;
    let span = net.edge_span(part.waist, &part.piece.name, "waist").map_err(alone)?;
    let (side_at, side) = side_end(&net, part).map_err(alone)?;
    let mut waist = Waist::of(&net, span).map_err(alone)?;
    let after = net.run_on(span.0 + span.1, true);
    let before = net.run_on(span.0 + net.sides.len() - 1, false);
    let depth = |problem: Problem| vec![if problem.place.keys.is_empty() { within("depth", problem) } else { problem }];
    let closed = waist.closed(part.depth, &after, &before).map_err(depth)?;
    let reached = closed.reached[usize::from(side_at == SideAt::Start)];
    let side_length = polyline_length(&net.line(side));
    if reached >= side_length - TRUING {
        let cause = format!(
            "A band {} deep reaches beyond the side seam, which is {} long.",
            both(part.depth, Rounding::Nearest),
            both(side_length, Rounding::Nearest)
        );
        return Err(vec![Problem::at("depth", cause, "give less depth: the band ends below the armhole")]);
    }
    let (opened, redrawn) = new_line(&closed, &waist, side_at);
    let names = Names::of(&net, part);
    let allowance = options.allowance.unwrap_or(net.sides[span.0].allowance);
    let mut rest = net.clone();
    rest.darts = others(&net, &waist);
    let (upper, lower) = parted(
        &rest,
        &Parting {
            line: opened.line.clone(),
            left: NewEdge { name: part.waist.to_owned(), corners: names.waist.clone(), allowance },
            right: NewEdge { name: "upper".to_owned(), corners: names.upper.clone(), allowance },
        },
    )
    .map_err(depth)?;
    if !lower.darts.is_empty() {
        let cause = "A dart that is not at the waist lies in the band.";
        let hint = "close it first, moving it to the waist or elsewhere; or give less depth";
        return Err(vec![Problem::at("depth", cause, hint)]);
    }
    let draft = Draft { net: &net, waist: &waist, closed: &closed, opened: &opened, names: &names };
    let (bodice, matched) = draft.bodice(upper, part.waist);
    let band = if options.is_knit { draft.straight(&lower, part.depth) } else { draft.shaped(lower) };
    let wedges = waist.mouths.iter().enumerate().map(|(i, mouth)| wedge(&waist, mouth, opened.mouths[i].as_ref()));
    Ok(Taken {
        band: band.built(part.band)?,
        bodice: bodice.built(part.bodice)?,
        wedges: wedges.collect(),
        before: net.clone(),
        redrawn: redrawn + closed.redrawn,
        matched,
        waist,
    })
}

/// Where the side seam meets the waist, and its sides.
fn side_end(net: &Net, part: &BandPart) -> Result<(SideAt, (usize, usize)), Problem> {
    let side = net.edge_span(part.side, &part.piece.name, "side")?;
    let ends = |edge: &str| net.edges.get(edge).and_then(|n| Some((n.first()?.clone(), n.last()?.clone())));
    let (Some(waist), Some(seam)) = (ends(part.waist), ends(part.side)) else {
        return Err(Problem::at("side", "An edge has no ends.", "name its first and last point"));
    };
    let at = |name: &String| net.begins_at(name);
    if at(&waist.1) == at(&seam.0) {
        Ok((SideAt::End, side))
    } else if at(&waist.0) == at(&seam.1) {
        Ok((SideAt::Start, side))
    } else {
        let cause = format!("The edge \"{}\" does not begin where the waist ends.", part.side);
        Err(Problem::at("side", cause, "name the side seam: it meets the waist edge in a named point"))
    }
}

/// The darts that are not at the waist.
fn others(net: &Net, waist: &Waist) -> Vec<Dart> {
    let is_other = |i: &usize| waist.mouths.iter().all(|mouth| mouth.dart != *i);
    (0..net.darts.len()).filter(is_other).map(|i| net.darts[i]).collect()
}

/// The names of the new corners.
pub(super) struct Names {
    /// The waist's own, which the shortened bodice keeps: at its beginning, at its end.
    pub(super) waist: [String; 2],
    /// Those of the band's upper edge.
    pub(super) upper: [String; 2],
}

impl Names {
    fn of(net: &Net, part: &BandPart) -> Self {
        let names = &net.edges[part.waist];
        let waist = [names[0].clone(), names[names.len() - 1].clone()];
        let beside = |meets: &dyn Fn(&Vec<String>) -> bool, otherwise: &str| {
            let edge = net.edges.iter().find(|(name, list)| *name != part.waist && meets(list));
            net.free_name(&format!("{}-upper", edge.map_or(otherwise, |(name, _)| name)))
        };
        let upper = [
            beside(&|list| list.last() == Some(&waist[0]), "begin"),
            beside(&|list| list.first() == Some(&waist[1]), "end"),
        ];
        Self { waist, upper }
    }
}
