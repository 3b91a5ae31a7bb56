//! What of a DXF file is let through to the library that reads it.
//!
//! The library panics on a damaged date, takes a number that is not there for nought, gives up a whole section for one bad
//! value, and takes as much memory as a file asks for. So it gets only what a pattern is drawn with, written anew from the
//! pairs of the file: the unit of length, blocks, and known entities that have what they need.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use crate::error::{Place, Problem};
use crate::import::drawing::{MOST_LINES, MOST_SEGMENTS};

/// A group code and its value.
type Pair<'t> = (i32, &'t str);

/// Most pairs a file may have.
const MOST_PAIRS: usize = 4_000_000;

/// The library looks through all layers for each entity.
const MOST_LAYERS: usize = 2_000;

/// A kind of entity: what it cannot be without, and what else of it is looked at, besides its layer.
struct Kind {
    name: &'static str,
    /// What the library is to take it for.
    read_as: &'static str,
    needs: &'static [i32],
    takes: &'static [i32],
}

const fn kind(name: &'static str, needs: &'static [i32], takes: &'static [i32]) -> Kind {
    Kind { name, read_as: name, needs, takes }
}

/// By the DXF reference, releases 12 to 2018. 230 is the height of the direction it is seen from.
const KINDS: [Kind; 13] = [
    kind("LINE", &[10, 11], &[20, 21]),
    kind("LWPOLYLINE", &[10], &[20, 42, 70, 230]),
    kind("POLYLINE", &[], &[70, 230]),
    kind("VERTEX", &[10], &[20, 42, 70]),
    kind("CIRCLE", &[10, 40], &[20, 230]),
    kind("ARC", &[10, 40], &[20, 50, 51, 230]),
    kind("ELLIPSE", &[10, 11, 40], &[20, 21, 41, 42]),
    kind("SPLINE", &[10, 20, 40, 71], &[41]),
    kind("POINT", &[10], &[20]),
    kind("TEXT", &[], &[1, 10, 20, 230]),
    // The library would put the next lettering into it.
    Kind { name: "ATTRIB", read_as: "TEXT", needs: &[], takes: &[1, 10, 20, 230] },
    kind("MTEXT", &[], &[1, 3, 10, 20]),
    kind("INSERT", &[2], &[10, 20, 41, 42, 50, 230]),
];

/// What came through.
#[derive(Debug, Default)]
pub(super) struct Sieved {
    /// A DXF file that the library can read.
    pub(super) text: String,
    /// What was passed over, for people.
    pub(super) notes: BTreeSet<String>,
}

/// # Errors
/// If it is no file of pairs, has no end mark, or has more in it than can be worked on.
pub(super) fn sieve(text: &str) -> Result<Sieved, Problem> {
    let pairs = pairs(text)?;
    let mut sieve = Sieve::default();
    for entry in pairs.chunk_by(|_, (code, _)| *code != 0) {
        if let [(0, kind), values @ ..] = entry {
            sieve.entry(kind, values);
        }
        if sieve.is_too_much() {
            return Err(too_much());
        }
    }
    sieve.close();
    sieve.pair(0, "EOF");
    Ok(sieve.out)
}

#[derive(Debug, Default, Clone, Copy, PartialEq, Eq)]
enum Section {
    #[default]
    None,
    Blocks,
    Block,
    Entities,
}

#[derive(Debug, Default)]
struct Sieve<'t> {
    out: Sieved,
    section: Section,
    has_unit: bool,
    /// Where the open polyline begins in the text, and its layer, while vertices may follow.
    polyline: Option<(usize, &'t str)>,
    layers: BTreeSet<&'t str>,
    entities: usize,
    points: usize,
}

impl<'t> Sieve<'t> {
    fn pair(&mut self, code: i32, value: &str) {
        let _ = write!(self.out.text, "{code}\n{value}\n");
    }

    fn is_too_much(&self) -> bool {
        self.entities > 3 * MOST_LINES || self.points > MOST_SEGMENTS || self.layers.len() > MOST_LAYERS
    }

