//! From the closed lines that are taken to pieces with all their marks.

use indexmap::IndexMap;
use kurbo::{Affine, BezPath, Shape as _};

use super::closed::{ClosedLine, Listing};
use super::drawing::{Drawing, Role, is_closed};
use super::marks::{self, GrainRule, InnerLine};
use super::straight::{distance_to, is_inside, polyline};
use super::words::{self, CutText};
use crate::error::{Problem, Problems};
use crate::geometry::ring::nearest_place;
use crate::geometry::{Bounds, Point, ring_bounds};
use crate::piece::{self, Allowance, Piece, PieceSource};
use crate::units::Mm;

/// A piece out of a drawing.
#[derive(Debug, Clone)]
pub struct ImportedPiece {
    /// As a project file gives it, its lower left corner at the origin.
    pub source: PieceSource,
    /// As it is cut: it holds.
    pub piece: Piece,
    /// Its number among the closed lines.
    pub number: usize,
    /// How many are to be cut.
    pub count: usize,
    /// Half of them mirrored.
    pub mirrored: bool,
    /// On the fold.
    pub on_fold: bool,
    /// By which rule its grain line was found.
    pub grain_rule: GrainRule,
}

/// All that comes out of a drawing.
#[derive(Debug, Clone)]
pub struct Imported {
    /// The pieces, in the order of the drawing.
    pub pieces: Vec<ImportedPiece>,
    /// What a person should know: what was guessed or passed over.
    pub notes: Vec<String>,
}

/// Makes pieces of the closed lines that are taken.
///
/// # Errors
/// Every piece that cannot be cut as drawn, with what is wrong; or no size chosen where there are several.
pub fn pieces(drawing: &Drawing, listing: &Listing) -> Result<Imported, Problems> {
    let taken: Vec<&ClosedLine> = listing.lines.iter().filter(|line| line.taken).collect();
    let mut sizes: Vec<&String> = taken.iter().filter_map(|line| line.size.as_ref()).collect();
    sizes.dedup();
    if sizes.iter().any(|size| *size != sizes[0]) {
        let cause = "The drawing has several sizes.";
        let hint = format!("choose one with --size; its sizes are {}", listing.sizes.join(", "));
        return Err(vec![Problem::at("--size", cause, hint)]);
    }
    if taken.is_empty() {
        let cause = "None of the drawing's closed lines is taken for a piece.";
        return Err(vec![Problem::at("", cause, "see them with --list and choose with --pick")]);
    }
    let (mut found, mut problems, mut notes) = (Vec::new(), Vec::new(), drawing.notes.clone());
    let names = names(drawing, &taken);
    let inner = inner_lines(drawing, &taken);
    for ((line, name), inner) in taken.iter().zip(names).zip(inner) {
        let texts = texts(drawing, &taken, line);
        match one(drawing, listing, line, (name, inner, &texts), &mut notes) {
            Ok(piece) => found.push(piece),
            Err(faults) => problems.extend(faults),
        }
    }
    if problems.is_empty() { Ok(Imported { pieces: found, notes }) } else { Err(problems) }
}

