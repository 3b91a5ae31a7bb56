//! The foot of every sheet: how to lay the cloth, the signs in words, and the cautions.

use super::canvas::{BLACK, Canvas, WHITE, Words, at, closed, open};
use super::polygon::hatch;
use super::steps::steps;
use super::table::{Layers, Table};
use super::text::{POINT, SMALLEST, wrap};
use crate::geometry::{Point, Shape};

/// Shown wherever cutting or pressing is described.
const CAUTION: &str = "Before you cut: follow the care label of the cloth and the makers' instructions first; pre-wash and \
    test fusible interfacing on a scrap. Cut away from yourself, on a mat, and cover the blade of a rotary cutter when it is idle.";

/// Grey of the cloth that no piece covers, by its layers.
pub(super) fn ground_tone(layers: usize) -> f64 {
    if layers > 1 { 0.84 } else { 0.93 }
}

/// A sign of the legend.
#[derive(Clone, Copy)]
enum Sign {
    Up,
    Down,
    Ground(usize),
    Grain,
    Fold,
    TurnedOver,
    Repeat,
    Flaw,
    None,
}

/// The foot of every sheet of a drawing: legend and cautions, broken into lines.
#[derive(Clone)]
pub(super) struct Foot {
    steps: Vec<Words>,
    rows: Vec<Vec<(Sign, Words)>>,
    caution: Vec<Words>,
}

/// Type size of what to do at the table, in points.
const STEP: f64 = 8.0;
/// Height of a row of the legend, in mm.
const ROW: f64 = 4.3;
/// Room for a sign, in mm.
const SIGN: f64 = 9.5;
/// Between two entries of the legend, in mm.
const GAP: f64 = 6.0;

impl Foot {
    /// The foot for a sheet with so much width between its margins.
    pub(super) fn new(table: &Table, width: f64) -> Self {
        let mut rows: Vec<Vec<(Sign, Words)>> = Vec::new();
        let mut room = 0.0;
        for (sign, words) in entries(table) {
            let words = Words::new(words, 7.0);
            let needs = sign.width() + words.width() + GAP;
            match rows.last_mut() {
                Some(row) if needs - GAP <= room => row.push((sign, words)),
                _ => {
                    rows.push(vec![(sign, words)]);
                    room = width;
                }
            }
            room -= needs;
        }
        let measure = |size: f64| width / (size * POINT);
        let written = steps(table).into_iter().flat_map(|step| wrap(&step, false, measure(STEP)));
        let steps = written.map(|line| Words::new(line, STEP)).collect();
        let size = SMALLEST + 0.5;
        let caution = wrap(CAUTION, true, measure(size)).into_iter().map(|line| Words::bold(line, size));
        Self { steps, rows, caution: caution.collect() }
    }

    /// Its height in mm.
    pub(super) fn height(&self) -> f64 {
        let steps: f64 = self.steps.iter().map(Words::height).sum();
        5.2 + steps + ROW * self.rows.len() as f64 + self.caution.iter().map(Words::height).sum::<f64>()
    }

    /// Draws it at the foot of a sheet.
    pub(super) fn draw(&self, canvas: &mut Canvas) {
        let (left, right) = (canvas.left(), canvas.right());
        let mut y = canvas.bottom() - self.height() + 1.6;
        canvas.line(at(left, y), at(right, y), 0.25);
        y += 1.2;
        for line in &self.steps {
            canvas.text_at(line, left, y, right - left + 0.01);
            y += line.height();
        }
        y += 1.4;
        for row in &self.rows {
            let mut x = left;
            for (sign, words) in row {
                draw_sign(canvas, *sign, at(x, y));
                x = canvas.text_at(words, x + sign.width(), y + 0.2, right - x - sign.width()) + GAP;
            }
            y += ROW;
        }
        y = canvas.bottom() - self.caution.iter().map(Words::height).sum::<f64>();
        for line in &self.caution {
            canvas.text_at(line, left, y, right - left + 0.01);
            y += line.height();
        }
    }
}

impl Sign {
    fn width(self) -> f64 {
        if matches!(self, Self::None) { 0.0 } else { SIGN }
    }
}

