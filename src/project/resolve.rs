//! From the file's objects to a [`Project`]: defaults, names looked up, pieces built.

use indexmap::IndexMap;

use super::choices;
use super::draft_file::DraftFile;
use super::drafts::{self, Pieces};
use super::file::{ClothFile, CutFile, DartFile, GrainFile, PieceFile, PrintFile, ProjectFile};
use super::findings::{Findings, Path, shortened};
use super::hand::{BorderWord, Priority, USUAL_PRIORITY};
use super::outline::{Outline, PointValue};
use super::read::{List, Named, name_hint};
use super::resolved::{BorderAt, Cloth, Cut, Grain, Lays, Print, Project, Seam};
use super::tree::Node;
use super::values::{
    CornerWord, Count, Extent, Flag, GrainWord, LayWord, LaysValue, Length, MOST_PLIES, Price, Scale, Shrinkage, Text,
    Tilt, UnitWord, Version,
};
use crate::draft::{self, Added, Measured};
use crate::geometry::Point;
use crate::piece::{self, Allowance, DartSource, Piece, PieceSource};
use crate::units::{Mm, Rounding, Unit, both};

/// Where problems with what has been read are noted.
pub(super) struct Resolver<'r, 'l> {
    /// The document they were read from.
    pub(super) tree: &'r Node,
    pub(super) findings: &'r mut Findings<'l>,
}

/// The project, or none where something was wrong: everything wrong is in the findings.
pub(super) fn resolve(
    file: ProjectFile,
    fallback_name: &str,
    chosen: IndexMap<String, String>,
    resolver: &mut Resolver,
) -> Option<Project> {
    choices::check_defaults(file.choices.as_ref(), file.chosen.as_ref(), resolver.tree, resolver.findings);
    let unit = file.units.map(|UnitWord(unit)| unit);
    let cloths = resolver.cloths(file.cloths, unit.unwrap_or(Unit::Centimetre));
    let known = names(file.pieces.as_ref(), file.drafts.as_ref());
    resolver.cuts_fit(file.cuts.as_ref(), &cloths, known.as_deref());
    let measured = resolver.measured_pieces(file.pieces.as_ref());
    resolver.cut_often_enough(file.cuts.as_ref(), &measured);
    let mut edges = file.pieces.as_ref().map(|Named(pieces)| given_edges(pieces, &measured));
    let mut pieces = resolver.pieces(file.pieces, measured).unwrap_or_default();
    let drafts = resolver.drafts(file.drafts, &mut pieces);
    if let Some(edges) = &mut edges {
        for (name, piece) in &pieces {
            let drafted = || piece.as_ref().map(|piece| piece.edges.keys().cloned().collect());
            edges.entry(name.clone()).or_insert_with(drafted);
        }
    }
    let seams = resolver.seams(file.seams, edges.as_ref());
    let notions = resolver.notions(file.notions, &pieces, unit.unwrap_or(Unit::Centimetre));
    let cuts = file.cuts.and_then(cuts);
    let matches = resolver.matches(file.matches, cuts.as_ref(), &cloths, &pieces);
    let name = file.name.map_or_else(|| fallback_name.to_owned(), |Text(name)| name);
    let Version = file.ellwand?;
    let (pieces, drafts) = (all(pieces)?, drafts?);
    Some(Project {
        name,
        unit: unit?,
        cloths: all(cloths)?,
        pieces,
        drafts,
        cuts: cuts?,
        notions: notions?,
        seams: seams?,
        matches: matches?,
        chosen,
    })
}

/// The edges of each piece by the piece's name; none where its edges are not known.
type Edges = IndexMap<String, Option<Vec<String>>>;

/// The names of all pieces, given or drafted.
fn names(pieces: Option<&Named<PieceFile>>, drafts: Option<&Named<DraftFile>>) -> Option<Vec<String>> {
    pieces.map(|Named(pieces)| pieces.keys().cloned().chain(drafts::made(drafts)).collect())
}

