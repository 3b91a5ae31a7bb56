//! What is taken to the shop and pinned up by the table, as plain words: `html` writes them as a page, `leaves` sets them on
//! sheets.

use indexmap::IndexMap;

use super::table::lay_out;
use super::text::clean;
use super::{DisplayList, Paper, steps};
use crate::layout::{ClothPlan, Notes, PlanDocument, Ply};
use crate::units::{Rounding, amounts, both, cloth_width};

/// What a booklet is made of.
#[derive(Debug, Clone, Copy)]
pub struct Booklet<'a> {
    /// The plan.
    pub document: &'a PlanDocument,
    /// What there is to say about it.
    pub notes: &'a Notes,
    /// What is to be marked on every ply of a piece, by the piece's key.
    pub marks: &'a IndexMap<String, Marks>,
    /// Choices compared, a sentence each; empty where nothing was compared.
    pub compared: &'a [String],
    /// The drawing of each cloth, in the order of the plan.
    pub drawings: &'a [DisplayList],
    /// The paper to print on.
    pub paper: Paper,
}

/// What is marked on a ply before the pattern comes off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Marks {
    /// Notches on the piece as given.
    pub notches: usize,
    /// Darts on the piece as given.
    pub darts: usize,
}

/// A table of words.
pub(super) struct Grid {
    pub(super) heads: Vec<&'static str>,
    /// Columns that are figures, set to the right.
    pub(super) figures: Vec<bool>,
    pub(super) rows: Vec<Vec<String>>,
}

/// All that is said, in the order in which it is needed.
pub(super) struct Words {
    pub(super) title: String,
    pub(super) chosen: Option<String>,
    pub(super) buying: Grid,
    pub(super) below_buying: Vec<String>,
    pub(super) compared: Vec<String>,
    pub(super) work: Vec<String>,
    pub(super) cloths: Vec<ClothWords>,
    pub(super) cautions: &'static [&'static str],
}

/// What is said of one cloth.
pub(super) struct ClothWords {
    pub(super) name: String,
    /// In the order of work.
    pub(super) steps: Vec<String>,
    pub(super) cuts: Grid,
}

/// Common practice, no source, but for those that `trade-facts` names: grain (University of Kentucky CT-MMB.181).
const WORK: [&str; 6] = [
    "Read the care label of the cloth, then pre-wash and press it as you will wash the garment.",
    "Straighten the cut end, and see that the cloth lies square: selvedges parallel, nothing pulled askew.",
    "Lay the cloth as its drawing says, section by section; smooth it from the fold outwards.",
    "Lay out every piece of the drawing before you cut any. Both ends of each grain line are equally far from the selvedge.",
    "Weight or pin the pieces, count them against the list below, then cut round each; never cut an edge that lies on a fold.",
    "Mark notches, darts and dots on every ply before the pattern comes off, and tick the ply off.",
];

const CAUTIONS: [&str; 3] = [
    "The care label of the cloth and the makers' instructions of cloth, interfacing, iron and cutter come first.",
    "Rotary cutter: cover the blade whenever it is idle, cut away from yourself, on a mat, fingers off the edge of the ruler.",
    "Fusible interfacing: test it, and the pre-wash, on a scrap of the same cloth before you press a whole piece. An iron burns.",
];

/// Puts a booklet into words.
pub(super) fn words(booklet: &Booklet) -> Words {
    let document = booklet.document;
    let title = clean(&document.project);
    let chosen: Vec<String> =
        document.chosen.iter().map(|(choice, value)| format!("{}: {}", clean(choice), clean(value))).collect();
    let warnings =
        booklet.notes.cloths.iter().flat_map(|cloth| {
            cloth.warnings.iter().map(|warning| format!("{}: {}", clean(&cloth.cloth), clean(warning)))
        });
    Words {
        title: if title.is_empty() { "Cutting plan".to_owned() } else { title },
        chosen: (!chosen.is_empty()).then(|| chosen.join(", ")),
        buying: buying(document),
        below_buying: total(document).into_iter().chain(warnings).collect(),
        compared: booklet.compared.iter().map(|line| clean(line)).collect(),
        work: WORK.map(str::to_owned).to_vec(),
        cloths: document.cloths.iter().map(|cloth| cloth_words(booklet, cloth)).collect(),
        cautions: &CAUTIONS,
    }
}

