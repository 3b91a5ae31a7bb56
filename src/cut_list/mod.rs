//! What to cut, resolved: how many plies of which piece come out of which cloth.

mod matching;

use indexmap::IndexMap;

use crate::error::{Problem, Problems};
use crate::project::{Cut, Grain, LayKind, Project};

pub use matching::{Axis, Family, Matching, Member, off_lattice};

/// The cuts of every cloth that has any, by the cloth's key, both in the order of the project.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CutList {
    /// By cloth.
    pub cloths: IndexMap<String, Vec<CutEntry>>,
    /// Where matched cuts lie in the repeat, by cloth, for cloths on which something is matched.
    pub matching: IndexMap<String, Matching>,
}

/// One cut, counted out in plies.
#[derive(Debug, Clone, PartialEq)]
pub struct CutEntry {
    /// The cut's key in the project.
    pub cut: String,
    /// The piece's key.
    pub piece: String,
    /// Plies as printed.
    pub plain: usize,
    /// Plies mirrored.
    pub mirrored: usize,
    /// Each ply is the piece and its mirror image in one.
    pub on_fold: bool,
    /// How it lies to the cloth's grain.
    pub grain: Grain,
    /// Degrees off grain allowed.
    pub tilt: f64,
    /// The kind of lay it must lie on, where the project says so.
    pub lay: Option<LayKind>,
}

impl CutEntry {
    /// Whether it has plies on the bias that must be mirror images of each other, threads and all.
    pub fn is_mirrored_bias(&self) -> bool {
        self.grain == Grain::Bias && self.mirrored > 0
    }

    /// All its plies.
    pub fn plies(&self) -> usize {
        self.plain + self.mirrored
    }
}

/// Most plies one garment may have: far more than anyone sews, few enough to plan.
pub const MOST_PLIES: usize = 2000;

/// Counts every cut of a project out in plies.
///
/// # Errors
/// Every cut whose counts do not add up: pairs of an odd count, a fold without a fold edge.
pub fn resolve(project: &Project) -> Result<CutList, Problems> {
    let mut problems = Problems::new();
    let mut list = CutList::default();
    for cloth in project.cloths.keys() {
        let entries: Vec<CutEntry> = project
            .cuts
            .iter()
            .filter(|(_, cut)| cut.cloth == *cloth)
            .filter_map(|(name, cut)| entry(project, name, cut, &mut problems))
            .collect();
        if !entries.is_empty() {
            list.cloths.insert(cloth.clone(), entries);
        }
    }
    for (key, cuts) in &list.cloths {
        let cloth = project.cloths.get(key);
        if let Some(matching) = cloth.and_then(|cloth| matching::matching(project, key, cloth, cuts, &mut problems)) {
            list.matching.insert(key.clone(), matching);
        }
    }
    let plies: usize = list.cloths.values().flatten().map(CutEntry::plies).sum();
    if plies > MOST_PLIES {
        let cause = format!("The cuts come to {plies} plies; {MOST_PLIES} is the most that is planned.");
        problems.push(Problem::at("cuts", cause, "check the counts and layers"));
    }
    if list.cloths.is_empty() && problems.is_empty() {
        problems.push(Problem::at(
            "cuts",
            "There is nothing to cut.",
            "add a cut: a piece and the cloth it is cut from",
        ));
    }
    if problems.is_empty() { Ok(list) } else { Err(problems) }
}

fn entry(project: &Project, name: &str, cut: &Cut, problems: &mut Problems) -> Option<CutEntry> {
    let piece = project.pieces.get(&cut.piece)?;
    let key = |field: &str| format!("cuts.{name}.{field}");
    if cut.on_fold && piece.fold.is_none() {
        let cause = format!("\"{name}\" is cut on the fold, but the piece \"{}\" has no fold edge.", cut.piece);
        let hint =
            format!("name the edge that lies on the fold as \"fold\" in pieces.{}, or leave on_fold out", cut.piece);
        problems.push(Problem::at(key("on_fold"), cause, hint));
        return None;
    }
    if cut.mirrored && cut.count % 2 == 1 {
        let cause = format!(
            "\"{name}\" is to be cut {} times, mirrored: mirrored pieces come in pairs, and {} is odd.",
            cut.count, cut.count
        );
        problems.push(Problem::at(key("count"), cause, "give an even count, or two cuts: one mirrored, one not"));
        return None;
    }
    let plies = cut.count * cut.layers;
    // A ply cut across a fold is its own mirror image: there is nothing to mirror.
    let mirrored = if cut.mirrored && !cut.on_fold { plies / 2 } else { 0 };
    Some(CutEntry {
        cut: name.to_owned(),
        piece: cut.piece.clone(),
        plain: plies - mirrored,
        mirrored,
        on_fold: cut.on_fold,
        grain: cut.grain,
        tilt: cut.tilt,
        lay: cut.lay,
    })
}