/// The edges that the file gives its pieces.
fn given_edges(pieces: &IndexMap<String, Option<PieceFile>>, measured: &IndexMap<String, Option<Measured>>) -> Edges {
    let edges = |(name, file): (&String, &Option<PieceFile>)| -> Option<Vec<String>> {
        if let Some(measured) = measured.get(name) {
            return Some(measured.as_ref()?.source.edges.keys().cloned().collect());
        }
        let edges = file.iter().filter_map(|file| file.edges.as_ref());
        Some(edges.flat_map(|Named(edges)| edges.keys().cloned()).collect())
    };
    pieces.iter().map(|own| (own.0.clone(), edges(own))).collect()
}

/// A map whose every value is there.
pub(super) fn all<T>(map: IndexMap<String, Option<T>>) -> Option<IndexMap<String, T>> {
    map.into_iter().map(|(name, value)| Some((name, value?))).collect()
}

fn flag(value: Option<Flag>, default: bool) -> bool {
    value.map_or(default, |Flag(value)| value)
}

fn length(value: Option<Length>) -> Mm {
    value.map_or(0.0, |Length(mm)| mm)
}

impl Resolver<'_, '_> {
    /// Notes a problem at a key path of the document.
    pub(super) fn report(&mut self, path: &Path, cause: impl Into<String>, hint: impl Into<String>) {
        let at = self.tree.nearest(&path.to_string()).at;
        self.findings.report(path, at, cause, hint);
    }

    fn cloths(&mut self, file: Option<Named<ClothFile>>, unit: Unit) -> IndexMap<String, Option<Cloth>> {
        let path = Path::ROOT.key("cloths");
        let Some(Named(cloths)) = file else {
            return IndexMap::new();
        };
        if cloths.is_empty() {
            self.report(&path, "The project has no cloth.", "describe at least one: \"main\": { \"width\": 150 }.");
        }
        let resolve = |(key, cloth): (String, Option<ClothFile>)| {
            let cloth = cloth.and_then(|cloth| self.cloth(&path.key(&key), &key, cloth, unit));
            (key, cloth)
        };
        cloths.into_iter().map(resolve).collect()
    }

    fn cloth(&mut self, path: &Path, key: &str, mut file: ClothFile, unit: Unit) -> Option<Cloth> {
        let selvedge = length(file.selvedge.take());
        let have = self.have(path, &mut file, selvedge);
        let shrinkage = file.shrinkage.unwrap_or_default();
        let share = |share: Option<Shrinkage>| share.map_or(0.0, |Shrinkage(share)| share);
        let cloth = Cloth {
            name: file.name.map_or_else(|| key.to_owned(), |Text(name)| name),
            width: file.width.map(|Extent(mm)| mm)?,
            selvedge,
            nap: flag(file.nap, false),
            right_side: flag(file.right_side, true),
            shrinkage_length: share(shrinkage.length),
            shrinkage_width: share(shrinkage.width),
            sold_by: file.sold_by.map_or_else(|| usual_step(unit), |Extent(mm)| mm),
            price_per_metre: self.price(path, file.price_per_metre, file.price_per_yard),
            ends: length(file.ends),
            gap: length(file.gap),
            lays: file.lay.map_or(Lays::Best, |LaysValue(lays)| lays),
            have: have?,
            border: file.border.map_or(BorderAt::First, |BorderWord(at)| at),
            print: file.print.map(|print| self.print(&path.key("print"), print)),
        };
        if cloth.width - 2.0 * cloth.selvedge >= 0.5 && cloth.usable_width() < 0.5 {
            let cause = format!(
                "Shrinking by {} per cent leaves nothing to cut from of a width of {}.",
                cloth.shrinkage_width * 100.0,
                both(cloth.width, Rounding::Nearest)
            );
            let hint = "give the per cent lost of the width; most cloths lose less than 12.";
            self.report(&path.key("shrinkage").key("width"), cause, hint);
            return None;
        }
        if cloth.usable_width() < 0.5 {
            let cause = format!(
                "Two selvedges of {} leave nothing to cut from of a width of {}.",
                both(cloth.selvedge, Rounding::Nearest),
                both(cloth.width, Rounding::Nearest)
            );
            self.report(&path.key("selvedge"), cause, "give the width of one selvedge; most are about 1 cm (3/8 in).");
            return None;
        }
        Some(cloth)
    }

