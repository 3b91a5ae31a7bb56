//! What stands about the cloth on every sheet: the title block, and the list of what could not be named.

use super::canvas::{Canvas, Words, at};
use super::list::Anchor;
use super::page::TITLE;
use super::text::clean;
use crate::layout::{ClothPlan, PlanDocument};
use crate::units::{Rounding, amount, both, cloth_width};

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
    let name = if name.is_empty() { "Cutting layout" } else { &name };
    canvas.text_at(&bold_within(name, 14.0, half), left, top, half);
    let buy = match &cloth.in_hand {
        Some(hand) => format!("In hand: {}", both(hand.length, nearest)),
        None => format!("Buy {}", amount(cloth.buy.length)),
    };
    canvas.text_ending_at(&Words::bold(buy, 14.0), right, top, half);
    let lay = format!("Cloth: {} · lay: {}", clean(&cloth.label()), clean(&cloth.lay));
    canvas.text_at(&bold_within(&lay, 9.0, share), left, top + 6.6, share);
    let used = format!("takes {} of the cloth", both(cloth.length, nearest));
    canvas.text_ending_at(&Words::new(used, 8.0), right, top + 6.8, rest);
    let width = format!("{} wide, {} between the selvedges", cloth_width(cloth.width), cloth_width(cloth.usable_width));
    canvas.text_at(&Words::new(width, 7.5), left, top + 11.2, share);
    let mut about = format!("scale 1 : {scale}");
    if sheet.1 > 1 {
        about = format!("{about} · sheet {} of {}", sheet.0, sheet.1);
    }
    canvas.text_ending_at(&Words::new(about, 7.5), right, top + 11.2, rest);
    let y = top + TITLE - 3.4;
    canvas.line(at(left, y), at(right, y), 0.5);
}

/// Words in bold, as large as fits the room, down to seven tenths of the size.
fn bold_within(text: &str, size: f64, room: f64) -> Words {
    let sizes = (0..=6).map(|step| size * (1.0 - 0.05 * f64::from(step)));
    let mut all = sizes.map(|size| Words::bold(text, size));
    all.find(|words| words.width() <= room).unwrap_or_else(|| Words::bold(text, 0.7 * size))
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
