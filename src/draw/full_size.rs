//! The lay at full size on one page, for a plotter or a projector.

use super::legend::Foot;
use super::list::{Frame, LabelPlace, Line, Mark, Path, Placed, Sheet, Stroke, Text};
use super::page::{ABOVE, BELOW, MARGIN, Pages, Row, SIDE, TITLE};
use super::{Point, drawing, table};
use crate::geometry::Shape;
use crate::layout::{ClothPlan, PlanDocument};

/// It is drawn small and enlarged so many times, so that lettering and lines are seen from where one stands at a table.
const ENLARGED: f64 = 4.0;
/// The largest sheet that it is drawn on before it is enlarged, in mm; a longer cloth is enlarged more often.
const LARGEST: (f64, f64) = (6000.0, 1000.0);
/// The narrowest sheet that holds title and legend, in mm before it is enlarged.
const NARROWEST: f64 = 260.0;

/// A cloth of a plan as it lies on the table, 1 : 1, on one sheet as large as it takes.
pub fn full_size(document: &PlanDocument, cloth: &ClothPlan) -> Sheet {
    let table = table::lay_out(document, cloth);
    // No cloth is longer than the kilometre that a length may be; what is, is nonsense.
    let length = table.length.clamp(1.0, 1.0e6);
    let tallest = table.strips.iter().map(|strip| strip.height).fold(1.0, f64::max).min(1.0e5);
    let by = ENLARGED.max(length / LARGEST.0).max(tallest / LARGEST.1);
    let width = (length / by + 2.0 * (MARGIN + SIDE)).max(NARROWEST);
    let foot = Foot::new(&table, width - 2.0 * MARGIN);
    let height = tallest / by + 2.0 * MARGIN + TITLE + ABOVE + BELOW + foot.height();
    let row = Row { from: 0.0, to: length, height: tallest };
    let pages = Pages { width, height, scale: by, foot, sheets: vec![vec![row]] };
    let mut sheets = drawing(document, cloth, &table, &pages, 1.0).sheets;
    enlarged(sheets.swap_remove(0), by)
}

fn enlarged(sheet: Sheet, by: f64) -> Sheet {
    let point = |p: Point| p * by;
    let frame = |f: Frame| Frame {
        centre: point(f.centre),
        half_width: f.half_width * by,
        half_height: f.half_height * by,
        turn: f.turn,
    };
    let ring = |ring: Vec<Point>| ring.into_iter().map(point).collect::<Vec<_>>();
    let mark = |mark: Mark| match mark {
        Mark::Path(path) => Mark::Path(Path {
            lines: path.lines.into_iter().map(|line| Line { points: ring(line.points), ..line }).collect(),
            stroke: path.stroke.map(|s| Stroke {
                width: s.width * by,
                tone: s.tone,
                dash: s.dash.map(|d| d.map(|v| v * by)),
            }),
            ..path
        }),
        Mark::Text(text) => Mark::Text(Text { frame: frame(text.frame), size: text.size * by, ..text }),
    };
    let placed = |placed: Placed| Placed {
        shape: Shape { outline: ring(placed.shape.outline), holes: placed.shape.holes.into_iter().map(ring).collect() },
        label: match placed.label {
            LabelPlace::Inside(f) => LabelPlace::Inside(frame(f)),
            LabelPlace::Leader { frame: f, line } => LabelPlace::Leader { frame: frame(f), line: line.map(point) },
            other => other,
        },
        grain: placed.grain.map(|grain| grain.map(point)),
        ..placed
    };
    Sheet {
        width: sheet.width * by,
        height: sheet.height * by,
        marks: sheet.marks.into_iter().map(mark).collect(),
        placements: sheet.placements.into_iter().map(placed).collect(),
    }
}