fn buying(document: &PlanDocument) -> Grid {
    let has_cost = document.cloths.iter().any(|cloth| cloth.buy.cost.is_some());
    let row = |cloth: &ClothPlan| {
        let [metres, yards] = amounts(cloth.buy.length);
        let mut row = vec![clean(&cloth.label()), cloth_width(cloth.width)];
        row.extend(if cloth.in_hand.is_some() { ["in hand".to_owned(), "-".to_owned()] } else { [metres, yards] });
        if has_cost {
            row.push(cloth.buy.cost.map_or_else(|| "-".to_owned(), |cost| format!("{cost:.2}")));
        }
        row.extend([clean(&cloth.lay), both(cloth.length, Rounding::Nearest)]);
        row
    };
    let mut heads = vec!["cloth", "width", "buy", "or"];
    let mut figures = vec![false, false, true, true];
    if has_cost {
        heads.push("cost");
        figures.push(true);
    }
    heads.extend(["lay", "takes"]);
    figures.extend([false, true]);
    Grid { heads, figures, rows: document.cloths.iter().map(row).collect() }
}

/// The cost of all, where every cloth has one.
fn total(document: &PlanDocument) -> Option<String> {
    let costs: Option<Vec<f64>> = document.cloths.iter().map(|cloth| cloth.buy.cost).collect();
    costs.filter(|costs| costs.len() > 1).map(|costs| format!("All together: {:.2}", costs.iter().sum::<f64>()))
}

fn cloth_words(booklet: &Booklet, cloth: &ClothPlan) -> ClothWords {
    let mut cuts: IndexMap<&str, Vec<&Ply>> = IndexMap::new();
    for ply in &cloth.plies {
        cuts.entry(&ply.cut).or_default().push(ply);
    }
    let rows = cuts.iter().map(|(cut, plies)| {
        let marks = plies.first().and_then(|ply| booklet.marks.get(&ply.piece)).copied().unwrap_or_default();
        let piece = plies.first().map(|ply| clean(&ply.piece)).unwrap_or_default();
        vec![clean(cut), piece, plies.len().to_string(), how(plies), marked(marks, plies)]
    });
    ClothWords {
        name: clean(&cloth.label()),
        steps: steps::steps(&lay_out(booklet.document, cloth)),
        cuts: Grid {
            heads: vec!["cut", "pattern piece", "plies", "how", "mark on each ply"],
            figures: vec![false, false, true, false, false],
            rows: rows.collect(),
        },
    }
}

fn how(plies: &[&Ply]) -> String {
    let mirrored = plies.iter().filter(|ply| ply.mirrored).count();
    match (plies.iter().any(|ply| ply.across_fold), mirrored) {
        (true, _) => "whole: on the fold, or the half turned over".to_owned(),
        (false, 0) => "printed side up".to_owned(),
        (false, n) if n == plies.len() => "mirrored: printed side down".to_owned(),
        (false, n) => format!("{} printed side up, {n} mirrored", plies.len() - n),
    }
}

/// A ply that is cut whole from a half has every mark twice.
fn marked(marks: Marks, plies: &[&Ply]) -> String {
    let times = if plies.iter().any(|ply| ply.across_fold) { 2 } else { 1 };
    let count = |n: usize, word: &str| match n * times {
        0 => None,
        1 => Some(format!("1 {word}")),
        n if word.ends_with("ch") => Some(format!("{n} {word}es")),
        n => Some(format!("{n} {word}s")),
    };
    let parts: Vec<String> =
        [count(marks.notches, "notch"), count(marks.darts, "dart")].into_iter().flatten().collect();
    if parts.is_empty() { "-".to_owned() } else { parts.join(", ") }
}
