//! Two squares to measure after printing: 10 cm and 4 in.

use super::canvas::{BLACK, Canvas, Words, at, closed};
use crate::geometry::Point;

const TEN_CENTIMETRES: f64 = 100.0;
const FOUR_INCHES: f64 = 101.6;
/// From the corner of the one to the corner of the other, so that no two sides run close beside each other.
const APART: (f64, f64) = (62.0, 24.0);

/// Room that both take.
pub(super) const WIDTH: f64 = APART.0 + FOUR_INCHES;
/// Room that both take.
pub(super) const HEIGHT: f64 = APART.1 + FOUR_INCHES;

/// Draws both with the upper left corner of the first here.
pub(super) fn draw(canvas: &mut Canvas, corner: Point) {
    let second = corner + at(APART.0, APART.1);
    for (corner, side) in [(corner, TEN_CENTIMETRES), (second, FOUR_INCHES)] {
        let ring = vec![corner, corner + at(side, 0.0), corner + at(side, side), corner + at(0.0, side)];
        canvas.lines(vec![closed(ring)], 0.25, BLACK, None);
    }
    let words = |text: &str| Words::bold(text, 9.0);
    canvas.text_at(&words("10 cm square"), corner.x + 4.0, corner.y + 4.0, 50.0);
    canvas.text_at(&words("4 in square"), second.x + FOUR_INCHES - 40.0, second.y + FOUR_INCHES - 10.0, 36.0);
}
