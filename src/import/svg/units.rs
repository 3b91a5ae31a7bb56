//! Sizes of an SVG drawing (SVG 2, chapters 7 and 8; CSS units of CSS Values 3, section 6).

use std::str::FromStr;

use kurbo::{Affine, Vec2};
use roxmltree::Node;
use svgtypes::{Align, AspectRatio, LengthUnit, ViewBox};

use super::super::FileUnit;
use crate::error::Problem;
use crate::units::Mm;

/// A CSS pixel: 1/96 in, exactly.
pub(super) const PIXEL: Mm = 25.4 / 96.0;

/// The size of the drawing and the step from its own coordinates to millimetres, y still downwards.
pub(super) struct Sheet {
    pub(super) width: Mm,
    pub(super) height: Mm,
    pub(super) to_mm: Affine,
    /// The part of the drawing's own coordinates that is seen, for percentages.
    pub(super) viewport: (f64, f64),
}

/// Reads the outermost element. `asked` is the unit to take where the file names none, or only pixels.
pub(super) fn sheet(root: Node, asked: Option<FileUnit>) -> Result<Sheet, Problem> {
    let box_ = root.attribute("viewBox").and_then(|text| ViewBox::from_str(text).ok());
    let size = |name: &str| -> Result<Option<Mm>, Problem> {
        let Some(text) = root.attribute(name) else { return Ok(None) };
        let Ok(length) = svgtypes::Length::from_str(text.trim()) else { return Ok(None) };
        let unit = match length.unit {
            LengthUnit::Percent => return Ok(None),
            LengthUnit::None => match asked {
                Some(unit) => unit.mm(),
                None => return Err(no_unit(&format!("its {name} is {}, without a unit", length.number))),
            },
            LengthUnit::Px => asked.map_or(PIXEL, FileUnit::mm),
            LengthUnit::Mm => 1.0,
            LengthUnit::Cm => 10.0,
            LengthUnit::In => 25.4,
            LengthUnit::Pt => 25.4 / 72.0,
            LengthUnit::Pc => 25.4 / 6.0,
            LengthUnit::Em | LengthUnit::Ex => return Err(no_unit("its size is given in widths of letters")),
        };
        if asked.is_some() && !matches!(length.unit, LengthUnit::None | LengthUnit::Px) {
            let cause = format!("The drawing gives its {name} itself, as {}.", text.trim());
            return Err(Problem::at("--units", cause, "leave --units out; where the drawing is not true, use --scale"));
        }
        Ok(Some(length.number * unit))
    };
    let (width, height) = (size("width")?, size("height")?);
    let box_ = box_.filter(|b| b.w > 0.0 && b.h > 0.0);
    let sizes = match (width, height, &box_) {
        (Some(width), Some(height), _) => Some((width, height)),
        (Some(width), None, Some(b)) => Some((width, width * b.h / b.w)),
        (None, Some(height), Some(b)) => Some((height * b.w / b.h, height)),
        (None, None, Some(b)) => asked.map(|unit| (b.w * unit.mm(), b.h * unit.mm())),
        _ => None,
    };
    let pixel = asked.map_or(PIXEL, FileUnit::mm);
    match (sizes, box_) {
        (Some((width, height)), Some(b)) if width > 0.0 && height > 0.0 => {
            let to_mm = fitted(&b, aspect(root), width, height);
            Ok(Sheet { width, height, to_mm, viewport: (b.w, b.h) })
        }
        (Some((width, height)), None) if width > 0.0 && height > 0.0 => {
            Ok(Sheet { width, height, to_mm: Affine::scale(pixel), viewport: (width / pixel, height / pixel) })
        }
        _ => Err(no_unit("it gives no width and height in a unit of length")),
    }
}

fn no_unit(what: &str) -> Problem {
    let cause = format!("The drawing does not say how large it is: {what}.");
    let hint = "say the unit of its numbers with --units (mm, cm, in; most programs mean px, 96 to the inch, or pt, 72 to \
                the inch) and check the result with --square";
    Problem::at("", cause, hint)
}

pub(super) fn aspect(node: Node) -> AspectRatio {
    node.attribute("preserveAspectRatio").and_then(|text| AspectRatio::from_str(text).ok()).unwrap_or_default()
}

/// The step from the coordinates of a view box to an area of this size (SVG 2, section 8.2).
pub(super) fn fitted(b: &ViewBox, aspect: AspectRatio, width: f64, height: f64) -> Affine {
    let (sx, sy) = (width / b.w, height / b.h);
    let (sx, sy) = match (aspect.align, aspect.slice) {
        (Align::None, _) => (sx, sy),
        (_, false) => (sx.min(sy), sx.min(sy)),
        (_, true) => (sx.max(sy), sx.max(sy)),
    };
    let (left, top) = (width - b.w * sx, height - b.h * sy);
    let share_x = match aspect.align {
        Align::None | Align::XMinYMin | Align::XMinYMid | Align::XMinYMax => 0.0,
        Align::XMidYMin | Align::XMidYMid | Align::XMidYMax => 0.5,
        Align::XMaxYMin | Align::XMaxYMid | Align::XMaxYMax => 1.0,
    };
    let share_y = match aspect.align {
        Align::None | Align::XMinYMin | Align::XMidYMin | Align::XMaxYMin => 0.0,
        Align::XMinYMid | Align::XMidYMid | Align::XMaxYMid => 0.5,
        Align::XMinYMax | Align::XMidYMax | Align::XMaxYMax => 1.0,
    };
    Affine::translate(Vec2::new(left * share_x, top * share_y)) * Affine::new([sx, 0.0, 0.0, sy, -b.x * sx, -b.y * sy])
}

/// An attribute as a length in user units; `whole` is what a percentage is taken of.
pub(super) fn length(node: Node, name: &str, whole: f64) -> Option<f64> {
    let length = svgtypes::Length::from_str(node.attribute(name)?.trim()).ok()?;
    let unit = match length.unit {
        LengthUnit::None | LengthUnit::Px => 1.0,
        LengthUnit::Mm => 1.0 / PIXEL,
        LengthUnit::Cm => 10.0 / PIXEL,
        LengthUnit::In => 96.0,
        LengthUnit::Pt => 96.0 / 72.0,
        LengthUnit::Pc | LengthUnit::Em => 16.0,
        LengthUnit::Ex => 8.0,
        LengthUnit::Percent => whole / 100.0,
    };
    let value = length.number * unit;
    value.is_finite().then_some(value)
}
