//! Runs a project's drafts in the order of the file: each may use given pieces and those made before it.

use indexmap::IndexMap;

use super::draft_file::{
    BandFile, BandPartFile, BlendFile, DraftFile, FacingFile, InterfacingFile, JoinFile, LengthFile, LiningFile,
    MirrorFile, SplitFile,
};
use super::findings::{Path, shortened};
use super::read::{List, Named, listed};
use super::resolve::{Resolver, named};
use super::values::{Coordinate, Extent, Flag, Length, Text};
use crate::draft::{self, BandOptions, BandPart, Drafted, Lining, Proof, Strip};
use crate::error::{Problem, Problems};
use crate::piece::Piece;
use crate::units::Mm;

/// Pieces by name; none where one is known but could not be made, which has been reported.
pub(super) type Pieces = IndexMap<String, Option<Piece>>;

/// A draft with everything in its file that is needed.
enum Draft {
    Band(BandFile),
    Lining(LiningFile),
    Facing(FacingFile),
    Interfacing(InterfacingFile),
    Split(SplitFile),
    Join(JoinFile),
    Length(LengthFile),
    Blend(BlendFile),
    Mirror(MirrorFile),
}

const KINDS: &str = "band, lining, facing, interfacing, split, join, length, blend, mirror";

/// The names of the pieces that drafts make, in their order, as far as they can be read.
pub(super) fn made(drafts: Option<&Named<DraftFile>>) -> Vec<String> {
    let Some(Named(drafts)) = drafts else { return Vec::new() };
    let names = drafts.values().flatten().flat_map(names_made);
    names.map(|(_, name)| name.to_owned()).collect()
}

/// The keys and names of the pieces that a draft makes.
fn names_made(file: &DraftFile) -> Vec<(String, &str)> {
    let mut names = Vec::new();
    if let Some(band) = &file.band {
        for (part, own) in [("front", &band.front), ("back", &band.back)] {
            let Some(makes) = own.as_ref().and_then(|part| part.makes.as_ref()) else { continue };
            for (key, name) in [("band", &makes.band), ("bodice", &makes.bodice)] {
                names.extend(name.iter().map(|Text(name)| (format!("band.{part}.makes.{key}"), name.as_str())));
            }
        }
    }
    let single = [
        ("lining", file.lining.as_ref().and_then(|draft| draft.makes.as_ref())),
        ("facing", file.facing.as_ref().and_then(|draft| draft.makes.as_ref())),
        ("interfacing", file.interfacing.as_ref().and_then(|draft| draft.makes.as_ref())),
        ("join", file.join.as_ref().and_then(|draft| draft.makes.as_ref())),
        ("length", file.length.as_ref().and_then(|draft| draft.makes.as_ref())),
        ("blend", file.blend.as_ref().and_then(|draft| draft.makes.as_ref())),
        ("mirror", file.mirror.as_ref().and_then(|draft| draft.makes.as_ref())),
    ];
    names.extend(
        single.into_iter().filter_map(|(kind, name)| name.map(|Text(name)| (format!("{kind}.makes"), name.as_str()))),
    );
    if let Some(List(list)) = file.split.as_ref().and_then(|split| split.makes.as_ref()) {
        let each = list.iter().enumerate().filter_map(|(i, name)| name.as_ref().map(|Text(name)| (i, name.as_str())));
        names.extend(each.map(|(i, name)| (format!("split.makes[{i}]"), name)));
    }
    names
}

