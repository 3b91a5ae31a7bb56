//! A large drawing in pieces on sheets of a home printer, with a map to join them by.

use super::Paper;
use super::canvas::{BLACK, Canvas, Words, at, closed, open};
use super::list::{Anchor, Frame, Sheet};
use super::pdf::Window;
use super::polygon::{contains, crosses, rings};
use super::squares;
use super::text::{POINT, clean, wrap};
use crate::geometry::{Point, Shape};

/// What no home printer can be relied on to print, in mm from the edge of the paper; holds the words of a sheet.
const BORDER: f64 = 12.0;
/// Neighbours show the same strip, in mm.
const OVERLAP: f64 = 10.0;

/// The sheets that a drawing is broken into.
#[derive(Debug, Clone, PartialEq)]
pub struct Tiles {
    /// The map with the test squares.
    pub map: Sheet,
    /// What stands about each part, and the part.
    pub sheets: Vec<(Sheet, Window)>,
}

struct Grid {
    paper: (f64, f64),
    columns: usize,
    rows: usize,
}

/// Breaks a drawing up, in rows from the upper left. Sheets that would show nothing are left out.
pub fn tiles(title: &str, drawing: &Sheet, paper: Paper) -> Tiles {
    let paper = paper.sides();
    let count = |extent: f64, step: f64| ((extent - OVERLAP) / step).ceil().clamp(1.0, 1000.0) as usize;
    let step = Grid::step(paper);
    let grid = Grid { paper, columns: count(drawing.width, step.x), rows: count(drawing.height, step.y) };
    let shown: Vec<(usize, usize)> = (0..grid.rows)
        .flat_map(|row| (0..grid.columns).map(move |column| (row, column)))
        .filter(|&(row, column)| {
            let frame = grid.part(row, column);
            drawing.placements.iter().any(|placed| shows(&placed.shape, &frame))
        })
        .collect();
    let sheets = shown.iter().map(|&place| sheet(title, &grid, &shown, place)).collect();
    Tiles { map: map(title, drawing, &grid, &shown), sheets }
}

/// Whether something of a shape is seen in a window.
fn shows(shape: &Shape, frame: &Frame) -> bool {
    let edge = |(a, b): (Point, Point)| crosses(frame, a, b);
    rings(shape).any(|ring| super::polygon::ring_edges(ring).any(edge)) || contains(shape, frame.centre)
}

impl Grid {
    /// What a sheet shows.
    fn window((short, long): (f64, f64)) -> Point {
        at(short - 2.0 * BORDER, long - 2.0 * BORDER)
    }

    fn step(paper: (f64, f64)) -> Point {
        Self::window(paper) - at(OVERLAP, OVERLAP)
    }

    fn from(&self, row: usize, column: usize) -> Point {
        let step = Self::step(self.paper);
        at(column as f64 * step.x, row as f64 * step.y)
    }

    /// The part of the drawing that a sheet shows.
    fn part(&self, row: usize, column: usize) -> Frame {
        let (from, size) = (self.from(row, column), Self::window(self.paper));
        Frame::upright(from.x, from.y, size.x, size.y)
    }
}

/// Rows by letters, columns by numbers.
fn name((row, column): (usize, usize)) -> String {
    let letter = |n: usize| char::from(b'A' + (n % 26) as u8);
    let row = if row < 26 { letter(row).to_string() } else { format!("{}{}", letter(row / 26 - 1), letter(row)) };
    format!("{row}{}", column + 1)
}

fn sheet(title: &str, grid: &Grid, shown: &[(usize, usize)], place: (usize, usize)) -> (Sheet, Window) {
    let (row, column) = place;
    let (width, height) = grid.paper;
    let mut canvas = Canvas::new(width, height, BORDER);
    let size = Grid::window(grid.paper);
    let window = Frame::upright(BORDER, BORDER, size.x, size.y);
    let from = grid.from(row, column);
    canvas.lines(vec![closed(window.corners().to_vec())], 0.15, 0.4, None);
    crosses_at_joints(&mut canvas, grid, place);
    let is_shown =
        |row: Option<usize>, column: Option<usize>| row.zip(column).filter(|place| shown.contains(place)).map(name);
    let bottom = height - BORDER;
    canvas.text_at(&Words::bold(name(place), 14.0), BORDER, bottom + 0.6, 30.0);
    canvas.text_at(&Words::new(clean(title), 7.0), BORDER + 22.0, bottom + 1.6, width - 2.0 * BORDER - 80.0);
    let words = |text: String| Words::new(text, 7.0);
    let right = width - BORDER;
    if let Some(below) = is_shown(Some(row + 1), Some(column)) {
        canvas.text_ending_at(&words(format!("{below} lies over this edge")), right, bottom + 1.6, 54.0);
    }
    if let Some(above) = is_shown(row.checked_sub(1), Some(column)) {
        let text = words(format!("cut here, lay on {above}"));
        canvas.lines(vec![open(vec![at(BORDER, BORDER), at(right, BORDER)])], 0.35, BLACK, Some([2.0, 1.0]));
        canvas.text_at(&text, width / 2.0 - 15.0, BORDER - 4.4, 60.0);
    }
    let turned = |canvas: &mut Canvas, text: String, x: f64| {
        let text = words(text);
        let (half_width, half_height) = (text.width() / 2.0, text.height() / 2.0);
        let frame = Frame { centre: at(x, height / 2.0), half_width, half_height, turn: -90.0 };
        canvas.text(&text, frame, Anchor::Middle, None);
    };
    if let Some(left) = is_shown(Some(row), column.checked_sub(1)) {
        canvas.lines(vec![open(vec![at(BORDER, BORDER), at(BORDER, bottom)])], 0.35, BLACK, Some([2.0, 1.0]));
        turned(&mut canvas, format!("cut here, lay on {left}"), BORDER - 2.6);
    }
    if let Some(next) = is_shown(Some(row), Some(column + 1)) {
        turned(&mut canvas, format!("{next} lies over this edge"), right + 2.6);
    }
    (canvas.finish(), Window { drawing: 0, from, place: window })
}

