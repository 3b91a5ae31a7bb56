//! The pieces on the cloth: areas, outlines, the mark at the fold, labels and grain arrows.

use super::canvas::{BLACK, Canvas, WHITE, Words, at, closed, open};
use super::lattice;
use super::list::{Anchor, Frame, LabelPlace, Placed};
use super::polygon::{hatch, holds, long_axis, ring_edges, upright};
use super::room::{Block, Inside};
use super::table::{Layers, OnTable, Table};
use super::text::{SMALLEST, clean, shorten, wrap};
use super::view::View;
use crate::geometry::{Point, Shape};

/// Widest name that is written out, in ems; the whole is in the title of the mark.
const LONGEST_NAME: f64 = 30.0;
/// Type sizes for the name of a piece, in points.
const SIZES: [f64; 6] = [10.0, 9.0, 8.0, 7.2, 6.6, SMALLEST];
/// Lengths in mm that a grain arrow has at least: wished for, then put up with.
const ARROWS: [f64; 2] = [9.0, 4.5];

/// A piece that got no label inside: what is to be placed outside it.
pub(super) struct Pending {
    /// Index among the placements of the sheet.
    pub(super) placed: usize,
    /// Index among the placements of the table, plus 1.
    pub(super) owner: u32,
    /// A point inside the piece.
    pub(super) target: Point,
    pub(super) words: LabelWords,
    /// Degrees clockwise of a grain arrow still to be shown.
    pub(super) grain: Option<f64>,
}

/// What a label says.
#[derive(Debug, Clone)]
pub(super) struct LabelWords {
    pub(super) name: String,
    /// How many plies, and which: in full, short, and as short as can be.
    pub(super) amounts: [String; 3],
    pub(super) side: &'static str,
}

/// What the label of a placement says.
pub(super) fn label_words(piece: &OnTable, doubled_somewhere: bool) -> LabelWords {
    let n = piece.numbers.iter().map(usize::to_string).collect::<Vec<_>>().join("+");
    let amounts = match piece.layers {
        Layers::Both => [
            format!("cut through both layers: 2 plies, a pair (no. {n})"),
            format!("2 plies, a pair (no. {n})"),
            format!("2 plies ({n})"),
        ],
        Layers::OnFold => {
            [format!("1 ply, on the fold (no. {n})"), format!("1 ply, on the fold ({n})"), format!("on the fold ({n})")]
        }
        Layers::OneOfTwo => [
            format!("1 ply: cut through one layer only (no. {n})"),
            format!("1 ply, one layer only (no. {n})"),
            format!("1 ply, one layer ({n})"),
        ],
        Layers::Open if piece.turned_over.is_some() => [
            format!("1 ply, cut whole: turn the half pattern over (no. {n})"),
            format!("1 ply, cut whole (no. {n})"),
            format!("1 ply, whole ({n})"),
        ],
        Layers::Open if doubled_somewhere => {
            [format!("1 ply, single layer (no. {n})"), format!("1 ply (no. {n})"), format!("1 ply ({n})")]
        }
        Layers::Open => [format!("1 ply (no. {n})"), format!("1 ply (no. {n})"), format!("1 ply ({n})")],
    };
    let side = if piece.mirrored { "mirrored: printed side down" } else { "printed side up" };
    let name = clean(&piece.cut);
    let name = if name.is_empty() { "(no name)".to_owned() } else { name };
    LabelWords { name, amounts, side }
}

/// Draws every piece of a row; gives those whose labels are still to be placed outside.
pub(super) fn draw(canvas: &mut Canvas, table: &Table, view: &View, is_home: impl Fn(usize) -> bool) -> Vec<Pending> {
    let doubled = table.strips.iter().any(|s| s.lie.is_doubled());
    let mut pending = Vec::new();
    for (i, piece) in table.placements.iter().enumerate() {
        let Some(shape) = view.shape(table, &piece.shape) else {
            continue;
        };
        let words = label_words(piece, doubled);
        body(canvas, table, view, piece, &shape, &words);
        let obstacles = fold_marks(canvas, view, piece, &shape);
        let placed = Placed {
            cut: piece.cut.clone(),
            numbers: piece.numbers.clone(),
            shape: shape.clone(),
            label: LabelPlace::Elsewhere,
            grain: None,
        };
        canvas.placements.push(placed);
        let inside = Inside::new(&shape, obstacles);
        let at = canvas.placements.len() - 1;
        if is_home(i) {
            pending.extend(label(canvas, at, i as u32 + 1, piece, &inside, &shape, words));
        } else {
            continued(canvas, &inside, &shape, &words);
        }
    }
    pending
}

