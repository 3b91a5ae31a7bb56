//! Cloth in hand: lengths that are there already, and the flaws in them.

use super::file::ClothFile;
use super::findings::Path;
use super::outline::{Outline, PointValue};
use super::read::{List, Read, Reader, inline_schema, record};
use super::resolve::Resolver;
use super::resolved::{BorderAt, Flaw, HaveLength};
use super::tree::Node;
use super::values::{Extent, Flag, Text, word};
use crate::geometry::curve::closed_ring;
use crate::geometry::{Point, Shape, ring_area, self_contact};
use crate::units::{Mm, Rounding, both};

/// Lengths of one cloth that may be in hand.
pub(super) const MOST_LENGTHS: usize = 12;

record! {
    /// A length of the cloth that is in hand.
    HaveFile {
        /// What it is, such as "left from the curtains". Left out: it goes by its number.
        optional name: Text,
        /// Its length as it lies there, before it is washed unless `washed` is true.
        required length: Extent,
        /// Its width from selvedge to selvedge. Left out: the cloth's.
        optional width: Extent,
        /// True where it has been washed and shrinks no more. Left out: false.
        optional washed: Flag,
        /// Places that nothing may be cut from. Left out: none.
        optional flaws: List<FlawFile, 0, 100>,
    }
}

record! {
    /// A hole, stain or fault, measured on the cloth as it lies there, open and right side up: x along it from its first
    /// end, y across it from the outer edge of its first selvedge.
    FlawFile {
        /// What it is, such as "moth hole". Left out: "flaw".
        optional name: Text,
        /// Two opposite corners [x, y] of a rectangle about it.
        optional rectangle: List<PointValue, 2, 2>,
        /// Its outline, instead of a rectangle.
        optional outline: Outline,
    }
}

inline_schema!(BorderWord, { "enum": ["first selvedge", "both selvedges"] });

/// Where a border print runs.
#[derive(Debug)]
pub(super) struct BorderWord(pub(super) BorderAt);

impl Read for BorderWord {
    fn read(node: &Node, path: &Path, reader: &mut Reader) -> Option<Self> {
        let words = [("first selvedge", BorderAt::First), ("both selvedges", BorderAt::Both)];
        word((node, path), reader, &words, &[]).map(Self)
    }
}

inline_schema!(Priority, { "type": "integer", "minimum": 0, "maximum": 100 });

/// How much it matters that something is cut.
#[derive(Debug)]
pub(super) struct Priority(pub(super) u8);

/// What a cut that says nothing of it matters.
pub(super) const USUAL_PRIORITY: u8 = 50;

impl Read for Priority {
    fn read(node: &Node, path: &Path, reader: &mut Reader) -> Option<Self> {
        let whole = |number: f64| number.fract() == 0.0 && (0.0..=100.0).contains(&number);
        super::values::number_between((node, path), reader, whole, "a whole number from 0 to 100")
            .map(|number| Self(number as u8))
    }
}

impl Resolver<'_, '_> {
    /// The lengths in hand of a cloth at `path`, `selvedge` wide at either edge.
    pub(super) fn have(&mut self, path: &Path, file: &mut ClothFile, selvedge: Mm) -> Option<Vec<HaveLength>> {
        let width = file.width.as_ref().map(|Extent(mm)| *mm);
        let Some(List(lengths)) = file.have.take() else { return Some(Vec::new()) };
        let path = path.key("have");
        let mut all = Vec::with_capacity(lengths.len());
        for (number, length) in lengths.into_iter().enumerate() {
            all.push(length.and_then(|length| self.have_length(&path.item(number), length, width?, selvedge)));
        }
        all.into_iter().collect()
    }

    fn have_length(&mut self, path: &Path, file: HaveFile, cloth: Mm, selvedge: Mm) -> Option<HaveLength> {
        let Extent(length) = file.length?;
        let width = file.width.map_or(cloth, |Extent(mm)| mm);
        if width - 2.0 * selvedge < 0.5 {
            let cause = format!(
                "Two selvedges of {} leave nothing to cut from of a width of {}.",
                both(selvedge, Rounding::Nearest),
                both(width, Rounding::Nearest)
            );
            self.report(&path.key("width"), cause, "check the width of this length and the cloth's selvedge.");
            return None;
        }
        let list = path.key("flaws");
        let mut flaws = Vec::new();
        for (number, flaw) in file.flaws.map(|List(flaws)| flaws).unwrap_or_default().into_iter().enumerate() {
            flaws.push(flaw.and_then(|flaw| self.flaw(&list.item(number), flaw, length, width)));
        }
        Some(HaveLength {
            name: file.name.map(|Text(name)| name),
            length,
            width,
            washed: file.washed.is_some_and(|Flag(washed)| washed),
            flaws: flaws.into_iter().collect::<Option<_>>()?,
        })
    }

    fn flaw(&mut self, path: &Path, file: FlawFile, length: Mm, width: Mm) -> Option<Flaw> {
        let ring = match (file.rectangle, file.outline) {
            (Some(corners), None) => {
                let corners = corners.whole()?;
                let [PointValue(a), PointValue(b)] = corners[..] else { return None };
                vec![a, Point { x: b.x, y: a.y }, b, Point { x: a.x, y: b.y }]
            }
            (None, Some(Outline(outline))) => {
                let Ok(ring) = closed_ring(&outline) else {
                    let cause = "The outline of the flaw is not one closed line.";
                    self.report(&path.key("outline"), cause, "end it where it began, or give a rectangle about it.");
                    return None;
                };
                ring
            }
            (Some(_), Some(_)) => {
                let cause = "A flaw has a rectangle or an outline, not both.";
                self.report(&path.key("outline"), cause, "leave one of them out.");
                return None;
            }
            (None, None) => {
                let cause = "The flaw has neither a rectangle nor an outline.";
                self.report(path, cause, "add \"rectangle\": [[x, y], [x, y]], two opposite corners about it.");
                return None;
            }
        };
        if ring_area(&ring).abs() < 0.01 || self_contact(&ring).is_some() {
            let cause = "The flaw has no proper area: it is a line, or its outline crosses or touches itself.";
            self.report(path, cause, "draw a simple outline round it, or give a rectangle about it.");
            return None;
        }
        let shape = Shape::new(ring, Vec::new());
        let bounds = shape.bounds();
        if bounds.max.x <= 0.0 || bounds.min.x >= length || bounds.max.y <= 0.0 || bounds.min.y >= width {
            let cause = format!(
                "The flaw lies off the cloth, which is {} long and {} wide.",
                both(length, Rounding::Nearest),
                both(width, Rounding::Nearest)
            );
            let hint = "measure x along the cloth from its first end, y across it from its first selvedge.";
            self.report(path, cause, hint);
            return None;
        }
        Some(Flaw { name: file.name.map_or_else(|| "flaw".to_owned(), |Text(name)| name), shape })
    }
}
