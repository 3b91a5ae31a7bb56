//! The closed lines of a drawing: which of them are pieces.

use std::fmt::Write as _;

use std::collections::BTreeSet;

use super::Options;
use super::drawing::{Drawing, Role, ends, is_closed};
use super::square::{check, is_labelled, rectangle, square_sides};
use super::straight::{distance_to, is_inside};
use super::svg::colour;
use super::words;
use crate::error::{Problem, Problems};
use crate::geometry::curve::closed_ring;
use crate::geometry::ring::distance;
use crate::geometry::{Bounds, Point, ring_area, ring_bounds};
use crate::units::{Mm, Rounding, both};

/// A closed line smaller than this both ways is no piece but lettering or a mark, in mm.
pub(super) const LEAST_PIECE: Mm = 20.0;

/// A drawing may have this many closed lines as large as pieces.
const MOST_CLOSED: usize = 2000;

/// What a closed line is taken for when nothing is picked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A piece: it lies in no other one.
    Piece,
    /// It lies in the closed line of this number: a stitching line, a pocket's place, a cut-out.
    Inside(usize),
    /// The edge of the sheet.
    Sheet,
    /// The test square.
    Square,
    /// It is drawn just like the closed line of this number.
    Copy(usize),
    /// Its layer says that it is no outline.
    Mark,
}

/// A closed line as large as a piece.
#[derive(Debug, Clone)]
pub struct ClosedLine {
    /// Its number, counted from 1 in the order of the file.
    pub number: usize,
    /// Its name, where it has one.
    pub name: Option<String>,
    /// The upright rectangle about it, in mm.
    pub bounds: Bounds,
    /// The layers it is in, the outermost first.
    pub layers: Vec<String>,
    /// The colour of its line as `#rrggbb`, where it has one.
    pub stroke: Option<String>,
    /// The size it is drawn for, in a file that names sizes.
    pub size: Option<String>,
    /// What it is taken for.
    pub kind: Kind,
    /// Whether it is imported.
    pub taken: bool,
    pub(super) names: Vec<String>,
    pub(super) role: Option<Role>,
    pub(super) line: usize,
    pub(super) block: usize,
    pub(super) ring: Vec<Point>,
    pub(super) area: f64,
    pub(super) square: Option<[Mm; 2]>,
}

/// What a drawing offers.
#[derive(Debug, Clone)]
pub struct Listing {
    /// Its closed lines.
    pub lines: Vec<ClosedLine>,
    /// The sizes it names.
    pub sizes: Vec<String>,
    /// How many closed lines were too small to be pieces.
    pub small: usize,
    /// The sides of the test square, where one was asked for: they are right.
    pub square: Option<[Mm; 2]>,
}

/// Finds the closed lines of a drawing and which of them are taken.
///
/// # Errors
/// No closed line as large as a piece, a test square that is off or missing, or something picked that is not there.
pub fn listing(drawing: &Drawing, options: &Options) -> Result<Listing, Problems> {
    let (mut lines, small) = closed_lines(drawing);
    if lines.is_empty() {
        return Err(vec![nothing_closed(drawing, small)]);
    }
    if lines.len() > MOST_CLOSED {
        let cause = format!("The drawing has {} closed lines as large as pieces.", lines.len());
        let hint = format!("save only the pieces you need: {MOST_CLOSED} is the most that is worked on");
        return Err(vec![Problem::at("", cause, hint)]);
    }
    judge(drawing, &mut lines);
    let square = match options.square {
        Some(wanted) => {
            let (index, sides) = check(&lines, wanted, options.scale).map_err(|problem| vec![problem])?;
            // Drawn twice over, it is the test square both times.
            let twins: Vec<usize> = (0..lines.len()).filter(|&i| is_twin(&lines[i], &lines[index])).collect();
            for twin in twins {
                lines[twin].kind = Kind::Square;
            }
            Some(sides)
        }
        None => None,
    };
    let mut sizes: Vec<String> = Vec::new();
    for size in drawing.blocks.iter().filter_map(|block| block.size.clone()) {
        if !sizes.contains(&size) {
            sizes.push(size);
        }
    }
    take(&mut lines, &sizes, options)?;
    Ok(Listing { lines, sizes, small, square })
}

