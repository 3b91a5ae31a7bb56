//! Reads DXF drawings, and pattern pieces in the way of ASTM D6673 and AAMA-292: a block for each piece and size.
//!
//! The layers of those standards are **from memory** and unverified: 1 the cut outline, 4 notches, 6 the mirror line,
//! 7 the grain line, 8 lines inside, 11 cut-outs, 13 drill holes, 14 the stitching line, 15 lettering. A file whose blocks
//! have a line on layer 1 is read that way; any other is read as a drawing, its layers by their names.
//!
//! The file is read with the `dxf` crate, behind a sieve of our own.

mod entities;
mod sieve;
mod spline;

use std::borrow::Cow;
use std::collections::BTreeMap;

use dxf::entities::{Entity, EntityType};
use dxf::enums::Units;
use kurbo::{Affine, BezPath};

use super::drawing::{Block, Drawing, Element, MOST_LINES, Mark, Role, Text};
use super::{FileUnit, words};
use crate::error::Problem;
use crate::geometry::Point;
use crate::units::{Mm, Unit};
use entities::{Drawn, drawn};

/// Blocks within blocks.
const DEEPEST: usize = 16;

/// Reads a drawing; `asked` goes before the unit that the file names.
pub(super) fn read(bytes: &[u8], asked: Option<FileUnit>) -> Result<Drawing, Problem> {
    let sieved = sieve::sieve(&text_of(bytes))?;
    let file = dxf::Drawing::load_with_encoding(&mut sieved.text.as_bytes(), encoding_rs::UTF_8)
        .map_err(|fault| sieve::damaged(1, &format!("Its reader says: {fault}.")))?;
    let unit = match asked {
        Some(unit) => unit.mm(),
        None => unit_of(&file).ok_or_else(no_unit)?.mm(),
    };
    let mut drawing = Drawing::default();
    sieved.notes.into_iter().for_each(|note| drawing.note(note));
    let pieces: Vec<&dxf::Block> = file.blocks().filter(|block| is_piece(block)).collect();
    let mut by_name = BTreeMap::new();
    for block in file.blocks() {
        by_name.entry(block.name.as_str()).or_insert(block);
    }
    let mut reader = Reader { by_name, drawing: &mut drawing, unit, by_number: true, block: 0, entities: 0 };
    let fits = if pieces.is_empty() {
        reader.by_number = file.entities().any(is_outline);
        reader.drawing.blocks.push(Block::default());
        reader.entities(file.entities(), Affine::scale(unit), 0)
    } else {
        pieces.into_iter().all(|block| reader.piece(block))
    };
    if fits { Ok(drawing) } else { Err(sieve::too_much()) }
}

/// The text of a file; older ones are not in UTF-8.
fn text_of(bytes: &[u8]) -> Cow<'_, str> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    match std::str::from_utf8(bytes) {
        Ok(text) => Cow::Borrowed(text),
        Err(_) => encoding_rs::WINDOWS_1252.decode_without_bom_handling(bytes).0,
    }
}

fn is_outline(entity: &Entity) -> bool {
    let is_line = matches!(
        entity.specific,
        EntityType::Polyline(_)
            | EntityType::LwPolyline(_)
            | EntityType::Line(_)
            | EntityType::Arc(_)
            | EntityType::Spline(_)
            | EntityType::Circle(_)
    );
    entity.common.layer == "1" && is_line
}

fn is_piece(block: &dxf::Block) -> bool {
    !block.name.starts_with('*') && block.entities.iter().any(is_outline)
}

/// What a piece of lettering says.
fn text(entity: &Entity) -> Option<&str> {
    match &entity.specific {
        EntityType::Text(text) => Some(&text.value),
        _ => None,
    }
}

/// What the file says of its unit: lettering as the pattern standards have it, else the header.
fn unit_of(file: &dxf::Drawing) -> Option<Unit> {
    let lettering = file.entities().chain(file.blocks().flat_map(|block| &block.entities)).filter_map(text);
    for text in lettering {
        match words::value(text, "units").map(str::to_lowercase).as_deref() {
            Some("metric") => return Some(Unit::Millimetre),
            Some("english" | "imperial") => return Some(Unit::Inch),
            _ => {}
        }
    }
    match file.header.default_drawing_units {
        Units::Inches => Some(Unit::Inch),
        Units::Feet => Some(Unit::Foot),
        Units::Millimeters => Some(Unit::Millimetre),
        Units::Centimeters => Some(Unit::Centimetre),
        Units::Meters => Some(Unit::Metre),
        Units::Yards => Some(Unit::Yard),
        _ => None,
    }
}

fn no_unit() -> Problem {
    let hint = "say the unit of its numbers with --units (mm, cm, in), and check the sizes with --list";
    Problem::at("", "The drawing does not say how large it is: it names no unit of length.", hint)
}

struct Reader<'f> {
    by_name: BTreeMap<&'f str, &'f dxf::Block>,
    drawing: &'f mut Drawing,
    unit: Mm,
    /// Layers are the standards' numbers.
    by_number: bool,
    block: usize,
    entities: usize,
}

impl<'f> Reader<'f> {
    /// A block that is a piece, in its own coordinates. False when the drawing has become too large.
    fn piece(&mut self, block: &'f dxf::Block) -> bool {
        self.block = self.drawing.blocks.len();
        let mut found = Block { name: words::clean(&block.name), size: None };
        for text in block.entities.iter().filter_map(text) {
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

    fn entities(&mut self, entities: impl IntoIterator<Item = &'f Entity>, place: Affine, depth: usize) -> bool {
        entities.into_iter().all(|entity| self.entity(entity, place, depth))
    }

    fn entity(&mut self, entity: &'f Entity, place: Affine, depth: usize) -> bool {
        self.entities += 1;
        if self.entities > 10 * MOST_LINES {
            return false;
        }
        let (layer, block) = (entity.common.layer.as_str(), self.block);
        let role = if self.by_number { numbered_role(layer) } else { words::layer_role(layer) };
        let [a, b, ..] = place.as_coeffs();
        let size = libm::hypot(a, b);
        if !(size > 1e-9 && size < 1e9) {
            return true;
        }
        match drawn(&entity.specific, size) {
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
            Ok(Drawn::Insert(name, at)) => match self.by_name.get(name.as_str()) {
                Some(inner) if depth < DEEPEST => {
                    let base = Affine::translate((-inner.base_point.x, -inner.base_point.y));
                    self.entities(&inner.entities, place * at * base, depth + 1)
                }
                _ => true,
            },
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