/// Crosses in the middle of the strips that neighbours share: they must fall on one another.
fn crosses_at_joints(canvas: &mut Canvas, grid: &Grid, (row, column): (usize, usize)) {
    let (size, step) = (Grid::window(grid.paper), Grid::step(grid.paper));
    let mut lines = Vec::new();
    for (i, j) in [(0, 0), (1, 0), (0, 1), (1, 1)] {
        let x = BORDER + f64::from(i) * step.x + OVERLAP / 2.0;
        let y = BORDER + f64::from(j) * step.y + OVERLAP / 2.0;
        debug_assert!(x < BORDER + size.x && y < BORDER + size.y);
        let is_outer = |n: u8, at: usize, count: usize| (n == 0 && at == 0) || (n == 1 && at + 1 == count);
        if is_outer(i, column, grid.columns) && is_outer(j, row, grid.rows) {
            continue;
        }
        lines.push(open(vec![at(x - 3.0, y), at(x + 3.0, y)]));
        lines.push(open(vec![at(x, y - 3.0), at(x, y + 3.0)]));
    }
    canvas.lines(lines, 0.15, BLACK, None);
}

fn map(title: &str, drawing: &Sheet, grid: &Grid, shown: &[(usize, usize)]) -> Sheet {
    let (width, height) = grid.paper;
    let mut canvas = Canvas::new(width, height, BORDER);
    let (left, right) = (canvas.left(), canvas.right());
    let mut y = canvas.top();
    canvas.text_at(&Words::bold(format!("{}, full size", clean(title)), 13.0), left, y, right - left);
    y += 7.0;
    let about = format!(
        "{} sheets after this one. Print them all at 100 %, without fitting to the page, then measure both squares: each side must \
         come out within 0.5 mm (1/64 in). Cut each sheet along its dashed edges, lay it over its neighbour so that the crosses \
         meet, and tape it. Letters are rows, numbers columns.",
        shown.len()
    );
    for line in wrap(&about, false, (right - left) / (8.0 * POINT)) {
        let words = Words::new(line, 8.0);
        canvas.text_at(&words, left, y, right - left + 0.01);
        y += words.height();
    }
    let top = y + 4.0;
    let squares_at = at(left + (right - left - squares::WIDTH) / 2.0, canvas.bottom() - squares::HEIGHT);
    squares::draw(&mut canvas, squares_at);
    let room = at(right - left, canvas.bottom() - squares::HEIGHT - 5.0 - top);
    let last = grid.part(grid.rows - 1, grid.columns - 1).corners()[2];
    let scale = (last.x / room.x).max(last.y / room.y);
    let corner = at(left + (room.x - last.x / scale) / 2.0, top);
    let small = |p: &Point| corner + *p / scale;
    for placed in &drawing.placements {
        let lines = rings(&placed.shape).map(|ring| closed(ring.iter().map(small).collect())).collect();
        canvas.lines(lines, 0.2, 0.45, None);
    }
    let step = Grid::step(grid.paper) / scale;
    for &place in shown {
        let from = small(&grid.from(place.0, place.1));
        let frame = Frame::upright(from.x, from.y, step.x + OVERLAP / scale, step.y + OVERLAP / scale);
        canvas.lines(vec![closed(frame.corners().to_vec())], 0.15, BLACK, None);
        let words = Words::bold(name(place), 7.0);
        if words.width() < step.x && words.height() < step.y {
            let (half_width, half_height) = (words.width() / 2.0, words.height() / 2.0);
            canvas.text(&words, Frame { half_width, half_height, ..frame }, Anchor::Middle, None);
        }
    }
    canvas.finish()
}