    /// The price of a metre, given so or by the yard.
    fn price(&mut self, path: &Path, metre: Option<Price>, yard: Option<Price>) -> Option<f64> {
        let metres_to_a_yard = Unit::Yard.mm() / 1000.0;
        match (metre, yard) {
            (Some(_), Some(_)) => {
                let cause = "The cloth has a price of a metre and one of a yard.";
                self.report(&path.key("price_per_yard"), cause, "leave one of them out.");
                None
            }
            (metre, yard) => {
                metre.map(|Price(price)| price).or_else(|| yard.map(|Price(price)| price / metres_to_a_yard))
            }
        }
    }

    /// Holds the cuts against the cloths and pieces they name.
    fn cuts_fit(
        &mut self,
        cuts: Option<&Named<CutFile>>,
        cloths: &IndexMap<String, Option<Cloth>>,
        pieces: Option<&[String]>,
    ) {
        let root = Path::ROOT.key("cuts");
        let Some(Named(cuts)) = cuts else { return };
        if cuts.is_empty() {
            self.report(
                &root,
                "The project cuts nothing.",
                "add at least one cut: \"front\": { \"piece\": \"front\", \"cloth\": \"main\" }.",
            );
        }
        for (key, cut) in cuts {
            let path = root.key(key);
            let Some(cut) = cut else { continue };
            if let (Some(Text(piece)), Some(pieces)) = (&cut.piece, pieces) {
                self.known(&path.key("piece"), "piece", piece, pieces.iter());
            }
            if let Some(Text(cloth)) = &cut.cloth {
                self.known(&path.key("cloth"), "cloth", cloth, cloths.keys());
            }
            let plies = count(cut.count.as_ref()) * count(cut.layers.as_ref());
            if plies > MOST_PLIES {
                let cause = format!("This cut asks for {plies} plies; the most for one cut is {MOST_PLIES}.");
                self.report(&path, cause, "check \"count\" and \"layers\", or plan for fewer garments.");
            }
        }
    }