fn one(
    drawing: &Drawing,
    listing: &Listing,
    line: &ClosedLine,
    (name, inner, texts): (String, Vec<InnerLine>, &[&str]),
    notes: &mut Vec<String>,
) -> Result<ImportedPiece, Problems> {
    let shift = line.bounds.min;
    let moved = |p: Point| p - shift;
    let drawn = &drawing.lines[line.line];
    let element = drawing.element_of(drawn);
    let known = element.known.clone().unwrap_or_default();
    let mut points = known.points.clone();
    let mut edges = known.edges.clone();
    let known_fold = known.fold.as_ref().and_then(|fold| {
        let names = edges.get(fold)?;
        Some([*points.get(names.first()?)?, *points.get(names.last()?)?])
    });
    let mut own: Vec<Point> = Vec::new();
    for mark in drawing.marks.iter().filter(|mark| mark.block == line.block && mark.role == Role::Notch) {
        // A mark on the outline stays where it was drawn; only one beside it is brought to it.
        let place = nearest_place(&line.ring, mark.at).filter(|place| place.distance <= 5.0);
        own.extend(place.map(|place| if place.distance <= 0.5 { mark.at } else { place.point }));
    }
    let marks = marks::find(&line.ring, &inner, &own, known_fold);
    let fold = match (&known.fold, marks.fold) {
        (Some(fold), Some(_)) if known_fold.is_some() => Some(fold.clone()),
        (_, Some([from, to])) => Some(named_fold(&mut points, &mut edges, from, to)),
        (_, None) => None,
    };
    let holes = holes(drawing, listing, line);
    let to_origin = Affine::translate((-shift.x, -shift.y));
    let source = PieceSource {
        name: name.clone(),
        outline: to_origin * drawn.path.clone(),
        holes: holes.into_iter().map(|hole| to_origin * hole).collect(),
        points: points.into_iter().map(|(name, p)| (name, moved(p))).collect(),
        edges,
        grain: Some(marks.grain.map(moved)),
        fold,
        notches: marks.notches.iter().map(|&p| moved(p)).collect(),
        darts: marks
            .darts
            .iter()
            .map(|dart| piece::DartSource { apex: moved(dart.apex), legs: dart.legs.map(moved) })
            .collect(),
        allowance: Allowance {
            included: if known.included > 0.0 { known.included } else { stitching(drawing, listing, line) },
            edges: known.allowances,
        },
    };
    let piece = piece::build(&source).map_err(|problems| in_words(problems, &name, line))?;
    if marks.grain_rule == GrainRule::UpThePaper {
        notes.push(format!("{name}: no grain line was found inside; it runs up the paper until you say otherwise."));
    }
    let CutText { count, on_fold, mirrored } = to_cut(texts);
    if on_fold && source.fold.is_none() {
        notes.push(format!(
            "{name}: its lettering says \"on fold\", but no fold edge was found; it will be cut as it is."
        ));
    }
    let on_fold = source.fold.is_some();
    Ok(ImportedPiece {
        mirrored: mirrored && !on_fold,
        source,
        piece,
        number: line.number,
        count,
        on_fold,
        grain_rule: marks.grain_rule,
    })
}

/// Problems of a piece, each with the piece's name and number before it.
fn in_words(problems: Problems, name: &str, line: &ClosedLine) -> Problems {
    let with_piece = |mut problem: Problem| {
        problem.place.keys = format!("{name} (number {} of --list)", line.number);
        problem.cause = format!("{} Places are measured from the piece's lower left corner.", problem.cause);
        problem
    };
    problems.into_iter().map(with_piece).collect()
}

/// Names the fold edge and its ends.
fn named_fold(
    points: &mut IndexMap<String, Point>,
    edges: &mut IndexMap<String, Vec<String>>,
    from: Point,
    to: Point,
) -> String {
    let free = |stem: &str, is_taken: &dyn Fn(&str) -> bool| {
        let mut name = stem.to_owned();
        while is_taken(&name) {
            name.push('\'');
        }
        name
    };
    let first = free("fold-begin", &|name| points.contains_key(name));
    let last = free("fold-end", &|name| points.contains_key(name));
    let edge = free("fold", &|name| edges.contains_key(name));
    points.insert(first.clone(), from);
    points.insert(last.clone(), to);
    edges.insert(edge.clone(), vec![first, last]);
    edge
}

/// The closed lines cut out of a piece: those of its own element, or of a layer of cut-outs, with less than half its area.
fn holes(drawing: &Drawing, listing: &Listing, line: &ClosedLine) -> Vec<BezPath> {
    let own = drawing.lines[line.line].element;
    let is_other_piece = |index: usize| listing.lines.iter().any(|other| other.taken && other.line == index);
    drawing
        .lines
        .iter()
        .enumerate()
        .filter(|(index, other)| {
            let element = drawing.element_of(other);
            let belongs = other.element == own || (element.role == Some(Role::Hole) && element.block == line.block);
            *index != line.line && belongs && is_closed(&other.path) && !is_other_piece(*index)
        })
        .filter(|(_, other)| {
            let points = polyline(&other.path);
            other.path.area().abs() < 0.5 * line.area && points.iter().all(|&p| is_inside(&line.ring, p))
        })
        .map(|(_, other)| other.path.clone())
        .take(1000)
        .collect()
}

/// The allowance that a closed stitching line shows where it runs at one distance from the outline, else 0.
fn stitching(drawing: &Drawing, listing: &Listing, line: &ClosedLine) -> Mm {
    let inside = listing.lines.iter().find(|other| {
        drawing.element_of(&drawing.lines[other.line]).role == Some(Role::Stitching)
            && super::closed::holds(line, other)
    });
    let Some(inside) = inside else { return 0.0 };
    let mut away: Vec<Mm> = inside.ring.iter().map(|&p| distance_to(&line.ring, p)).collect();
    away.sort_by(f64::total_cmp);
    let middle = away[away.len() / 2];
    let is_even = away[away.len() - 1] - away[0] <= 1.0;
    if is_even && middle > 0.5 { (middle * 100.0).round() / 100.0 } else { 0.0 }
}

