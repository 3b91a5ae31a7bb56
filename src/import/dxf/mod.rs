//! Reads DXF drawings, and pattern pieces in the way of ASTM D6673 and AAMA-292: a block for each piece and size.
//!
//! The layers of those standards are **from memory** and unverified: 1 the cut outline, 4 notches, 6 the mirror line,
//! 7 the grain line, 8 lines inside, 11 cut-outs, 13 drill holes, 14 the stitching line, 15 lettering. A file whose blocks
//! have a line on layer 1 is read that way; any other is read as a drawing, its layers by their names.
//!
//! The pairs of code and value are read here, not by a library: DXF's text form is simple, the one maintained reader there
//! is brings a picture library, and a damaged date makes it panic.

mod entities;
mod pairs;
mod spline;

use std::borrow::Cow;
use std::collections::BTreeMap;

use kurbo::{Affine, BezPath};

use super::drawing::{Block, Drawing, Element, MOST_LINES, Mark, Role, Text};
use super::{FileUnit, words};
use crate::error::Problem;
use crate::geometry::Point;
use crate::units::{Mm, Unit};
use entities::{Drawn, drawn, with_vertices};
use pairs::{Entry, Pair, entries, pairs, section};

/// Blocks within blocks.
const DEEPEST: usize = 16;

/// Reads a drawing; `asked` goes before the unit that the file names.
pub(super) fn read(bytes: &[u8], asked: Option<FileUnit>) -> Result<Drawing, Problem> {
    let text = text_of(bytes);
    let pairs = pairs(&text)?;
    let contents = Contents::of(&pairs);
    let unit = match asked {
        Some(unit) => unit.mm(),
        None => unit_of(&pairs, &contents).ok_or_else(no_unit)?.mm(),
    };
    let mut drawing = Drawing::default();
    let pieces: Vec<&BlockEntry> = contents.blocks.values().filter(|block| is_piece(block)).collect();
    let mut reader =
        Reader { contents: &contents, drawing: &mut drawing, unit, by_number: true, block: 0, entities: 0 };
    let fits = if pieces.is_empty() {
        reader.by_number = contents.entities.iter().any(|(entry, _)| is_outline(entry));
        reader.drawing.blocks.push(Block::default());
        reader.entities(&contents.entities, Affine::scale(unit), 0)
    } else {
        pieces.into_iter().all(|block| reader.piece(block))
    };
    if fits {
        return Ok(drawing);
    }
    let cause = format!("The drawing has more than {MOST_LINES} lines, or more points than can be worked on.");
    Err(Problem::at("", cause, "save only the pattern pieces, or only the sizes you need"))
}

/// The text of a file; older ones are not in UTF-8, and what letters they mean matters little.
fn text_of(bytes: &[u8]) -> Cow<'_, str> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    match std::str::from_utf8(bytes) {
        Ok(text) => Cow::Borrowed(text),
        Err(_) => Cow::Owned(bytes.iter().map(|&byte| char::from(byte)).collect()),
    }
}

type Entity<'t> = (Entry<'t>, Vec<Entry<'t>>);

struct BlockEntry<'t> {
    name: &'t str,
    base: (f64, f64),
    entities: Vec<Entity<'t>>,
}

struct Contents<'t> {
    /// By the place in the file, and found by name.
    blocks: BTreeMap<usize, BlockEntry<'t>>,
    by_name: BTreeMap<&'t str, usize>,
    entities: Vec<Entity<'t>>,
}