    /// Notes a name that is not among the known ones; where nothing at all is known, that has been said already.
    fn known<'k>(&mut self, path: &Path, what: &str, name: &str, known: impl Iterator<Item = &'k String> + Clone) {
        let no_cloth_at_all = what == "cloth" && known.clone().next().is_none();
        if no_cloth_at_all || known.clone().any(|known| known == name) {
            return;
        }
        let cause = format!("There is no {what} named \"{}\".", shortened(name));
        self.report(path, cause, name_hint(name, known.map(String::as_str)));
    }

    fn seams(&mut self, seams: Option<List<List<Text, 2, 2>, 0, 10_000>>, pieces: Option<&Edges>) -> Option<Vec<Seam>> {
        let Some(List(seams)) = seams else {
            return Some(Vec::new());
        };
        let pieces = pieces?;
        let root = Path::ROOT.key("seams");
        let mut resolved = Vec::with_capacity(seams.len());
        for (number, seam) in seams.into_iter().enumerate() {
            let path = root.item(number);
            let Some(List(ends)) = seam else { continue };
            let mut edges = ends.iter().enumerate().map(|(end, text)| {
                let Text(text) = text.as_ref()?;
                self.seam_edge(&path.item(end), text, pieces)
            });
            if let (Some(Some(one)), Some(Some(other))) = (edges.next(), edges.next()) {
                resolved.push(Seam { one, other });
            }
        }
        Some(resolved)
    }

    /// A "piece.edge" looked up. Names of pieces have no dot, so the first one parts them.
    fn seam_edge(&mut self, path: &Path, text: &str, pieces: &Edges) -> Option<(String, String)> {
        let Some((piece, edge)) = text.split_once('.') else {
            let cause = format!("\"{}\" does not name an edge of a piece.", shortened(text));
            self.report(path, cause, "write \"piece.edge\", such as \"bodice-front.side\".");
            return None;
        };
        let Some(edges) = pieces.get(piece) else {
            self.known(path, "piece", piece, pieces.keys());
            return None;
        };
        let edges = edges.as_ref()?;
        if edges.iter().any(|known| known == edge) {
            return Some((piece.to_owned(), edge.to_owned()));
        }
        let cause = format!("The piece \"{}\" has no edge named \"{}\".", shortened(piece), shortened(edge));
        self.report(path, cause, name_hint(edge, edges.iter().map(String::as_str)));
        None
    }

    fn pieces(
        &mut self,
        file: Option<Named<PieceFile>>,
        mut measured: IndexMap<String, Option<Measured>>,
    ) -> Option<Pieces> {
        let root = Path::ROOT.key("pieces");
        let Named(files) = file?;
        let mut pieces = IndexMap::with_capacity(files.len());
        for (name, file) in files {
            let path = root.key(&name);
            if name.contains('.') {
                self.report(
                    &path,
                    format!("The piece's name \"{}\" has a dot in it.", shortened(&name)),
                    "use a hyphen or a blank: seams write \"piece.edge\".",
                );
            }
            let shape = measured.get_mut(&name).map(Option::take);
            let built = match (file, shape) {
                (None, _) | (_, Some(None)) => None,
                (Some(file), shape) => self.piece(&path, &name, file, shape.flatten()),
            };
            pieces.insert(name, built);
        }
        Some(pieces)
    }

    fn print(&mut self, path: &Path, file: PrintFile) -> Print {
        if file.repeat_length.is_none() && file.repeat_width.is_none() {
            let cause = "The print repeats neither along the cloth nor across it.";
            self.report(path, cause, "give \"repeat_length\", \"repeat_width\" or both, or leave \"print\" out.");
        }
        let extent = |extent: Option<Extent>| extent.map(|Extent(mm)| mm);
        Print {
            repeat_length: extent(file.repeat_length),
            repeat_width: extent(file.repeat_width),
            middle: length(file.middle),
        }
    }

    /// A piece at its true size, and its allowance: included in its outline, or still to be added.
    fn given(&mut self, path: &Path, name: &str, mut file: PieceFile, measured: Option<Measured>) -> Option<Given> {
        let allowance = file.allowance.take().unwrap_or_default();
        let scale = file.scale.take().map_or(1.0, |Scale(scale)| scale);
        let path = path.key("allowance");
        if allowance.included.is_some() && allowance.add.is_some() {
            let cause = "The outline cannot include its allowance and have it added.";
            self.report(&path.key("add"), cause, "give \"included\" for a cut line, \"add\" for a stitching line.");
            return None;
        }
        if allowance.corners.is_some() && allowance.add.is_none() {
            let cause = "Corners can be finished only where allowance is added.";
            self.report(&path.key("corners"), cause, "leave them out, or give the stitching line and \"add\".");
            return None;
        }
        let mut source = source(name, file, measured)?;
        let edges = named(allowance.edges)?.into_iter().map(|(name, Length(mm))| (name, mm)).collect();
        let Some(Length(add)) = allowance.add else {
            source.allowance = Allowance { included: length(allowance.included), edges };
            return Some(Given { source: source.scaled(scale), added: None });
        };
        let corners = named(allowance.corners)?.into_iter().map(|(name, CornerWord(corner))| (name, corner)).collect();
        let added = Added { rest: add, edges, corners };
        Some(Given { source: source.scaled(scale), added: Some(added.scaled(scale)) })
    }

    fn piece(&mut self, path: &Path, name: &str, file: PieceFile, measured: Option<Measured>) -> Option<Piece> {
        let has_grain = file.grain.is_some() || measured.is_some();
        let Given { source, added } = self.given(path, name, file, measured)?;
        let built = match &added {
            None => piece::build(&source),
            Some(added) => piece::build(&source).and_then(|sewn| draft::add_allowance(&sewn, added)),
        };
        match built {
            Ok(piece) => Some(piece),
            Err(problems) => {
                // That the key is missing has been said in reading.
                for problem in problems.into_iter().filter(|problem| has_grain || problem.place.keys != "grain") {
                    self.add_at(path, problem);
                }
                None
            }
        }
    }
}