fn body(canvas: &mut Canvas, table: &Table, view: &View, piece: &OnTable, shape: &Shape, words: &LabelWords) {
    let title = format!("{}: {}, {}", words.name, words.amounts[0], words.side);
    canvas.area(shape, WHITE, Some(title));
    if piece.mirrored {
        let lines = hatch(shape, -32.0, 2.6).into_iter().map(|line| open(line.to_vec())).collect();
        canvas.lines(lines, 0.12, 0.25, None);
    }
    lattice::draw(canvas, table, view, Some(shape));
    // The edge on a fold, and the edge where a row breaks off, are not cut.
    let uncut = |a: &Point, b: &Point| {
        let on_fold = piece
            .on_fold
            .as_ref()
            .is_some_and(|fold| (a.y - view.y(fold.y)).abs() < 0.02 && (b.y - view.y(fold.y)).abs() < 0.02);
        let at_break = [view.left, view.right()]
            .iter()
            .any(|x| (a.x - x).abs() < 1e-9 && (b.x - x).abs() < 1e-9 && !is_end(piece, view, *x));
        on_fold || at_break
    };
    let mut lines = Vec::new();
    for ring in super::polygon::rings(shape) {
        if ring_edges(ring).any(|(a, b)| uncut(&a, &b)) {
            lines.extend(ring_edges(ring).filter(|(a, b)| !uncut(a, b)).map(|(a, b)| open(vec![a, b])));
        } else {
            lines.push(closed(ring.clone()));
        }
    }
    canvas.lines(lines, 0.35, BLACK, None);
    if let Some([a, b]) = piece.turned_over {
        let (a, b) = (view.point(a), view.point(b));
        let within = |p: Point| p.x >= view.left - 0.01 && p.x <= view.right() + 0.01;
        if within(a) && within(b) {
            canvas.lines(vec![open(vec![a, b])], 0.2, BLACK, Some([1.6, 1.0]));
        }
    }
}

/// Whether the piece itself ends at this place of the row, so that the edge there is really cut.
fn is_end(piece: &OnTable, view: &View, x: f64) -> bool {
    let bounds = piece.shape.bounds();
    (view.x(bounds.min.x) - x).abs() < 1e-6 || (view.x(bounds.max.x) - x).abs() < 1e-6
}

/// Brackets with heads towards the fold; gives the boxes that they fill.
fn fold_marks(canvas: &mut Canvas, view: &View, piece: &OnTable, shape: &Shape) -> Vec<Frame> {
    let mut boxes = Vec::new();
    let Some(on_fold) = &piece.on_fold else { return boxes };
    let fold = view.y(on_fold.y);
    // Into the piece: down the paper where it lies below the fold.
    let inward = if on_fold.upward { -1.0 } else { 1.0 };
    for &[from, to] in &on_fold.stretches {
        let (from, to) = (view.x(from.max(view.row.from)), view.x(to.min(view.row.to)));
        for part in [0.72, 0.5, 0.3] {
            let half = (to - from) / 2.0 * part;
            let middle = f64::midpoint(from, to);
            // The box stays a hair off the fold itself, which is an edge of the drawn half.
            let centre = at(middle, fold + 1.7 * inward);
            let frame = Frame { centre, half_width: half, half_height: 1.6, turn: 0.0 };
            if half < 1.5 || !holds(shape, &frame) {
                continue;
            }
            let (l, r) = (middle - half + 0.8, middle + half - 0.8);
            let (y, neck, tip) = (fold + 2.6 * inward, fold + 1.2 * inward, fold + 0.1 * inward);
            canvas.lines(vec![open(vec![at(l, neck), at(l, y), at(r, y), at(r, neck)])], 0.3, BLACK, None);
            canvas.head(at(l, tip), -90.0 * inward, 1.6);
            canvas.head(at(r, tip), -90.0 * inward, 1.6);
            boxes.push(frame);
            boxes.extend(on_the_fold(canvas, shape, at(middle, y), half, inward));
            break;
        }
    }
    boxes
}