impl Resolver<'_, '_> {
    /// Adds the pieces that the drafts make, and gives the proofs of each draft.
    pub(super) fn drafts(
        &mut self,
        file: Option<Named<DraftFile>>,
        pieces: &mut Pieces,
    ) -> Option<IndexMap<String, Vec<Proof>>> {
        let Some(Named(drafts)) = file else {
            return Some(IndexMap::new());
        };
        let root = Path::ROOT.key("drafts");
        let mut later: Vec<String> =
            drafts.values().flatten().flat_map(names_made).map(|(_, name)| name.to_owned()).collect();
        let mut proofs = IndexMap::with_capacity(drafts.len());
        let mut all_well = true;
        for (name, file) in drafts {
            let path = root.key(&name);
            let Some(file) = file else {
                all_well = false;
                continue;
            };
            let names: Vec<(String, String)> =
                names_made(&file).into_iter().map(|(key, name)| (key, name.to_owned())).collect();
            later.drain(..names.len().min(later.len()));
            let is_free = self.names_are_free(&path, &names, pieces);
            let drafted = self.draft(&path, file, pieces, &later).filter(|_| is_free);
            all_well &= drafted.is_some();
            let Drafted { pieces: new, proofs: own } = drafted.unwrap_or_default();
            for (_, name) in names {
                pieces.entry(name).or_insert(None);
            }
            for piece in new {
                pieces.insert(piece.name.clone(), Some(piece));
            }
            proofs.insert(name, own);
        }
        all_well.then_some(proofs)
    }

    /// Notes names of new pieces that are taken already or cannot serve.
    fn names_are_free(&mut self, path: &Path, names: &[(String, String)], pieces: &Pieces) -> bool {
        let mut are_free = true;
        for (number, (key, name)) in names.iter().enumerate() {
            let (cause, hint) = if pieces.contains_key(name) || names[..number].iter().any(|(_, other)| other == name) {
                (format!("There is already a piece named \"{}\".", shortened(name)), "give the new piece another name.")
            } else if name.contains('.') {
                let cause = format!("The piece's name \"{}\" has a dot in it.", shortened(name));
                (cause, "use a hyphen or a blank: seams write \"piece.edge\".")
            } else {
                continue;
            };
            are_free = false;
            self.add_at(path, Problem::at(key, cause, hint));
        }
        are_free
    }

    /// Notes a problem whose keys are relative to a path.
    pub(super) fn add_at(&mut self, path: &Path, mut problem: Problem) {
        let keys = &problem.place.keys;
        let dot = if keys.is_empty() { "" } else { "." };
        problem.place.keys = format!("{path}{dot}{keys}");
        let at = self.tree.nearest(&problem.place.keys).at;
        problem.place.line_column = Some(self.findings.lines().place(at));
        self.findings.add(problem);
    }

    fn draft(&mut self, path: &Path, file: DraftFile, pieces: &Pieces, later: &[String]) -> Option<Drafted> {
        let kinds: [Option<(&str, Draft)>; 9] = [
            file.band.map(|draft| ("band", Draft::Band(draft))),
            file.lining.map(|draft| ("lining", Draft::Lining(draft))),
            file.facing.map(|draft| ("facing", Draft::Facing(draft))),
            file.interfacing.map(|draft| ("interfacing", Draft::Interfacing(draft))),
            file.split.map(|draft| ("split", Draft::Split(draft))),
            file.join.map(|draft| ("join", Draft::Join(draft))),
            file.length.map(|draft| ("length", Draft::Length(draft))),
            file.blend.map(|draft| ("blend", Draft::Blend(draft))),
            file.mirror.map(|draft| ("mirror", Draft::Mirror(draft))),
        ];
        let mut given = kinds.into_iter().flatten();
        let (Some((key, draft)), None) = (given.next(), given.next()) else {
            // A kind that could not be read has been reported with its own key.
            let has_key = self.tree.nearest(&path.to_string()).object().is_some_and(|keys| keys.len() == 1);
            if !has_key {
                self.report(path, "A draft is exactly one of its kinds.", format!("give one of these keys: {KINDS}."));
            }
            return None;
        };
        let path = path.key(key);
        let mut lookup = Lookup { pieces, later, problems: Problems::new() };
        let drafted = lookup.run(draft);
        let found = std::mem::take(&mut lookup.problems);
        let problems = match drafted {
            Some(Ok(drafted)) if found.is_empty() => return Some(drafted),
            None | Some(Ok(_)) => found,
            Some(Err(problems)) => problems.into_iter().chain(found).collect(),
        };
        for problem in problems {
            self.add_at(&path, problem);
        }
        None
    }
}

