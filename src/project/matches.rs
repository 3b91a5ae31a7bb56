//! Where a print matches: cuts and points looked up, the points taken in to the stitching line.

use indexmap::IndexMap;

use super::file::MatchFile;
use super::findings::{Path, shortened};
use super::read::{List, Named, name_hint};
use super::resolve::Resolver;
use super::resolved::{Cloth, Cut, Grain, Hold, Match, MatchedPoint};
use super::values::{HoldWord, Text};
use crate::piece::{self, Piece};
use crate::units::Mm;

/// A fold edge this much off the grain over its length is not along it, in mm: rounding.
const ALONG_GRAIN: Mm = 1e-6;

impl Resolver<'_, '_> {
    /// The matches, or none where something was wrong with them or with what they name.
    pub(super) fn matches(
        &mut self,
        file: Option<Named<MatchFile>>,
        cuts: Option<&IndexMap<String, Cut>>,
        cloths: &IndexMap<String, Option<Cloth>>,
        pieces: &IndexMap<String, Option<Piece>>,
    ) -> Option<IndexMap<String, Match>> {
        let Some(Named(files)) = file else {
            return Some(IndexMap::new());
        };
        let cuts = cuts?;
        let root = Path::ROOT.key("matches");
        let mut matches = IndexMap::with_capacity(files.len());
        for (name, file) in files {
            let path = root.key(&name);
            let found = file.and_then(|file| self.one_match(&path, file, cuts, cloths, pieces));
            matches.insert(name, found);
        }
        matches.into_iter().map(|(name, found)| Some((name, found?))).collect()
    }

    fn one_match(
        &mut self,
        path: &Path,
        file: MatchFile,
        cuts: &IndexMap<String, Cut>,
        cloths: &IndexMap<String, Option<Cloth>>,
        pieces: &IndexMap<String, Option<Piece>>,
    ) -> Option<Match> {
        let hold = |word: Option<HoldWord>| word.map(|HoldWord(hold)| hold);
        let (along, across) = (hold(file.along), hold(file.across));
        if along.is_none() && across.is_none() {
            let cause = "The match says neither \"along\" nor \"across\".";
            self.report(path, cause, "say where its points lie in the repeat: \"alike\", \"middle\" or \"between\".");
            return None;
        }
        let points_path = path.key("points");
        let mut points = Vec::new();
        for (number, Text(text)) in file.points.and_then(List::whole)?.into_iter().enumerate() {
            points.push(self.matched_point(&points_path.item(number), &text, cuts, pieces));
        }
        let points: Vec<MatchedPoint> = points.into_iter().collect::<Option<_>>()?;
        let cloth = cuts.get(&points.first()?.cut)?.cloth.clone();
        for (number, point) in points.iter().enumerate() {
            self.can_match(&points_path.item(number), &cloth, cuts.get(&point.cut)?, &point.cut, pieces);
        }
        self.repeats(path, &cloth, cloths.get(&cloth)?.as_ref()?, along, across);
        Some(Match { cloth, points, along, across })
    }

    /// A "cut.point" looked up. Names of cuts and points may have dots: the first dot that parts a known cut from a point does.
    fn matched_point(
        &mut self,
        path: &Path,
        text: &str,
        cuts: &IndexMap<String, Cut>,
        pieces: &IndexMap<String, Option<Piece>>,
    ) -> Option<MatchedPoint> {
        let parts = text.match_indices('.').map(|(at, _)| (&text[..at], &text[at + 1..]));
        let Some((name, point)) = parts.clone().find(|(cut, _)| cuts.contains_key(*cut)) else {
            let Some((cut, _)) = parts.into_iter().next() else {
                let cause = format!("\"{}\" does not name a point of a cut.", shortened(text));
                self.report(path, cause, "write \"cut.point\", such as \"skirt front.side-hem\".");
                return None;
            };
            let cause = format!("There is no cut named \"{}\".", shortened(cut));
            self.report(path, cause, name_hint(cut, cuts.keys().map(String::as_str)));
            return None;
        };
        let cut = cuts.get(name)?;
        let piece = pieces.get(&cut.piece)?.as_ref()?;
        let Some(at) = piece::stitching_point(piece, point) else {
            let cause = format!("The piece \"{}\" has no point named \"{}\".", shortened(&cut.piece), shortened(point));
            self.report(path, cause, name_hint(point, piece.points.keys().map(String::as_str)));
            return None;
        };
        Some(MatchedPoint { cut: name.to_owned(), name: point.to_owned(), at })
    }

    /// What is matched lies one way: lengthwise, and whole ones the same on both sides of their fold.
    fn can_match(&mut self, path: &Path, cloth: &str, cut: &Cut, name: &str, pieces: &IndexMap<String, Option<Piece>>) {
        let name = shortened(name);
        if cut.cloth != cloth {
            let cause = format!(
                "\"{name}\" is cut from \"{}\", the first from \"{}\".",
                shortened(&cut.cloth),
                shortened(cloth)
            );
            self.report(path, cause, "match cuts of one cloth only.");
        }
        if cut.grain != Grain::Lengthwise || cut.tilt > 0.0 {
            let cause = format!("\"{name}\" is matched, but not cut exactly along the cloth.");
            self.report(path, cause, "cut it with the grain \"lengthwise\" and no tilt, or leave it out of the match.");
        }
        let fold = pieces.get(&cut.piece).and_then(Option::as_ref).and_then(|piece| piece.fold);
        if cut.on_fold && fold.is_some_and(|fold| (fold.from.y - fold.to.y).abs() > ALONG_GRAIN) {
            let cause = format!("\"{name}\" is matched, but its fold edge does not run along the grain.");
            self.report(path, cause, "leave it out of the match, or give the piece whole.");
        }
    }

    /// The cloth has a print that repeats the way the match asks.
    fn repeats(&mut self, path: &Path, name: &str, cloth: &Cloth, along: Option<Hold>, across: Option<Hold>) {
        let name = shortened(name);
        let asked = [
            ("along", "repeat_length", along.is_some(), cloth.print.and_then(|print| print.repeat_length)),
            ("across", "repeat_width", across.is_some(), cloth.print.and_then(|print| print.repeat_width)),
        ];
        for (key, repeat, _, _) in asked.into_iter().filter(|(_, _, asked, has)| *asked && has.is_none()) {
            let cause = format!("It is matched {key} the cloth, but the print of \"{name}\" has no \"{repeat}\".");
            self.report(&path.key(key), cause, format!("give \"print\": {{ \"{repeat}\": ... }} in cloths.{name}."));
        }
    }
}
