//! Pieces that are cut by measurement: from the file's measures to the shape.

use indexmap::IndexMap;

use super::file::{CutFile, MeasuredFile, PieceFile};
use super::findings::{Path, shortened};
use super::read::Named;
use super::resolve::{Resolver, count};
use super::values::{Count, EndWord, Extent, Flag, Fullness, Length, PartWord, ShapeWord, Text};
use crate::draft::{self, Measured};
use crate::error::Problem;
use crate::units::Mm;

/// What a piece that is measured is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum MeasuredShape {
    Rectangle,
    Trapezium,
    Gore,
    CircleSkirt,
    CurvedBand,
    BiasStrip,
    BiasSquare,
    GatheredTier,
    Tie,
    PatchPocket,
}

impl MeasuredShape {
    pub(super) const ALL: [Self; 10] = [
        Self::Rectangle,
        Self::Trapezium,
        Self::Gore,
        Self::CircleSkirt,
        Self::CurvedBand,
        Self::BiasStrip,
        Self::BiasSquare,
        Self::GatheredTier,
        Self::Tie,
        Self::PatchPocket,
    ];

    pub(super) fn name(self) -> &'static str {
        match self {
            Self::Rectangle => "rectangle",
            Self::Trapezium => "trapezium",
            Self::Gore => "gore",
            Self::CircleSkirt => "circle skirt",
            Self::CurvedBand => "curved band",
            Self::BiasStrip => "bias strip",
            Self::BiasSquare => "bias square",
            Self::GatheredTier => "gathered tier",
            Self::Tie => "tie",
            Self::PatchPocket => "patch pocket",
        }
    }

    /// The measures it needs, and those it may have.
    fn keys(self) -> (&'static [&'static str], &'static [&'static str]) {
        match self {
            Self::Rectangle => (&["width", "length"], &["on_fold"]),
            Self::Trapezium => (&["top", "bottom", "length"], &["on_fold"]),
            Self::Gore => (&["waist", "hem", "length", "panels"], &["on_fold"]),
            Self::CircleSkirt => (&["part", "waist", "length"], &["panels", "on_fold"]),
            Self::CurvedBand => (&["inner", "outer", "depth"], &["on_fold"]),
            Self::BiasStrip => (&["total", "width", "usable_width"], &["seam"]),
            Self::BiasSquare => (&["total", "width"], &[]),
            Self::GatheredTier => (&["edge", "fullness", "depth", "usable_width"], &["seam"]),
            Self::Tie => (&["length", "width"], &["end"]),
            Self::PatchPocket => (&["width", "length"], &["radius"]),
        }
    }
}

impl Resolver<'_, '_> {
    /// The shapes of the pieces that are given by measures; none for those whose measures are wrong.
    pub(super) fn measured_pieces(&mut self, pieces: Option<&Named<PieceFile>>) -> IndexMap<String, Option<Measured>> {
        let root = Path::ROOT.key("pieces");
        let Some(Named(pieces)) = pieces else { return IndexMap::new() };
        let mut measured = IndexMap::new();
        for (name, file) in pieces {
            let piece = root.key(name);
            let path = piece.key("measured");
            if self.tree.nearest(&piece.to_string()).get("measured").is_some() {
                let file = file.as_ref().and_then(|file| file.measured.as_ref());
                measured.insert(name.clone(), file.and_then(|file| self.measured(&path, file)));
            }
        }
        measured
    }

    /// Notes a piece that is cut less often than its measures ask for.
    pub(super) fn cut_often_enough(
        &mut self,
        cuts: Option<&Named<CutFile>>,
        measured: &IndexMap<String, Option<Measured>>,
    ) {
        let Some(Named(cuts)) = cuts else { return };
        for (name, needed) in measured.iter().filter_map(|(name, measured)| Some((name, measured.as_ref()?))) {
            let of_this = |cut: &CutFile| cut.piece.as_ref().is_some_and(|Text(piece)| piece == name);
            let these = || cuts.iter().filter_map(|(key, cut)| Some((key, cut.as_ref()?))).filter(|(_, c)| of_this(c));
            let Some((first, _)) = these().next() else { continue };
            // Half a panel cut without a fold is half of what is needed.
            let wholes = if needed.source.fold.is_some() { 2 } else { 1 };
            let halves = |cut: &CutFile| {
                let on_fold = cut.on_fold.as_ref().is_some_and(|Flag(on_fold)| *on_fold);
                count(cut.count.as_ref()) * if on_fold { wholes } else { 1 }
            };
            let cut: usize = these().map(|(_, cut)| halves(cut)).sum();
            if cut < needed.count * wholes {
                let (fold, each) = if wholes == 2 { (" on the fold", " and \"on_fold\": true") } else { ("", "") };
                let cause =
                    format!("The measures of \"{}\" ask for {}{fold}; fewer are cut.", shortened(name), needed.count);
                let hint = format!("write \"count\": {}{each}.", needed.count);
                self.report(&Path::ROOT.key("cuts").key(first).key("count"), cause, hint);
            }
        }
    }