/// What the legend has to explain.
fn entries(table: &Table) -> Vec<(Sign, &'static str)> {
    let has = |layers: Layers| table.placements.iter().any(|p| p.layers == layers);
    let mut entries = vec![
        (Sign::Up, "white: printed side up"),
        (Sign::Down, "hatched: mirrored, printed side down"),
        (Sign::Grain, "grain line; the head points to the top of the garment"),
    ];
    let lies = |layers: usize| table.strips.iter().flat_map(|s| s.lie.zones(table.width)).any(|z| z.layers == layers);
    if lies(1) {
        entries.push((Sign::Ground(1), "light grey: single cloth left over"));
    }
    if lies(2) {
        entries.push((Sign::Ground(2), "darker grey: doubled cloth left over"));
    }
    if table.lattice.is_some() {
        entries.push((Sign::Repeat, "light lines: the middle of each motif of the print"));
    }
    if !table.flaws.is_empty() {
        entries.push((Sign::Flaw, "crossed out: a flaw in the cloth, on either layer; nothing is cut from it"));
    }
    if has(Layers::OnFold) {
        entries.push((Sign::Fold, "on the fold: lay this edge to the fold, do not cut it"));
    }
    if has(Layers::Both) {
        entries.push((Sign::None, "2 plies: a pair, cut through both layers"));
    }
    if table.placements.iter().any(|p| p.turned_over.is_some()) {
        entries.push((Sign::TurnedOver, "turn the half pattern over about this line, do not cut it"));
    }
    entries
}

fn draw_sign(canvas: &mut Canvas, sign: Sign, corner: Point) {
    let (w, h) = (8.0, 3.4);
    let ring = |x: f64, y: f64| corner + at(x, y);
    let rectangle = vec![ring(0.0, 0.0), ring(w, 0.0), ring(w, h), ring(0.0, h)];
    let shape = Shape { outline: rectangle.clone(), holes: Vec::new() };
    match sign {
        Sign::Up | Sign::Down => {
            canvas.area(&shape, WHITE, None);
            if matches!(sign, Sign::Down) {
                let lines = hatch(&shape, -32.0, 2.6).into_iter().map(|line| open(line.to_vec())).collect();
                canvas.lines(lines, 0.12, 0.25, None);
            }
            canvas.lines(vec![closed(rectangle)], 0.35, BLACK, None);
        }
        Sign::Ground(layers) => canvas.area(&shape, ground_tone(layers), None),
        Sign::Grain => {
            canvas.line(ring(0.0, h / 2.0), ring(w - 1.2, h / 2.0), 0.3);
            canvas.line(ring(0.0, h / 2.0 - 0.9), ring(0.0, h / 2.0 + 0.9), 0.3);
            canvas.head(ring(w, h / 2.0), 0.0, 2.4);
        }
        Sign::Fold => {
            canvas.lines(
                vec![open(vec![ring(1.0, 0.9), ring(1.0, 2.8), ring(w - 1.0, 2.8), ring(w - 1.0, 0.9)])],
                0.3,
                BLACK,
                None,
            );
            canvas.line(ring(0.0, 0.0), ring(w, 0.0), 0.9);
            canvas.head(ring(1.0, 0.3), -90.0, 1.6);
            canvas.head(ring(w - 1.0, 0.3), -90.0, 1.6);
        }
        Sign::TurnedOver => {
            canvas.lines(vec![open(vec![ring(0.0, h / 2.0), ring(w, h / 2.0)])], 0.2, BLACK, Some([1.6, 1.0]));
        }
        Sign::Repeat => {
            let (width, tone, dash) = super::lattice::LINE;
            let lines = [vec![ring(0.0, h / 2.0), ring(w, h / 2.0)], vec![ring(w / 2.0, 0.0), ring(w / 2.0, h)]];
            canvas.lines(lines.map(open).to_vec(), width, tone, dash);
        }
        Sign::Flaw => {
            canvas.area(&shape, WHITE, None);
            super::flaws::cross_out(canvas, &shape);
        }
        Sign::None => {}
    }
}