    fn entry(&mut self, kind: &str, values: &[Pair<'t>]) {
        match (kind, self.section) {
            ("SECTION", _) => self.open(values),
            ("ENDSEC", _) => self.close(),
            ("BLOCK", Section::Blocks | Section::Block) => self.block(values),
            ("ENDBLK", Section::Block) => self.end_block(),
            (_, Section::Block | Section::Entities) => self.entity(kind, values),
            _ => {}
        }
    }

    fn open(&mut self, values: &[Pair<'t>]) {
        self.close();
        match values {
            [(2, "HEADER"), variables @ ..] => self.header(variables),
            [(2, "BLOCKS"), ..] => self.section = Section::Blocks,
            [(2, "ENTITIES"), ..] => self.section = Section::Entities,
            _ => {}
        }
        if let [(2, name), ..] = values
            && self.section != Section::None
        {
            self.pair(0, "SECTION");
            self.pair(2, name);
        }
    }

    fn close(&mut self) {
        if self.section == Section::Block {
            self.end_block();
        }
        if self.section != Section::None {
            self.pair(0, "ENDSEC");
        }
        self.section = Section::None;
        self.polyline = None;
    }

    /// Of the header, only the unit of length.
    fn header(&mut self, variables: &[Pair<'t>]) {
        let Some(at) = variables.iter().position(|pair| *pair == (9, "$INSUNITS")) else { return };
        let Some((70, value)) = variables.get(at + 1) else { return };
        if whole(value).is_some() && !self.has_unit {
            self.has_unit = true;
            for (code, value) in [(0, "SECTION"), (2, "HEADER"), (9, "$INSUNITS"), (70, *value), (0, "ENDSEC")] {
                self.pair(code, value);
            }
        }
    }

    fn block(&mut self, values: &[Pair<'t>]) {
        if self.section == Section::Block {
            self.end_block();
        }
        self.section = Section::Block;
        self.polyline = None;
        self.entities += 1;
        self.pair(0, "BLOCK");
        for &(code, value) in values {
            if code == 2 || matches!(code, 10 | 20) && number(value).is_some() {
                self.pair(code, &unescaped(value));
            }
        }
    }

    fn end_block(&mut self) {
        self.pair(0, "ENDBLK");
        self.section = Section::Blocks;
        self.polyline = None;
    }

    fn entity(&mut self, name: &str, values: &[Pair<'t>]) {
        let Some(kind) = KINDS.iter().find(|kind| kind.name == name) else {
            self.polyline = None;
            return;
        };
        let is_vertex = name == "VERTEX";
        if is_vertex && self.polyline.is_none() {
            return;
        }
        let begin = self.out.text.len();
        let layer = values.iter().find(|(code, _)| *code == 8).map_or("0", |(_, layer)| *layer);
        let written = self.values(kind, layer, values);
        match (written, self.polyline) {
            (Ok(()), _) if is_vertex => {}
            (Ok(()), _) => {
                self.entities += 1;
                self.layers.insert(layer);
                self.polyline = (name == "POLYLINE").then_some((begin, layer));
            }
            (Err(fault), polyline) => {
                let (begin, layer) = polyline.filter(|_| is_vertex).unwrap_or((begin, layer));
                self.out.text.truncate(begin);
                self.polyline = None;
                let (name, layer) = (kind.name.to_lowercase(), super::words::short(layer));
                self.out.notes.insert(format!("On layer {layer} a {name} {fault} was passed over."));
            }
        }
    }

    /// Writes an entity anew. Where it fails, part of it may be written.
    fn values(&mut self, kind: &Kind, layer: &str, values: &[Pair<'t>]) -> Result<(), &'static str> {
        self.pair(0, kind.read_as);
        self.pair(8, &unescaped(layer));
        let (mut missing, mut points) = (kind.needs.to_vec(), 0);
        for &(code, value) in values {
            if !kind.needs.contains(&code) && !kind.takes.contains(&code) {
                continue;
            }
            let is_good = match code {
                1..=3 => true,
                70 | 71 => whole(value).is_some(),
                _ => number(value).is_some(),
            };
            if !is_good {
                return Err("with a number that cannot be read");
            }
            points += usize::from(code == 10);
            // These belong to the point before them; a bulge of no point is none.
            if kind.name == "LWPOLYLINE" && matches!(code, 20 | 42) && points == 0 {
                continue;
            }
            missing.retain(|&needed| needed != code);
            self.pair(code, &unescaped(value));
            // The library wants all three.
            if kind.name == "SPLINE" && code == 20 {
                self.pair(30, "0");
            }
        }
        self.points += points;
        if missing.is_empty() { Ok(()) } else { Err("without all its numbers") }
    }
}

/// The pairs of a whole file, up to its end mark; comments left out.
fn pairs(text: &str) -> Result<Vec<Pair<'_>>, Problem> {
    let mut found = Vec::new();
    let mut lines = text.lines().enumerate();
    while let Some((number, code)) = lines.next() {
        let code = code.trim();
        if code.is_empty() && found.is_empty() {
            continue;
        }
        let Ok(code) = code.parse::<i32>() else {
            let cause = format!("Line {} has to be a group code, a whole number.", number + 1);
            return Err(damaged(number + 1, &cause));
        };
        let Some((_, value)) = lines.next() else {
            return Err(damaged(number + 1, "The file ends in the middle of an entry."));
        };
        let value = value.trim();
        if code == 0 && value == "EOF" {
            return Ok(found);
        }
        if code != 999 {
            found.push((code, value));
        }
        if found.len() > MOST_PAIRS {
            return Err(damaged(number + 1, "The file has more entries than can be worked on."));
        }
    }
    Err(damaged(text.lines().count(), "The file ends without its end mark (EOF)."))
}

pub(super) fn too_much() -> Problem {
    let cause =
        format!("The drawing has more than {MOST_LINES} lines, or more points or layers than can be worked on.");
    Problem::at("", cause, "save only the pattern pieces, or only the sizes you need")
}

pub(super) fn damaged(line: usize, cause: &str) -> Problem {
    Problem {
        place: Place { line_column: Some((line.max(1), 1)), ..Place::default() },
        ..Problem::at(
            "",
            format!("The drawing cannot be read as DXF. {cause}"),
            "the file may be damaged or cut short: save or fetch it again",
        )
    }
}

/// A number that can be believed.
fn number(text: &str) -> Option<f64> {
    text.parse::<f64>().ok().filter(|value| value.abs() < 1e12)
}

/// A whole number of 16 bits; some programs write it with a point.
fn whole(text: &str) -> Option<f64> {
    number(text).filter(|value| value.fract() == 0.0 && value.abs() < 32_768.0)
}

/// Letters written as `\U+00FC`, as files of releases before 2007 do; the library takes them back only along with faults.
fn unescaped(text: &str) -> String {
    let mut parts = text.split("\\U+");
    let mut found = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        let letter = part.get(..4).and_then(|code| u32::from_str_radix(code, 16).ok()).and_then(char::from_u32);
        match letter {
            // No letter that would end the line.
            Some(letter) if !letter.is_control() => {
                found.push(letter);
                found.push_str(&part[4..]);
            }
            _ => {
                found.push_str("\\U+");
                found.push_str(part);
            }
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sieved(body: &str) -> Sieved {
        sieve(&format!("0\nSECTION\n2\nENTITIES\n{body}0\nENDSEC\n0\nEOF\n")).unwrap()
    }

    #[test]
    fn what_the_library_would_stumble_over_is_held_back() {
        let whole = sieved("0\nLINE\n8\nx\n10\n1\n11\n2\n");
        assert!(whole.text.contains("0\nLINE\n8\nx\n10\n1\n11\n2\n") && whole.notes.is_empty());
        for bad in ["0\nLINE\n10\n1\n", "0\nLINE\n10\n1\n11\n1e300\n", "0\nCIRCLE\n10\n1\n40\nnan\n"] {
            let held = sieved(bad);
            assert_eq!((held.text.as_str(), held.notes.len()), ("0\nSECTION\n2\nENTITIES\n0\nENDSEC\n0\nEOF\n", 1));
        }
        // A polyline goes with its bad vertex, and the vertices after that.
        let vertex = |x: &str| format!("0\nVERTEX\n10\n{x}\n");
        let held = sieved(&format!("0\nPOLYLINE\n8\nx\n{}{}{}0\nSEQEND\n", vertex("1"), vertex("?"), vertex("2")));
        assert!(!held.text.contains("VERTEX") && !held.text.contains("POLYLINE") && held.notes.len() == 1);
        let header = "0\nSECTION\n2\nHEADER\n9\n$TDCREATE\n40\n1e300\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nEOF\n";
        let held = sieve(header).unwrap();
        assert_eq!(held.text, "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nEOF\n");
    }

    #[test]
    fn letters_written_as_codes() {
        assert_eq!(unescaped("G\\U+00FCrtel"), "G\u{fc}rtel");
        for kept in ["\\U+00", "\\U+zzzz", "\\U+000A", "\\Pnext", "\\U+D83D"] {
            assert_eq!(unescaped(kept), kept);
        }
        assert_eq!(unescaped("\\U+4F60\\U+597D"), "\u{4f60}\u{597d}");
    }
}