/// A piece as given, and the allowance to be added to it.
struct Given {
    source: PieceSource,
    added: Option<Added>,
}

/// What shops usually cut by where the project's unit is used: 10 cm or an eighth of a yard.
fn usual_step(unit: Unit) -> Mm {
    if unit.is_metric() { 100.0 } else { Unit::Yard.mm() / 8.0 }
}

pub(super) fn count(count: Option<&Count>) -> usize {
    count.map_or(1, |&Count(count)| count)
}

fn cuts(Named(cuts): Named<CutFile>) -> Option<IndexMap<String, Cut>> {
    let cut = |file: CutFile| {
        Some(Cut {
            piece: file.piece?.0,
            cloth: file.cloth?.0,
            count: count(file.count.as_ref()),
            mirrored: flag(file.mirrored, false),
            on_fold: flag(file.on_fold, false),
            layers: count(file.layers.as_ref()),
            grain: file.grain.map_or(Grain::Lengthwise, |GrainWord(grain)| grain),
            tilt: file.tilt.map_or(0.0, |Tilt(tilt)| tilt),
            lay: file.lay.map(|LayWord(kind)| kind),
            border: file.border.map(|Text(edge)| edge),
            priority: file.priority.map_or(USUAL_PRIORITY, |Priority(priority)| priority),
        })
    };
    cuts.into_iter().map(|(key, file)| Some((key, cut(file?)?))).collect()
}

/// A piece as drawn or measured, or none where a part of it was wrong: judging the rest by halves would only mislead.
fn source(name: &str, file: PieceFile, measured: Option<Measured>) -> Option<PieceSource> {
    let drawn = match measured {
        Some(Measured { source, .. }) => source,
        None => drawn(file.outline?, file.points, file.edges, file.grain, file.fold)?,
    };
    Some(PieceSource {
        name: name.to_owned(),
        holes: list(file.holes, |Outline(hole)| Some(hole))?,
        notches: list(file.notches, |PointValue(point)| Some(point))?,
        darts: list(file.darts, dart)?,
        ..drawn
    })
}

/// The parts of a piece that measures would bring.
fn drawn(
    Outline(outline): Outline,
    points: Option<Named<PointValue>>,
    edges: Option<Named<List<Text, 2, 1_000>>>,
    grain: Option<GrainFile>,
    fold: Option<Text>,
) -> Option<PieceSource> {
    let grain = match grain {
        Some(grain) => Some([grain.from?.0, grain.to?.0]),
        None => None,
    };
    let edge_names = |names: List<Text, 2, 1_000>| -> Option<Vec<String>> {
        Some(names.whole()?.into_iter().map(|Text(name)| name).collect())
    };
    let edges = named(edges)?;
    Some(PieceSource {
        outline,
        points: named(points)?.into_iter().map(|(name, PointValue(point))| (name, point)).collect(),
        edges: edges.into_iter().map(|(name, names)| Some((name, edge_names(names)?))).collect::<Option<_>>()?,
        grain,
        fold: fold.map(|Text(edge)| edge),
        ..PieceSource::default()
    })
}

/// Named values that may be left out, where none of them was wrong.
pub(super) fn named<T>(values: Option<Named<T>>) -> Option<IndexMap<String, T>> {
    values.map_or_else(|| Some(IndexMap::new()), |Named(values)| all(values))
}

/// The values of a list that may be left out, each taken further.
fn list<T, U, const LEAST: usize, const MOST: usize>(
    list: Option<List<T, LEAST, MOST>>,
    further: impl Fn(T) -> Option<U>,
) -> Option<Vec<U>> {
    list.map_or_else(|| Some(Vec::new()), |list| list.whole()?.into_iter().map(further).collect())
}

fn dart(file: DartFile) -> Option<DartSource> {
    let legs: Vec<Point> = list(file.legs, |PointValue(point)| Some(point))?;
    Some(DartSource { apex: file.apex?.0, legs: legs.try_into().ok()? })
}