/// The lettering on a piece, and on no smaller one that lies in it.
fn texts<'d>(drawing: &'d Drawing, taken: &[&ClosedLine], line: &ClosedLine) -> Vec<&'d str> {
    let on = |line: &ClosedLine, text: &super::drawing::Text| {
        let (min, max, at) = (line.bounds.min, line.bounds.max, text.at);
        let is_near = at.x >= min.x && at.x <= max.x && at.y >= min.y && at.y <= max.y;
        text.block == line.block && (drawing.blocks.len() > 1 || (is_near && is_inside(&line.ring, at)))
    };
    drawing
        .texts
        .iter()
        .filter(|text| on(line, text) && !taken.iter().any(|other| other.area < line.area && on(other, text)))
        .map(|text| text.content.as_str())
        .collect()
}

/// What all the lettering on a piece together says of cutting.
fn to_cut(texts: &[&str]) -> CutText {
    let said: Vec<CutText> = texts.iter().flat_map(|text| text.lines()).filter_map(words::cut).collect();
    let count: usize = said.iter().map(|cut| cut.count).sum();
    if count == 0 || count > 500 {
        let on_fold = texts.iter().any(|text| text.to_lowercase().contains("on fold"));
        return CutText { count: 1, on_fold, mirrored: false };
    }
    CutText {
        count,
        on_fold: said.iter().any(|cut| cut.on_fold),
        mirrored: count.is_multiple_of(2) && said.iter().all(|cut| cut.mirrored),
    }
}

/// A name for each piece, no two alike: its own, else its lettering, else its layer where no other piece is on it, else a
/// number.
fn names(drawing: &Drawing, taken: &[&ClosedLine]) -> Vec<String> {
    let mut used: Vec<String> = Vec::new();
    for line in taken {
        let alone = |layer: &String| {
            taken.iter().filter(|other| other.layers.contains(layer)).count() == 1 && !words::is_generated(layer)
        };
        let lettering = || texts(drawing, taken, line).iter().find_map(|text| words::name(text));
        let layer = || line.layers.iter().rev().find(|layer| alone(layer)).map(|layer| words::clean(layer));
        let stem = line.name.clone().or_else(lettering).or_else(layer).filter(|name| !name.is_empty());
        let stem = stem.unwrap_or_else(|| format!("piece {}", line.number));
        let (mut name, mut number) = (stem.clone(), 2);
        while used.contains(&name) {
            name = format!("{stem} {number}");
            number += 1;
        }
        used.push(name);
    }
    used
}

/// For each piece the open lines that belong to it: those of its block that begin, end or pass in it, and in no smaller one.
fn inner_lines(drawing: &Drawing, taken: &[&ClosedLine]) -> Vec<Vec<InnerLine>> {
    let mut found: Vec<Vec<InnerLine>> = taken.iter().map(|_| Vec::new()).collect();
    for line in drawing.lines.iter().filter(|line| !is_closed(&line.path)) {
        let element = drawing.element_of(line);
        let points = polyline(&line.path);
        if points.len() < 2 {
            continue;
        }
        let bounds = ring_bounds(&points);
        let samples = [points[0], points[points.len() / 2], points[points.len() - 1], (points[0] + points[1]) / 2.0];
        let is_on = |piece: &&ClosedLine| {
            piece.block == element.block
                && meet(&bounds, &piece.bounds)
                && samples.iter().any(|&p| is_inside(&piece.ring, p) || distance_to(&piece.ring, p) <= 1.0)
        };
        let owner =
            (0..taken.len()).filter(|&i| is_on(&taken[i])).min_by(|&i, &j| taken[i].area.total_cmp(&taken[j].area));
        if let Some(owner) = owner {
            found[owner].push(InnerLine { points, role: element.role });
        }
    }
    found
}

fn meet(a: &Bounds, b: &Bounds) -> bool {
    a.min.x <= b.max.x + 1.0 && b.min.x <= a.max.x + 1.0 && a.min.y <= b.max.y + 1.0 && b.min.y <= a.max.y + 1.0
}
