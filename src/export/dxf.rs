//! Pieces as DXF in the way of ASTM D6673 and AAMA-292: a block for each piece.
//!
//! Layers **from memory**, as in `import`: 1 the cut outline, 4 notches, 6 the mirror line (the fold), 7 the grain line, 8
//! lines inside (darts), 11 cut-outs. Written as text of release 12, the oldest that every reader still takes.

use std::fmt::Write as _;

use super::{Sheet, level_line, number, polygon};
use crate::geometry::Point;

/// Digits after the point of a millimetre.
const DIGITS: usize = 6;

/// All pieces of a project, in millimetres, the grain along x, each in a block of its own.
pub fn dxf(title: &str, sheets: &[Sheet]) -> String {
    let mut file = File { text: String::new() };
    let names = block_names(sheets);
    file.header();
    file.section("BLOCKS");
    for (sheet, name) in sheets.iter().zip(&names) {
        file.block(sheet, name);
    }
    file.pair(0, "ENDSEC");
    file.section("ENTITIES");
    file.lettering("1", &format!("Style Name: {}", plain(title)), Point { x: 0.0, y: -20.0 });
    file.lettering("1", "Units: METRIC", Point { x: 0.0, y: -40.0 });
    for name in &names {
        file.entity("INSERT", "1");
        file.pair(2, name);
        file.point(10, Point { x: 0.0, y: 0.0 });
    }
    file.pair(0, "ENDSEC");
    file.pair(0, "EOF");
    file.text
}

/// Names of blocks: capital letters, digits, - and _ only, no two alike.
fn block_names(sheets: &[Sheet]) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for sheet in sheets {
        let stem: String = sheet
            .piece
            .name
            .chars()
            .take(25)
            .map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_uppercase() } else { '-' })
            .collect();
        let (mut name, mut count) = (stem.clone(), 2);
        while name.is_empty() || names.contains(&name) {
            name = format!("{stem}-{count}");
            count += 1;
        }
        names.push(name);
    }
    names
}

/// Text on one line.
fn plain(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).take(200).collect()
}

struct File {
    text: String,
}

impl File {
    fn pair(&mut self, code: i32, value: &str) {
        let _ = write!(self.text, "{code:>3}\n{value}\n");
    }

    fn section(&mut self, name: &str) {
        self.pair(0, "SECTION");
        self.pair(2, name);
    }

    fn header(&mut self) {
        self.section("HEADER");
        // Release 12 has no variable for the unit; readers of it go by the lettering, others by this one.
        for (name, code, value) in [("$ACADVER", 1, "AC1009"), ("$INSUNITS", 70, "4")] {
            self.pair(9, name);
            self.pair(code, value);
        }
        self.pair(0, "ENDSEC");
    }

    fn entity(&mut self, kind: &str, layer: &str) {
        self.pair(0, kind);
        self.pair(8, layer);
    }

    fn point(&mut self, code: i32, p: Point) {
        self.pair(code, &number(p.x, DIGITS));
        self.pair(code + 10, &number(p.y, DIGITS));
        self.pair(code + 20, "0");
    }

    fn line(&mut self, layer: &str, [a, b]: [Point; 2]) {
        self.entity("LINE", layer);
        self.point(10, a);
        self.point(11, b);
    }

    fn polyline(&mut self, layer: &str, points: &[Point], closed: bool) {
        self.entity("POLYLINE", layer);
        self.pair(66, "1");
        self.point(10, Point { x: 0.0, y: 0.0 });
        self.pair(70, if closed { "1" } else { "0" });
        for &p in points {
            self.entity("VERTEX", layer);
            self.point(10, p);
        }
        self.entity("SEQEND", layer);
    }

    fn lettering(&mut self, layer: &str, text: &str, at: Point) {
        self.entity("TEXT", layer);
        self.point(10, at);
        self.pair(40, "8");
        self.pair(1, text);
    }

    fn block(&mut self, sheet: &Sheet, name: &str) {
        let piece = sheet.piece;
        self.entity("BLOCK", "1");
        self.pair(2, name);
        self.pair(70, "0");
        self.point(10, Point { x: 0.0, y: 0.0 });
        self.pair(3, name);
        self.polyline("1", &polygon(piece), true);
        for hole in &piece.shape.holes {
            self.polyline("11", hole, true);
        }
        let grain = level_line(piece);
        self.line("7", grain);
        if let Some(fold) = piece.fold {
            self.line("6", [fold.from, fold.to]);
        }
        for &notch in &piece.notches {
            self.entity("POINT", "4");
            self.point(10, notch);
        }
        for dart in &piece.darts {
            self.polyline("8", &[dart.legs[0], dart.apex, dart.legs[1]], false);
        }
        let lines = [
            format!("Piece Name: {}", plain(&piece.name)),
            format!("Quantity: {}", sheet.quantity.max(1)),
            "Category: piece".to_owned(),
        ];
        for (index, line) in lines.iter().enumerate() {
            self.lettering("1", line, Point { x: grain[0].x, y: grain[0].y + 4.0 + 12.0 * index as f64 });
        }
        self.entity("ENDBLK", "1");
    }
}