    /// The shape that the measures at a key path make, or none where something was wrong.
    fn measured(&mut self, path: &Path, file: &MeasuredFile) -> Option<Measured> {
        let ShapeWord(shape) = file.shape.as_ref()?;
        let (needed, allowed) = shape.keys();
        let node = self.tree.nearest(&path.to_string());
        for key in needed.iter().filter(|key| node.get(key).is_none()) {
            let cause = format!("\"{key}\" is missing: a {} needs it.", shape.name());
            self.report(&path.key(key), cause, format!("a {} is given by {}.", shape.name(), needed.join(", ")));
        }
        let foreign = |key: &&String| {
            let key = key.as_str();
            !needed.contains(&key) && !allowed.contains(&key) && Measures::KEYS.contains(&key)
        };
        for key in node.object().into_iter().flat_map(|members| members.keys()).filter(foreign) {
            let known = [needed, allowed].concat().join(", ");
            let cause = format!("A {} has no \"{key}\".", shape.name());
            self.report(&path.key(key), cause, format!("leave it out; its measures are {known}."));
        }
        match Measures(file).shape(*shape)? {
            Ok(measured) => Some(measured),
            Err(Problem { place, cause, hint }) => {
                self.report(&path.key(&place.keys), cause, hint);
                None
            }
        }
    }
}

/// The measures as read; none where one is missing or wrong, which has been said.
struct Measures<'f>(&'f MeasuredFile);

impl Measures<'_> {
    /// Every key but the shape's own.
    const KEYS: [&'static str; 19] = [
        "part",
        "panels",
        "on_fold",
        "width",
        "length",
        "top",
        "bottom",
        "waist",
        "hem",
        "inner",
        "outer",
        "depth",
        "radius",
        "total",
        "edge",
        "fullness",
        "usable_width",
        "seam",
        "end",
    ];

    fn shape(&self, shape: MeasuredShape) -> Option<Result<Measured, Problem>> {
        let file = self.0;
        let on_fold = |default: bool| file.on_fold.as_ref().map_or(default, |Flag(flag)| *flag);
        let width = || extent(file.width.as_ref());
        let length = || extent(file.length.as_ref());
        let depth = || extent(file.depth.as_ref());
        let waist = || extent(file.waist.as_ref());
        let total = || extent(file.total.as_ref());
        let usable_width = || extent(file.usable_width.as_ref());
        let seam = file.seam.as_ref().map_or(0.0, |Length(mm)| *mm);
        let panels = file.panels.as_ref().map(|Count(count)| *count);
        Some(match shape {
            MeasuredShape::Rectangle => {
                draft::rectangle(&draft::Rectangle { width: width()?, length: length()?, on_fold: on_fold(false) })
            }
            MeasuredShape::Trapezium => draft::trapezium(&draft::Trapezium {
                top: extent(file.top.as_ref())?,
                bottom: extent(file.bottom.as_ref())?,
                length: length()?,
                on_fold: on_fold(false),
            }),
            MeasuredShape::Gore => draft::gore(&draft::Gore {
                waist: waist()?,
                hem: extent(file.hem.as_ref())?,
                length: length()?,
                panels: panels?,
                on_fold: on_fold(false),
            }),
            MeasuredShape::CircleSkirt => {
                let PartWord(part) = file.part.as_ref()?;
                draft::circle_skirt(&draft::CircleSkirt {
                    part: *part,
                    waist: waist()?,
                    length: length()?,
                    panels: panels.unwrap_or(part.panels()),
                    on_fold: on_fold(true),
                })
            }
            MeasuredShape::CurvedBand => draft::curved_band(&draft::CurvedBand {
                inner: extent(file.inner.as_ref())?,
                outer: extent(file.outer.as_ref())?,
                depth: depth()?,
                on_fold: on_fold(false),
            }),
            MeasuredShape::BiasStrip => {
                let (total, width, usable_width) = (total()?, width()?, usable_width()?);
                draft::bias_strips(&draft::BiasStrips { total, width, usable_width, seam })
            }
            MeasuredShape::BiasSquare => draft::bias_square(total()?, width()?),
            MeasuredShape::GatheredTier => draft::gathered_tier(&draft::Tier {
                edge: extent(file.edge.as_ref())?,
                fullness: file.fullness.as_ref().map(|Fullness(times)| *times)?,
                depth: depth()?,
                usable_width: usable_width()?,
                seam,
            }),
            MeasuredShape::Tie => {
                let end = file.end.as_ref().map_or(draft::TieEnd::Square, |EndWord(end)| *end);
                draft::tie(&draft::Tie { length: length()?, width: width()?, end })
            }
            MeasuredShape::PatchPocket => {
                let radius = file.radius.as_ref().map_or(0.0, |Length(mm)| *mm);
                draft::patch_pocket(width()?, length()?, radius)
            }
        })
    }
}

fn extent(value: Option<&Extent>) -> Option<Mm> {
    value.map(|Extent(mm)| *mm)
}