fn closed_lines(drawing: &Drawing) -> (Vec<ClosedLine>, usize) {
    let (mut lines, mut small) = (Vec::new(), 0);
    for (index, line) in drawing.lines.iter().enumerate().filter(|(_, line)| is_closed(&line.path)) {
        let Ok(mut ring) = closed_ring(&line.path) else { continue };
        let bounds = ring_bounds(&ring);
        if ring.len() < 3 || bounds.length().max(bounds.width()) < LEAST_PIECE {
            small += 1;
            continue;
        }
        if ring_area(&ring) < 0.0 {
            ring.reverse();
        }
        let element = drawing.element_of(line);
        let block = &drawing.blocks[element.block.min(drawing.blocks.len().saturating_sub(1))];
        let own = element.names.iter().rev().find(|name| !words::is_generated(name)).map(|name| words::clean(name));
        lines.push(ClosedLine {
            number: lines.len() + 1,
            name: Some(block.name.clone()).filter(|name| !name.is_empty()).or(own).filter(|name| !name.is_empty()),
            bounds,
            layers: element.layers.clone(),
            stroke: element.stroke.clone(),
            size: block.size.clone(),
            kind: Kind::Piece,
            taken: false,
            names: element.names.clone(),
            role: element.role,
            line: index,
            block: element.block,
            area: ring_area(&ring),
            square: square_sides(&ring),
            ring,
        });
    }
    (lines, small)
}

fn nothing_closed(drawing: &Drawing, small: usize) -> Problem {
    let gap = |path| ends(path).map(|[a, b]| a.distance(b));
    let open = drawing.lines.iter().filter(|line| !is_closed(&line.path));
    let large = open.filter(|line| {
        let bounds = kurbo::Shape::bounding_box(&line.path);
        bounds.width().min(bounds.height()) >= LEAST_PIECE
    });
    let nearest = large.filter_map(|line| gap(&line.path)).min_by(f64::total_cmp);
    let least = both(LEAST_PIECE, Rounding::Nearest);
    let mut cause = format!("Nothing in the drawing is a closed outline of {least} or more.");
    if let Some(gap) = nearest {
        let _ = write!(cause, " The line that comes nearest is open by {}.", both(gap, Rounding::Nearest));
    } else if small > 0 {
        let _ = write!(cause, " {small} smaller closed lines were taken for lettering and marks.");
    } else if drawing.lines.is_empty() {
        cause.push_str(" It has no lines at all: it may hold a picture instead.");
    }
    Problem::at("", cause, "close the outlines in a drawing program; where they are drawn too small, use --scale")
}

/// What each closed line is when nothing is picked.
fn judge(drawing: &Drawing, lines: &mut [ClosedLine]) {
    for index in 0..lines.len() {
        let line = &lines[index];
        let kind = if drawing.page.is_some_and(|page| is_sheet(line, page)) {
            Kind::Sheet
        } else if line.square.is_some() && is_labelled(drawing, line) {
            Kind::Square
        } else if let Some(twin) = lines[..index].iter().find(|other| is_twin(other, line)) {
            Kind::Copy(twin.number)
        } else {
            Kind::Piece
        };
        lines[index].kind = kind;
    }
    let outlined: BTreeSet<usize> =
        lines.iter().filter(|line| line.role == Some(Role::Outline)).map(|line| line.block).collect();
    for index in 0..lines.len() {
        if lines[index].kind != Kind::Piece {
            continue;
        }
        let line = &lines[index];
        // Names mislead ("stitching band"); only numbered layers, which come without a sheet, settle it.
        let is_mark = drawing.page.is_none()
            && (matches!(line.role, Some(Role::Hole | Role::Stitching | Role::Other))
                || (outlined.contains(&line.block) && line.role != Some(Role::Outline)));
        let around = lines.iter().filter(|other| {
            let counts = matches!(other.kind, Kind::Piece | Kind::Inside(_) | Kind::Mark);
            counts && other.number != line.number && holds(other, line)
        });
        let around = around.min_by(|one, other| one.area.total_cmp(&other.area)).map(|other| other.number);
        lines[index].kind = around.map_or(if is_mark { Kind::Mark } else { Kind::Piece }, Kind::Inside);
    }
}

/// An upright rectangle that covers the sheet, or all but a hair of it.
fn is_sheet(line: &ClosedLine, page: Bounds) -> bool {
    let (a, b) = (line.bounds.min, line.bounds.max);
    rectangle(&line.ring).is_some()
        && a.x <= page.min.x + 1.0
        && a.y <= page.min.y + 1.0
        && b.x >= page.max.x - 1.0
        && b.y >= page.max.y - 1.0
}

