//! What to cut, resolved: how many plies of which piece come out of which cloth.

mod matching;

use indexmap::IndexMap;

use crate::error::{Problem, Problems};
use crate::piece::{Piece, border_fault};
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
    /// The edge of the piece that lies on a selvedge, which exists and can.
    pub border: Option<String>,
    /// How much it matters that it is cut, 0 to 100.
    pub priority: u8,
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
    if let Some(problem) = border_problem(name, cut, piece) {
        problems.push(problem);
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
        border: cut.border.clone(),
        priority: cut.priority,
    })
}

/// The problem, where the edge that is to lie on a selvedge cannot.
fn border_problem(name: &str, cut: &Cut, piece: &Piece) -> Option<Problem> {
    let edge = cut.border.as_ref()?;
    let key = format!("cuts.{name}.border");
    if !piece.edges.contains_key(edge) {
        let known: Vec<&str> = piece.edges.keys().map(String::as_str).collect();
        let hint = if known.is_empty() {
            format!("name it in pieces.{}.edges", cut.piece)
        } else {
            format!("it has these: {}", known.join(", "))
        };
        return Some(Problem::at(key, format!("The piece \"{}\" has no edge named \"{edge}\".", cut.piece), hint));
    }
    let turns: &[f64] = match cut.grain {
        Grain::Lengthwise => &[0.0],
        Grain::Crosswise => &[90.0],
        Grain::Bias => &[45.0, 135.0],
        Grain::Any => &[0.0, 90.0],
    };
    let fault = border_fault(piece, edge, cut.on_fold, turns)?;
    let grain = match cut.grain {
        Grain::Lengthwise => "lengthwise grain",
        Grain::Crosswise => "crosswise grain",
        Grain::Bias => "bias",
        Grain::Any => "grain in any direction",
    };
    let cause = format!("\"{name}\" cannot lie on a selvedge, cut with {grain}: {fault}.");
    Some(Problem::at(
        key,
        cause,
        "a hem lies along a selvedge where the cut has \"grain\": \"crosswise\"; draw the edge straight",
    ))
}
