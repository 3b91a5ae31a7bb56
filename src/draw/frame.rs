//! What stands about the cloth on every sheet: title, legend, cautions.

use super::canvas::{BLACK, Canvas, WHITE, Words, at, closed, open};
use super::figures::{Rounding, across, both};
use super::list::Anchor;
use super::page::{FOOT, TITLE};
use super::polygon::hatch;
use super::table::{Layers, Table};
use super::text::{SMALLEST, clean, wrap};
use crate::geometry::{Point, Shape};
use crate::layout::{ClothPlan, PlanDocument};

/// Shown wherever cutting or pressing is described.
const CAUTION: &str = "Before you cut: follow the care label of the cloth and the makers' instructions first; pre-wash and \
    test fusible interfacing on a scrap. Cut away from yourself, on a mat, and cover the blade of a rotary cutter when it is idle.";

/// Grey of the cloth that no piece covers.
pub(super) const GROUND: f64 = 0.9;

/// The title block at the head of a sheet.
pub(super) fn title(
    canvas: &mut Canvas,
    document: &PlanDocument,
    cloth: &ClothPlan,
    scale: f64,
    sheet: (usize, usize),
) {
    let (left, right, top) = (canvas.left(), canvas.right(), canvas.top());
    let share = (right - left) * 0.6 - 4.0;
    let rest = (right - left) * 0.4;
    let half = 0.5 * (right - left) - 3.0;
    let nearest = Rounding::Nearest;
    let name = clean(&document.project);
    canvas.text_at(&Words::bold(if name.is_empty() { "Cutting layout" } else { &name }, 14.0), left, top, half);
    let buy = format!("Buy {}", both(cloth.buy.length, Rounding::Up));
    canvas.text_ending_at(&Words::bold(buy, 14.0), right, top, half);
    let lay = format!("Cloth: {} · lay: {}", clean(&cloth.cloth), clean(&cloth.lay));
    canvas.text_at(&Words::bold(lay, 9.0), left, top + 6.6, share);
    let used = format!("uses {} on the table", both(cloth.length, nearest));
    canvas.text_ending_at(&Words::new(used, 8.0), right, top + 6.8, rest);
    let width = format!("{} wide, {} between the selvedges", across(cloth.width), across(cloth.usable_width));
    canvas.text_at(&Words::new(width, 7.5), left, top + 11.2, share);
    let mut about = format!("scale 1 : {scale}");
    if sheet.1 > 1 {
        about = format!("{about} · sheet {} of {}", sheet.0, sheet.1);
    }
    canvas.text_ending_at(&Words::new(about, 7.5), right, top + 11.2, rest);
    let y = top + TITLE - 3.4;
    canvas.line(at(left, y), at(right, y), 0.5);
}

/// A sign of the legend.
#[derive(Clone, Copy)]
enum Sign {
    Up,
    Down,
    Ground,
    Grain,
    Fold,
    TurnedOver,
    None,
}

/// Legend and cautions at the foot of a sheet.
pub(super) fn foot(canvas: &mut Canvas, table: &Table) {
    let (left, right) = (canvas.left(), canvas.right());
    let top = canvas.bottom() - FOOT + 2.0;
    canvas.line(at(left, top), at(right, top), 0.25);
    let has = |layers: Layers| table.placements.iter().any(|p| p.layers == layers);
    let mut items = vec![
        (Sign::Up, "white: printed side up"),
        (Sign::Down, "hatched: mirrored, printed side down"),
        (Sign::Grain, "grain line; the head points to the top of the garment"),
        (Sign::Ground, "grey: cloth left over"),
    ];
    if has(Layers::OnFold) {
        items.push((Sign::Fold, "on the fold: lay this edge to the fold, do not cut it"));
    }
    if has(Layers::Both) {
        items.push((Sign::None, "2 plies: a pair, cut through both layers"));
    }
    if table.placements.iter().any(|p| p.turned_over.is_some()) {
        items.push((Sign::TurnedOver, "turn the half pattern over about this line, do not cut it"));
    }
    let (mut x, mut y) = (left, top + 1.6);
    for (sign, words) in items {
        let words = Words::new(words, 7.0);
        let glyph = if matches!(sign, Sign::None) { 0.0 } else { 9.5 };
        if x > left && x + glyph + words.width() > right {
            x = left;
            y += 4.3;
        }
        draw_sign(canvas, sign, at(x, y));
        x = canvas.text_at(&words, x + glyph, y + 0.2, right - x - glyph) + 6.0;
    }
    let size = SMALLEST + 0.5;
    let em = Words::new("", size).height() / super::text::LINE;
    let lines = wrap(CAUTION, true, (right - left) / em);
    let height = Words::new("", size).height();
    let mut y = canvas.bottom() - height * lines.len() as f64;
    for line in lines {
        canvas.text_at(&Words::bold(line, size), left, y, right - left);
        y += height;
    }
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
        Sign::Ground => canvas.area(&shape, GROUND, None),
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
        Sign::None => {}
    }
}

/// A sheet that lists in words what could not be written on the drawing; gives what is left over for a further sheet.
pub(super) fn list<'a>(canvas: &mut Canvas, heading: &str, entries: &'a [String]) -> &'a [String] {
    let (left, right) = (canvas.left(), canvas.right());
    let mut y = canvas.top() + TITLE;
    canvas.text_at(&Words::bold(heading, 9.0), left, y, right - left);
    y += 6.0;
    let height = Words::new("", 8.0).height() + 0.6;
    let room = ((canvas.bottom() - y) / height).floor().max(1.0) as usize;
    let (here, later) = entries.split_at(room.min(entries.len()));
    for entry in here {
        let (words, full) = Words::new(entry.as_str(), 8.0).within(right - left);
        let frame = super::list::Frame::upright(left, y, words.width(), words.height());
        canvas.text(&words, frame, Anchor::Start, full);
        y += height;
    }
    later
}