fn is_twin(one: &ClosedLine, other: &ClosedLine) -> bool {
    one.block == other.block
        && distance(one.bounds.min, other.bounds.min) < 0.05
        && distance(one.bounds.max, other.bounds.max) < 0.05
        && (one.area - other.area).abs() <= 1e-4 * one.area
}

/// Whether a closed line lies within a larger one; their edges may touch.
pub(super) fn holds(outer: &ClosedLine, inner: &ClosedLine) -> bool {
    let (o, i) = (&outer.bounds, &inner.bounds);
    let within =
        o.min.x <= i.min.x + 0.5 && o.min.y <= i.min.y + 0.5 && o.max.x >= i.max.x - 0.5 && o.max.y >= i.max.y - 0.5;
    if outer.block != inner.block || !within || outer.area <= inner.area * 1.0001 {
        return false;
    }
    let step = (inner.ring.len() / 12).max(1);
    inner.ring.iter().step_by(step).all(|&p| is_inside(&outer.ring, p) || distance_to(&outer.ring, p) <= 0.5)
}

/// Marks the lines that are imported.
fn take(lines: &mut [ClosedLine], sizes: &[String], options: &Options) -> Result<(), Problems> {
    let mut problems = Vec::new();
    let wanted = options.size.as_ref();
    if let Some(size) = wanted.filter(|size| !sizes.contains(size)) {
        problems.push(no_size(size, sizes));
    }
    let fits = |line: &ClosedLine| wanted.is_none() || line.size.is_none() || line.size.as_ref() == wanted;
    if options.pick.is_empty() {
        for line in lines.iter_mut().filter(|line| fits(line)) {
            line.taken = line.kind == Kind::Piece;
        }
    }
    for pick in &options.pick {
        let picked = picked(lines, pick, &fits);
        if picked.is_empty() {
            let cause = format!(
                "\"{}\" is no closed line of the drawing: no number, name, layer or colour.",
                words::short(pick)
            );
            problems.push(Problem::at("--pick", cause, "see what there is with --list"));
        }
        for index in picked {
            lines[index].taken = true;
        }
    }
    if problems.is_empty() { Ok(()) } else { Err(problems) }
}

fn no_size(size: &str, sizes: &[String]) -> Problem {
    let cause = format!("The drawing has no size \"{}\".", words::short(size));
    let hint = if sizes.is_empty() {
        "it names no sizes at all: pick the lines of one size by layer or colour with --pick".to_owned()
    } else {
        format!("its sizes are {}", sizes.join(", "))
    };
    Problem::at("--size", cause, hint)
}

/// The lines that a word of --pick means. A number or a name means just those; a layer or a colour the outermost of its
/// lines.
fn picked(lines: &[ClosedLine], pick: &str, fits: &impl Fn(&ClosedLine) -> bool) -> Vec<usize> {
    let all = |is: &dyn Fn(&ClosedLine) -> bool| -> Vec<usize> {
        (0..lines.len()).filter(|&i| fits(&lines[i]) && is(&lines[i])).collect()
    };
    let wanted = pick.trim();
    let same = |text: &String| text.to_lowercase() == wanted.to_lowercase();
    let by_number = all(&|line| wanted.parse() == Ok(line.number));
    if !by_number.is_empty() {
        return by_number;
    }
    let by_name = all(&|line| line.name.as_ref().is_some_and(same) || line.names.iter().any(same));
    if !by_name.is_empty() {
        return by_name;
    }
    let of_layer = all(&|line| line.layers.iter().any(same));
    let group = if of_layer.is_empty() {
        let wanted = colour(wanted);
        all(&|line| line.stroke.is_some() && line.stroke == wanted)
    } else {
        of_layer
    };
    let is_outermost = |&i: &usize| {
        let line = &lines[i];
        let is_drawn_again = group.iter().any(|&j| j < i && is_twin(&lines[j], line));
        !matches!(line.kind, Kind::Sheet | Kind::Square)
            && !is_drawn_again
            && !group.iter().any(|&j| j != i && holds(&lines[j], line))
    };
    group.iter().copied().filter(is_outermost).collect()
}