impl<'t> Contents<'t> {
    fn of(pairs: &[Pair<'t>]) -> Self {
        let entities = with_vertices(entries(section(pairs, "ENTITIES")));
        let (mut blocks, mut by_name) = (BTreeMap::new(), BTreeMap::new());
        let mut current: Option<(Entry, Vec<Entry>)> = None;
        for entry in entries(section(pairs, "BLOCKS")) {
            match (entry.kind, current.as_mut()) {
                ("BLOCK", _) => current = Some((entry, Vec::new())),
                ("ENDBLK", Some(_)) => {
                    if let Some((head, entities)) = current.take() {
                        let name = head.text(2).unwrap_or_default();
                        by_name.entry(name).or_insert(blocks.len());
                        let base = head.point(10).unwrap_or_default();
                        blocks.insert(blocks.len(), BlockEntry { name, base, entities: with_vertices(entities) });
                    }
                }
                (_, Some((_, entities))) => entities.push(entry),
                (_, None) => {}
            }
        }
        Self { blocks, by_name, entities }
    }
}

fn is_outline(entry: &Entry) -> bool {
    entry.layer() == "1" && matches!(entry.kind, "POLYLINE" | "LWPOLYLINE" | "LINE" | "ARC" | "SPLINE" | "CIRCLE")
}

fn is_piece(block: &BlockEntry) -> bool {
    !block.name.starts_with('*') && block.entities.iter().any(|(entry, _)| is_outline(entry))
}

/// What the file says of its unit: lettering as the pattern standards have it, else the header.
fn unit_of(pairs: &[Pair], contents: &Contents) -> Option<Unit> {
    let lettering = contents.entities.iter().chain(contents.blocks.values().flat_map(|block| &block.entities));
    for (entry, _) in lettering.filter(|(entry, _)| entry.kind == "TEXT") {
        match entry.text(1).and_then(|text| words::value(text, "units")).map(str::to_lowercase).as_deref() {
            Some("metric") => return Some(Unit::Millimetre),
            Some("english" | "imperial") => return Some(Unit::Inch),
            _ => {}
        }
    }
    let header = section(pairs, "HEADER");
    let at = header.iter().position(|pair| *pair == (9, "$INSUNITS"))?;
    let (_, value) = header[at + 1..].iter().take_while(|(code, _)| *code != 9).find(|(code, _)| *code == 70)?;
    match *value {
        "1" => Some(Unit::Inch),
        "2" => Some(Unit::Foot),
        "4" => Some(Unit::Millimetre),
        "5" => Some(Unit::Centimetre),
        "6" => Some(Unit::Metre),
        "10" => Some(Unit::Yard),
        _ => None,
    }
}

fn no_unit() -> Problem {
    let hint = "say the unit of its numbers with --units (mm, cm, in), and check the sizes with --list";
    Problem::at("", "The drawing does not say how large it is: it names no unit of length.", hint)
}

struct Reader<'c, 't> {
    contents: &'c Contents<'t>,
    drawing: &'c mut Drawing,
    unit: Mm,
    /// Layers are the standards' numbers.
    by_number: bool,
    block: usize,
    entities: usize,
}

impl Reader<'_, '_> {
    /// A block that is a piece, in its own coordinates. False when the drawing has become too large.
    fn piece(&mut self, block: &BlockEntry) -> bool {
        self.block = self.drawing.blocks.len();
        let mut found = Block { name: words::clean(block.name), size: None };
        for (entry, _) in &block.entities {
            let Some(text) = entry.text(1).filter(|_| entry.kind == "TEXT") else { continue };
            if let Some(name) = words::value(text, "piece name") {
                found.name = words::clean(name);
            }
            if let Some(size) = words::value(text, "size") {
                found.size = Some(words::short(size));
            }
        }
        self.drawing.blocks.push(found);
        self.entities(&block.entities, Affine::scale(self.unit), 0)
    }

    fn entities(&mut self, entities: &[Entity], place: Affine, depth: usize) -> bool {
        entities.iter().all(|(entry, vertices)| self.entity(entry, vertices, place, depth))
    }

    fn entity(&mut self, entry: &Entry, vertices: &[Entry], place: Affine, depth: usize) -> bool {
        self.entities += 1;
        if self.entities > 10 * MOST_LINES {
            return false;
        }
        let (layer, block) = (entry.layer(), self.block);
        let role = if self.by_number { numbered_role(layer) } else { words::layer_role(layer) };
        let [a, b, ..] = place.as_coeffs();
        let size = libm::hypot(a, b);
        if !(size > 1e-9 && size < 1e9) {
            return true;
        }
        match drawn(entry, vertices, size) {
            Ok(Drawn::Path(path)) => {
                let path: BezPath = place * path;
                let within = path
                    .elements()
                    .iter()
                    .filter_map(kurbo::PathEl::end_point)
                    .all(|p| p.x.abs() < 1e7 && p.y.abs() < 1e7);
                if !within {
                    self.drawing.note("A line with a coordinate beyond all measure was passed over.");
                    return true;
                }
                let layers = vec![layer.to_owned()];
                self.drawing.add(&path, Element { layers, role, block, ..Element::default() })
            }
            Ok(Drawn::Point(p)) => {
                if let Some(role) = role {
                    let at = place * p;
                    self.drawing.marks.push(Mark { at: Point { x: at.x, y: at.y }, role, block });
                }
                self.drawing.marks.len() <= MOST_LINES
            }
            Ok(Drawn::Text(content, p)) => {
                let at = place * p;
                self.drawing.texts.push(Text { content, at: Point { x: at.x, y: at.y }, block });
                self.drawing.texts.len() <= MOST_LINES
            }
            Ok(Drawn::Insert(name, at)) => {
                let contents = self.contents;
                let inner = contents.by_name.get(name.as_str()).and_then(|index| contents.blocks.get(index));
                match inner {
                    Some(inner) if depth < DEEPEST => {
                        let (x, y) = inner.base;
                        self.entities(&inner.entities, place * at * Affine::translate((-x, -y)), depth + 1)
                    }
                    _ => true,
                }
            }
            Ok(Drawn::Nothing) => true,
            Err(fault) => {
                self.drawing.note(format!("On layer {} {fault} was passed over.", words::short(layer)));
                true
            }
        }
    }
}

/// What a line is for by the number of its layer (from memory).
fn numbered_role(layer: &str) -> Option<Role> {
    match layer {
        "1" => Some(Role::Outline),
        "4" => Some(Role::Notch),
        "6" => Some(Role::Fold),
        "7" => Some(Role::Grain),
        "8" => None,
        "11" => Some(Role::Hole),
        "14" => Some(Role::Stitching),
        _ => Some(Role::Other),
    }
}