/// The words at such a bracket, where there is room for them.
fn on_the_fold(canvas: &mut Canvas, shape: &Shape, bracket: Point, half: f64, inward: f64) -> Option<Frame> {
    let words = Words::new("on the fold", SMALLEST);
    let frame = Frame {
        centre: bracket + at(0.0, (0.3 + words.height() / 2.0) * inward),
        half_width: words.width() / 2.0,
        half_height: words.height() / 2.0,
        turn: 0.0,
    };
    let fits = shape.bounds().width() > 24.0 && words.width() < 2.0 * half && holds(shape, &frame.grown(0.5));
    fits.then(|| {
        blank(canvas, &frame);
        canvas.text(&words, frame, Anchor::Middle, None);
        frame
    })
}

/// White under text, so that a hatched piece can be read.
pub(super) fn blank(canvas: &mut Canvas, frame: &Frame) {
    let ring = Shape { outline: frame.corners().to_vec(), holes: Vec::new() };
    canvas.area(&ring, WHITE, None);
}

/// Ways to break a label into lines, the easiest to read first.
pub(super) fn blocks(words: &LabelWords, size: f64) -> Vec<Block> {
    let small = (size * 0.86).max(SMALLEST);
    let name = shorten(&words.name, true, LONGEST_NAME);
    let rest = |amount: &String| vec![amount.clone(), words.side.to_owned()];
    let block = |names: Vec<String>, rest: Vec<String>| Block {
        lines: names
            .into_iter()
            .map(|line| Words::bold(line, size))
            .chain(rest.into_iter().map(|line| Words::new(line, small)))
            .collect(),
    };
    let narrow = |(most, amount): (f64, usize)| {
        let rest = rest(&words.amounts[amount]).iter().flat_map(|line| wrap(line, false, most)).collect();
        block(wrap(&words.name, true, most), rest)
    };
    let [full, short, least] = &words.amounts;
    let mut blocks = Vec::new();
    if size >= 8.0 {
        blocks.push(block(vec![name.clone()], rest(full)));
    }
    blocks.push(block(vec![name.clone()], rest(short)));
    blocks.push(block(vec![name.clone()], vec![rest(short).join(" · ")]));
    blocks.extend([(12.0, 1), (9.5, 1), (8.0, 2), (7.0, 2), (5.4, 2)].map(narrow));
    blocks.push(block(vec![format!("{name} · {short} · {}", words.side)], Vec::new()));
    blocks.push(block(vec![format!("{name} · {least} · {}", words.side)], Vec::new()));
    blocks
}

/// Degrees clockwise on paper of the top of the garment.
fn grain_turn(piece: &OnTable) -> f64 {
    crate::geometry::normal_turn(-piece.turn)
}

