//! Pattern pieces at full size on one sheet: cut and stitching lines, grain, fold, notches, darts, names.

use super::canvas::{BLACK, Canvas, WHITE, Words, at, closed, open};
use super::list::{Frame, LabelPlace, Placed, Sheet};
use super::pieces::set_block;
use super::polygon::{long_axis, rings};
use super::room::{Block, Inside};
use super::squares;
use super::text::{POINT, clean, wrap};
use crate::geometry::{Point, Shape, normal_turn};

/// A piece to be printed, grain along +x and the top of the garment towards +x; mm.
#[derive(Debug, Clone, PartialEq)]
pub struct PatternPiece {
    /// Its name.
    pub name: String,
    /// What is cut of it, a line each.
    pub lines: Vec<String>,
    /// The cut line.
    pub shape: Shape,
    /// Stretches of the stitching line.
    pub stitching: Vec<Vec<Point>>,
    /// Tail and head of its grain line.
    pub grain: [Point; 2],
    /// The two ends of the edge on a fold.
    pub fold: Option<[Point; 2]>,
    /// Strokes from the cut line inwards.
    pub notches: Vec<[Point; 2]>,
    /// One leg's end, the apex, the other's.
    pub darts: Vec<[Point; 3]>,
}

/// Space around each piece, in mm.
const MARGIN: f64 = 12.0;
/// Room for the title, in mm.
const TITLE: f64 = 14.0;

/// All pieces on one sheet about `width` mm wide, upright, with test squares where they are asked for.
pub fn pattern(title: &str, pieces: &[PatternPiece], width: f64, with_squares: bool) -> Sheet {
    let mut order: Vec<usize> = (0..pieces.len()).collect();
    // Rows of pieces about as tall waste least paper.
    order.sort_by(|&a, &b| pieces[b].shape.bounds().length().total_cmp(&pieces[a].shape.bounds().length()));
    let (mut x, mut y, mut tall, mut widest) = (0.0, TITLE, 0.0, 0.0_f64);
    if with_squares {
        (x, tall) = (squares::WIDTH + 2.0 * MARGIN, squares::HEIGHT + 2.0 * MARGIN);
        widest = x;
    }
    let mut places = Vec::new();
    for index in order {
        let bounds = pieces[index].shape.bounds();
        let (w, h) = (bounds.width() + 2.0 * MARGIN, bounds.length() + 2.0 * MARGIN);
        if x > 0.0 && x + w > width {
            (x, y, tall) = (0.0, y + tall, 0.0);
        }
        places.push((index, at(x + MARGIN + bounds.max.y, y + MARGIN + bounds.max.x)));
        (x, tall) = (x + w, f64::max(tall, h));
        widest = widest.max(x);
    }
    let mut canvas = Canvas::new(widest.max(120.0), y + tall, MARGIN);
    let room = canvas.right() - canvas.left();
    canvas.text_at(&Words::bold(format!("{}, full size", clean(title)), 18.0), canvas.left(), 5.0, room);
    if with_squares {
        squares::draw(&mut canvas, at(MARGIN, TITLE + MARGIN));
    }
    for (index, origin) in places {
        piece(&mut canvas, &pieces[index], origin);
    }
    canvas.finish()
}

fn piece(canvas: &mut Canvas, piece: &PatternPiece, origin: Point) {
    // The grain is upright: x of the piece runs up the paper, y to the left.
    let place = |p: &Point| at(origin.x - p.y, origin.y - p.x);
    let ring = |points: &Vec<Point>| points.iter().map(place).collect::<Vec<_>>();
    let shape = Shape { outline: ring(&piece.shape.outline), holes: piece.shape.holes.iter().map(ring).collect() };
    canvas.area(&shape, WHITE, Some(clean(&piece.name)));
    canvas.lines(rings(&shape).map(|ring| closed(ring.clone())).collect(), 0.5, BLACK, None);
    let stitching = piece.stitching.iter().map(|line| open(ring(line))).collect();
    canvas.lines(stitching, 0.25, 0.3, Some([4.0, 2.0]));
    for notch in &piece.notches {
        canvas.line(place(&notch[0]), place(&notch[1]), 0.6);
    }
    for dart in &piece.darts {
        canvas.lines(vec![open(dart.iter().map(place).collect())], 0.3, BLACK, Some([6.0, 1.5]));
        canvas.dot(place(&dart[1]), 0.9);
    }
    let grain = piece.grain.map(|p| place(&p));
    super::pieces::grain_arrow(canvas, grain, -90.0, false);
    let mut obstacles = vec![along(grain, 3.0)];
    if let Some(fold) = piece.fold {
        obstacles.extend(on_fold(canvas, fold.map(|p| place(&p)), &shape));
    }
    let label = label(canvas, piece, &shape, obstacles);
    canvas.placements.push(Placed { cut: piece.name.clone(), numbers: Vec::new(), shape, label, grain: Some(grain) });
}

/// A box about a line.
fn along([a, b]: [Point; 2], half_height: f64) -> Frame {
    let (dx, dy) = (b.x - a.x, b.y - a.y);
    let turn = libm::atan2(dy, dx).to_degrees();
    Frame { centre: (a + b) / 2.0, half_width: libm::hypot(dx, dy) / 2.0, half_height, turn }
}

/// The fold edge: a heavy line over the cut line, with words beside it.
fn on_fold(canvas: &mut Canvas, [a, b]: [Point; 2], shape: &Shape) -> Option<Frame> {
    canvas.lines(vec![open(vec![a, b])], 1.4, BLACK, Some([14.0, 3.0]));
    let edge = along([a, b], 0.0);
    let words = Words::bold("on the fold: do not cut", 10.0);
    let half_height = words.height() / 2.0;
    let found = [1.0, -1.0].into_iter().find_map(|side| {
        let centre = edge.at(0.0, side * (half_height + 2.5));
        let turn = super::polygon::upright(edge.turn);
        let frame = Frame { centre, half_width: words.width() / 2.0, half_height, turn };
        super::polygon::holds(shape, &frame.grown(0.5)).then_some(frame)
    })?;
    canvas.text(&words, found, super::list::Anchor::Middle, None);
    Some(found)
}

/// Name and cuts where they have room, the largest first; under the piece where they have none.
fn label(canvas: &mut Canvas, piece: &PatternPiece, shape: &Shape, obstacles: Vec<Frame>) -> LabelPlace {
    let inside = Inside::new(shape, obstacles);
    let axis = long_axis(&shape.outline);
    let name = clean(&piece.name);
    for size in [22.0_f64, 16.0, 12.0, 9.0, 7.0] {
        for most in [60.0, 18.0, 10.0] {
            let small = (size * 0.75).max(6.5);
            let names = wrap(&name, true, most).into_iter().map(|line| Words::bold(line, size));
            let cuts = piece.lines.iter().flat_map(|line| wrap(&clean(line), false, most));
            let block = Block { lines: names.chain(cuts.map(|line| Words::new(line, small))).collect() };
            let turns = [0.0, -90.0, normal_turn(axis)];
            if block.is_cut_off() {
                continue;
            }
            if let Some(frame) = turns.into_iter().find_map(|turn| inside.block(&block, turn)) {
                set_block(canvas, &block, frame, &name, true);
                return LabelPlace::Inside(frame);
            }
        }
    }
    let bounds = shape.bounds();
    let words = Words::bold(format!("{name}: {}", piece.lines.join("; ")), 8.0);
    let most = bounds.length().max(8.0 * POINT * 10.0);
    canvas.text_at(&words, bounds.min.x, bounds.max.y + 1.5, most);
    LabelPlace::Listed
}
