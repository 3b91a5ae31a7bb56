//! How a cloth is put on paper: which way the sheet is turned, the scale, and the rows that a long cloth is broken into.

use super::Paper;
use super::legend::Foot;
use super::table::Table;

/// White border of every sheet, in mm.
pub(super) const MARGIN: f64 = 10.0;
/// Room beside the cloth for the dimensions across, in mm.
pub(super) const SIDE: f64 = 9.5;
/// Room above the cloth: labels outside their pieces, dimensions along, the name of the edge.
pub(super) const ABOVE: f64 = 20.0;
/// Room below the cloth: the name of the edge and the tape.
pub(super) const BELOW: f64 = 15.5;
/// The title block.
pub(super) const TITLE: f64 = 19.0;

/// A whole row at this scale or a larger one is legible; beyond it the cloth is rather broken into rows.
const LEGIBLE: f64 = 20.0;
/// The most sheets one cloth is drawn on before the scale gives way.
const MOST_SHEETS: usize = 12;

/// A stretch of the cloth drawn in one row.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Row {
    pub(super) from: f64,
    pub(super) to: f64,
    /// The greatest width of cloth in it.
    pub(super) height: f64,
}

/// The sheets to draw.
pub(super) struct Pages {
    pub(super) width: f64,
    pub(super) height: f64,
    /// Denominator of the scale.
    pub(super) scale: f64,
    pub(super) foot: Foot,
    pub(super) sheets: Vec<Vec<Row>>,
}

/// A sheet of paper turned one way.
struct Sheet {
    width: f64,
    height: f64,
    foot: Foot,
}

/// Chooses paper, scale and rows.
pub(super) fn choose(table: &Table, paper: Paper) -> Pages {
    let (short, long) = paper.sides();
    // On its side first: cloth is longer than it is wide.
    let papers = [(long, short), (short, long)].map(|(width, height)| Sheet {
        width,
        height,
        foot: Foot::new(table, width - 2.0 * MARGIN),
    });
    let best = |most_rows: usize, most_sheets: usize| {
        scales().find_map(|scale| {
            papers.iter().find_map(|paper| {
                let pages = at_scale(table, paper, scale)?;
                let rows: usize = pages.sheets.iter().map(Vec::len).sum();
                (rows <= most_rows && pages.sheets.len() <= most_sheets).then_some(pages)
            })
        })
    };
    let whole = best(1, 1);
    let broken = best(usize::MAX, 1);
    match (whole, broken) {
        (Some(whole), Some(broken)) if whole.scale <= LEGIBLE.max(broken.scale * 1.25) => whole,
        (_, Some(broken)) if broken.scale <= 1.5 * LEGIBLE => broken,
        // Too long for one sheet.
        (whole, _) => scales()
            .filter(|&scale| scale >= LEGIBLE)
            .find_map(|scale| papers.iter().find_map(|paper| at_scale(table, paper, scale)))
            .filter(|pages| pages.sheets.len() <= MOST_SHEETS)
            .or_else(|| best(usize::MAX, MOST_SHEETS))
            .or(whole)
            .unwrap_or(Pages {
                width: long,
                height: short,
                scale: f64::MAX,
                foot: papers[0].foot.clone(),
                sheets: Vec::new(),
            }),
    }
}

/// 1, 2, 3, ... and so on by tens, up to sizes no cloth has.
fn scales() -> impl Iterator<Item = f64> {
    let tens = (0..300).scan(1.0, |ten, _| {
        let this = *ten;
        *ten *= 10.0;
        Some(this)
    });
    tens.flat_map(|ten| [1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0].map(|step| step * ten))
        .filter(|scale| *scale != 1.5 && *scale != 2.5)
        .flat_map(|scale| if scale == 10.0 { vec![10.0, 12.0] } else { vec![scale] })
}

/// Rows and sheets at a scale; none where a row does not fit the sheet at all.
fn at_scale(table: &Table, paper: &Sheet, scale: f64) -> Option<Pages> {
    let &Sheet { width, height, ref foot } = paper;
    let row_length = (width - 2.0 * MARGIN - 2.0 * SIDE) * scale;
    let body = height - 2.0 * MARGIN - TITLE - foot.height();
    // Beyond this the rows would not fit the sheets anyway.
    if table.length > row_length * (8 * MOST_SHEETS) as f64 {
        return None;
    }
    let mut sheets: Vec<Vec<Row>> = Vec::new();
    let mut room = 0.0;
    for row in rows(table, row_length) {
        let needs = ABOVE + row.height / scale + BELOW;
        if needs > body {
            return None;
        }
        match sheets.last_mut() {
            Some(sheet) if needs <= room => {
                sheet.push(row);
                room -= needs;
            }
            _ => {
                sheets.push(vec![row]);
                room = body - needs;
            }
        }
    }
    Some(Pages { width, height, scale, foot: foot.clone(), sheets })
}

/// Breaks the cloth where the fewest pieces are cut through, within the last quarter of what a row can hold.
fn rows(table: &Table, row_length: f64) -> Vec<Row> {
    let mut rows = Vec::new();
    let mut from = 0.0;
    while table.length - from > 1e-6 {
        let mut to = table.length;
        if to - from > row_length {
            let places = (0..=30).map(|i| from + row_length * (1.0 - f64::from(i) / 120.0));
            to = places
                .map(|x| (crossed(table, x), x))
                .reduce(|best, next| if next.0 < best.0 { next } else { best })
                .map_or(from + row_length, |best| best.1);
        }
        let height = table
            .strips
            .iter()
            .filter(|strip| strip.from < to && strip.to > from)
            .map(|strip| strip.height)
            .fold(0.0, f64::max);
        rows.push(Row { from, to, height: if height > 0.0 { height } else { table.width } });
        if to <= from {
            break;
        }
        from = to;
    }
    rows
}

fn crossed(table: &Table, x: f64) -> usize {
    let crosses =
        |ring: &[crate::geometry::Point]| ring.iter().any(|p| p.x < x - 0.1) && ring.iter().any(|p| p.x > x + 0.1);
    table.placements.iter().filter(|p| crosses(&p.shape.outline)).count()
}