fn label(
    canvas: &mut Canvas,
    placed: usize,
    owner: u32,
    piece: &OnTable,
    inside: &Inside,
    shape: &Shape,
    words: LabelWords,
) -> Option<Pending> {
    let grain = grain_turn(piece);
    let mut turns = vec![0.0];
    for turn in [long_axis(&shape.outline), -90.0, upright(grain)] {
        if turns.iter().all(|t: &f64| (t - turn).abs() > 4.0) {
            turns.push(turn);
        }
    }
    // Level and large is read best; then any turn and size; a word cut off in the middle is the last resort.
    let (level, large, fair) = (&turns[..1], &SIZES[..4], &SIZES[..5]);
    for (turns, sizes, least, whole_words) in [
        (level, large, ARROWS[0], true),
        (level, fair, ARROWS[1], true),
        (&turns[..], &SIZES[..], ARROWS[0], true),
        (&turns[..], &SIZES[..], ARROWS[1], true),
        (&turns[..], &SIZES[..], ARROWS[1], false),
    ] {
        if inside.arrow(grain, least, None).is_none() {
            continue;
        }
        let Some((block, frame, arrow)) = find_label(inside, &words, (turns, sizes), grain, least, whole_words) else {
            continue;
        };
        set_block(canvas, &block, frame, &words.name, piece.mirrored || piece.turned_over.is_some());
        grain_arrow(canvas, arrow, grain, piece.mirrored);
        canvas.placements[placed].label = LabelPlace::Inside(frame);
        canvas.placements[placed].grain = Some(arrow);
        return None;
    }
    let arrow = inside.arrow(grain, 3.0, None);
    let target = inside.beside(arrow).unwrap_or_else(|| shape.outline[0]);
    if let Some(arrow) = arrow {
        grain_arrow(canvas, arrow, grain, piece.mirrored);
        canvas.placements[placed].grain = Some(arrow);
    }
    let grain = arrow.is_none().then_some(grain);
    Some(Pending { placed, owner, target, words, grain })
}

/// The largest and fullest label that leaves room for a grain arrow of at least `least` mm.
fn find_label(
    inside: &Inside,
    words: &LabelWords,
    (turns, sizes): (&[f64], &[f64]),
    grain: f64,
    least: f64,
    whole_words: bool,
) -> Option<(Block, Frame, [Point; 2])> {
    for block in sizes.iter().flat_map(|&size| blocks(words, size)) {
        if block.width() * block.height() > inside.area() || (whole_words && block.is_cut_off()) {
            continue;
        }
        for &turn in turns {
            for frame in inside.block_places(&block, turn) {
                if let Some(arrow) = inside.arrow(grain, least, Some(&frame)) {
                    return Some((block, frame, arrow));
                }
            }
        }
    }
    None
}

/// A short label on the lesser part of a piece that a row breaks through.
fn continued(canvas: &mut Canvas, inside: &Inside, shape: &Shape, words: &LabelWords) {
    for size in [8.0, SMALLEST] {
        let lines = vec![Words::bold(shorten(&words.name, true, 18.0), size), Words::new("(continued)", SMALLEST)];
        let block = Block { lines };
        let found = [0.0, -90.0, long_axis(&shape.outline)].into_iter().find_map(|turn| inside.block(&block, turn));
        if let Some(frame) = found {
            set_block(canvas, &block, frame, &words.name, true);
            return;
        }
    }
}

/// Sets the lines of a block in its box, each centred.
pub(super) fn set_block(canvas: &mut Canvas, block: &Block, frame: Frame, name: &str, blanked: bool) {
    if blanked {
        blank(canvas, &frame.grown(0.3));
    }
    let mut down = -frame.half_height;
    for (i, words) in block.lines.iter().enumerate() {
        let centre = frame.at(0.0, down + words.height() / 2.0);
        let line =
            Frame { centre, half_width: words.width() / 2.0, half_height: words.height() / 2.0, turn: frame.turn };
        let shortened = i == 0 && block.lines.iter().any(|l| l.content.ends_with('…') || l.content.contains("… ·"));
        canvas.text(words, line, Anchor::Middle, shortened.then(|| name.to_owned()));
        down += words.height();
    }
}

pub(super) fn grain_arrow(canvas: &mut Canvas, [tail, head]: [Point; 2], turn: f64, blanked: bool) {
    if blanked {
        let length = libm::hypot(head.x - tail.x, head.y - tail.y);
        blank(canvas, &Frame { centre: (tail + head) / 2.0, half_width: length / 2.0 + 0.3, half_height: 1.0, turn });
    }
    let (sine, cosine) = crate::geometry::sine_cosine(turn);
    let bar = at(-sine * 0.9, cosine * 0.9);
    let neck = head - at(cosine, sine) * 1.2;
    canvas.lines(vec![open(vec![tail, neck]), open(vec![tail - bar, tail + bar])], 0.3, BLACK, None);
    canvas.head(head, turn, 2.4);
}