/// Finds the pieces that a draft names.
struct Lookup<'p> {
    pieces: &'p Pieces,
    later: &'p [String],
    problems: Problems,
}

fn extent(value: Option<Extent>) -> Option<Mm> {
    value.map(|Extent(mm)| mm)
}

fn length(value: Option<Length>) -> Option<Mm> {
    value.map(|Length(mm)| mm)
}

impl<'p> Lookup<'p> {
    /// The piece of a name; none where it has none, which is noted, or could not be made, which has been.
    fn piece(&mut self, key: &str, name: &str) -> Option<&'p Piece> {
        if let Some(piece) = self.pieces.get(name) {
            return piece.as_ref();
        }
        let is_later = self.later.iter().any(|later| later == name);
        let hint = if is_later {
            "it is made further down: move that draft up.".to_owned()
        } else {
            super::read::name_hint(name, self.pieces.keys().map(String::as_str))
        };
        self.problems.push(Problem::at(key, format!("There is no piece named \"{}\".", shortened(name)), hint));
        None
    }

    /// The piece and the edge of "piece.edge".
    fn edge<'t>(&mut self, key: &str, text: &'t str) -> Option<(&'p Piece, &'t str)> {
        let Some((name, edge)) = text.split_once('.') else {
            let cause = format!("\"{}\" does not name an edge of a piece.", shortened(text));
            self.problems.push(Problem::at(key, cause, "write \"piece.edge\", such as \"bodice-front.side\"."));
            return None;
        };
        let piece = self.piece(key, name)?;
        if !piece.edges.contains_key(edge) {
            let known = listed(piece.edges.keys().map(String::as_str)).unwrap_or_default();
            let cause = format!("The piece \"{}\" has no edge named \"{}\".", shortened(name), shortened(edge));
            self.problems.push(Problem::at(key, cause, format!("write one of these: {known}.")));
            return None;
        }
        Some((piece, edge))
    }

    /// Makes the draft; none where something it needs was wrong.
    fn run(&mut self, draft: Draft) -> Option<Result<Drafted, Problems>> {
        Some(match draft {
            Draft::Band(file) => return self.band(file),
            Draft::Lining(file) => {
                let (Text(of), Text(makes)) = (file.of?, file.makes?);
                let outer = self.piece("of", &of)?;
                let hem = file.hem.map_or_else(|| "hem".to_owned(), |Text(hem)| hem);
                let lining = Lining {
                    hem: &hem,
                    shorter: length(file.shorter).unwrap_or(0.0),
                    hem_allowance: length(file.hem_allowance),
                    facing: strip(file.facing, length(file.round), length(file.allowance))?,
                };
                draft::lining(outer, &lining, &makes)
            }
            Draft::Facing(file) => {
                let (Text(of), Text(makes), along) = (file.of?, file.makes?, file.along?);
                let outer = self.piece("of", &of)?;
                draft::facing(outer, &strip(Some(along), length(file.round), length(file.allowance))?, &makes)
            }
            Draft::Interfacing(file) => {
                let (Text(of), Text(makes)) = (file.of?, file.makes?);
                let outer = self.piece("of", &of)?;
                draft::interfacing(outer, &strip(file.along, length(file.round), length(file.allowance))?, &makes)
            }
            Draft::Split(file) => {
                let Text(of) = file.of?;
                let line = texts(file.line?)?;
                let makes = texts(file.makes?)?;
                let [left, right] = &makes[..] else { return None };
                draft::split(self.piece("of", &of)?, &line, length(file.allowance), [left, right])
            }
            Draft::Join(file) => {
                let (Text(one), Text(other), Text(makes)) = (file.one?, file.other?, file.makes?);
                let (one, other) = (self.edge("one", &one), self.edge("other", &other));
                draft::join(one?, other?, &makes)
            }
            Draft::Length(file) => {
                let (Text(of), Text(makes), Coordinate(by)) = (file.of?, file.makes?, file.by?);
                let at = texts(file.at?)?;
                let [from, to] = &at[..] else { return None };
                draft::length(self.piece("of", &of)?, [from, to], by, &makes)
            }
            Draft::Blend(file) => {
                let (Text(upper), Text(lower), Text(makes)) = (file.upper?, file.lower?, file.makes?);
                let between = texts(file.between?)?;
                let [from, to] = &between[..] else { return None };
                let (upper, lower) = (self.piece("upper", &upper), self.piece("lower", &lower));
                draft::blend(upper?, lower?, [from, to], &makes)
            }
            Draft::Mirror(file) => {
                let (Text(of), Text(makes)) = (file.of?, file.makes?);
                draft::mirror(self.piece("of", &of)?, &makes)
            }
        })
    }

    fn band(&mut self, file: BandFile) -> Option<Result<Drafted, Problems>> {
        let depth = extent(file.depth)?;
        if file.front.is_none() && file.back.is_none() {
            let hint = "give \"front\", \"back\" or both: { \"piece\": ..., \"makes\": ... }.";
            self.problems.push(Problem::at("", "The band is taken from no bodice.", hint));
            return None;
        }
        let given = [("front", file.front), ("back", file.back)];
        let parts = given.map(|(key, part)| part.map(|part| self.band_part(key, part)));
        // Both are looked up before the first that is wrong ends it.
        let [front, back] = parts.map(|part| match part {
            None => Some(None),
            Some(part) => part.map(Some),
        });
        let (front, back) = (front?, back?);
        let options =
            BandOptions { allowance: length(file.allowance), is_knit: file.knit.is_some_and(|Flag(knit)| knit) };
        let front = front.as_ref().map(|(piece, names)| names.part(piece, depth));
        let back = back.as_ref().map(|(piece, names)| names.part(piece, depth));
        Some(draft::band(front.as_ref(), back.as_ref(), &options))
    }

    fn band_part(&mut self, key: &str, file: BandPartFile) -> Option<(&'p Piece, PartNames)> {
        let (Text(name), makes) = (file.piece?, file.makes?);
        let piece = self.piece(&format!("{key}.piece"), &name)?;
        let or = |text: Option<Text>, otherwise: &str| text.map_or_else(|| otherwise.to_owned(), |Text(name)| name);
        let names = PartNames {
            waist: or(file.waist, "waist"),
            side: or(file.side, "side"),
            band: makes.band?.0,
            bodice: makes.bodice?.0,
            depth: extent(file.depth),
        };
        Some((piece, names))
    }
}

/// The names in a part of a band.
struct PartNames {
    waist: String,
    side: String,
    band: String,
    bodice: String,
    depth: Option<Mm>,
}

impl PartNames {
    fn part<'a>(&'a self, piece: &'a Piece, depth: Mm) -> BandPart<'a> {
        let depth = self.depth.unwrap_or(depth);
        BandPart { piece, waist: &self.waist, side: &self.side, depth, band: &self.band, bodice: &self.bodice }
    }
}

/// A strip along edges; none where one of them was wrong.
fn strip(along: Option<Named<Extent>>, round: Option<Mm>, allowance: Option<Mm>) -> Option<Strip> {
    let along = named(along)?.into_iter().map(|(edge, Extent(width))| (edge, width)).collect();
    Some(Strip { along, round: round.unwrap_or(0.0), allowance })
}

fn texts<const LEAST: usize, const MOST: usize>(list: List<Text, LEAST, MOST>) -> Option<Vec<String>> {
    Some(list.whole()?.into_iter().map(|Text(text)| text).collect())
}
