//! A project with everything looked up, in millimetres: what the rest of the program works on.

use indexmap::IndexMap;

use crate::draft::Proof;
use crate::geometry::{Point, Shape};
use crate::piece::Piece;
use crate::units::{Mm, Unit};

/// A garment to be planned.
#[derive(Debug, Clone)]
pub struct Project {
    /// Its name.
    pub name: String,
    /// The unit of bare numbers in its file.
    pub unit: Unit,
    /// Its cloths by key, in the order of the file.
    pub cloths: IndexMap<String, Cloth>,
    /// Its pieces by key, those that drafts made last.
    pub pieces: IndexMap<String, Piece>,
    /// The proofs of each draft, by the draft's key; all of them hold.
    pub drafts: IndexMap<String, Vec<Proof>>,
    /// What to cut, by key; every piece and cloth named exists.
    pub cuts: IndexMap<String, Cut>,
    /// What else to buy, by key.
    pub notions: IndexMap<String, Notion>,
    /// Edges that are sewn together.
    pub seams: Vec<Seam>,
    /// Points that lie alike on a print, by the name of the match.
    pub matches: IndexMap<String, Match>,
    /// What was chosen for each choice.
    pub chosen: IndexMap<String, String>,
}

/// A cloth that is bought by length.
#[derive(Debug, Clone, PartialEq)]
pub struct Cloth {
    /// What it is, e.g. "brushed twill, navy".
    pub name: String,
    /// Nominal width.
    pub width: Mm,
    /// Width of each selvedge.
    pub selvedge: Mm,
    /// Looks different upside down: all tops point one way.
    pub nap: bool,
    /// Has a right side; false when both faces are alike, so mirroring is free.
    pub right_side: bool,
    /// Share of the length lost in washing, 0 <= s < 1.
    pub shrinkage_length: f64,
    /// Share of the width lost in washing, 0 <= s < 1.
    pub shrinkage_width: f64,
    /// The step in which shops sell it.
    pub sold_by: Mm,
    /// Price of a metre, where given.
    pub price_per_metre: Option<f64>,
    /// Extra length for straightening the ends.
    pub ends: Mm,
    /// Least distance between pieces.
    pub gap: Mm,
    /// The lays to try.
    pub lays: Lays,
    /// Lengths of it that are in hand, to be cut from before any is bought.
    pub have: Vec<HaveLength>,
    /// Where its border print runs.
    pub border: BorderAt,
    /// How its print repeats, as bought.
    pub print: Option<Print>,
}

/// How a print repeats.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Print {
    /// From one motif to the next along the cloth, where it repeats along it.
    pub repeat_length: Option<Mm>,
    /// From one motif to the next across the cloth, where it repeats across it.
    pub repeat_width: Option<Mm>,
    /// From the inner edge of the first selvedge to the middle of a motif.
    pub middle: Mm,
}

impl Cloth {
    /// Width between the selvedges after shrinking.
    pub fn usable_width(&self) -> Mm {
        (self.width - 2.0 * self.selvedge) * (1.0 - self.shrinkage_width)
    }

    /// How its print repeats on the table, after shrinking.
    pub fn print_on_table(&self) -> Option<Print> {
        self.print.map(|print| Print {
            repeat_length: print.repeat_length.map(|mm| mm * (1.0 - self.shrinkage_length)),
            repeat_width: print.repeat_width.map(|mm| mm * (1.0 - self.shrinkage_width)),
            middle: print.middle * (1.0 - self.shrinkage_width),
        })
    }
}

impl Cloth {
    /// The cloth as one of its lengths in hand is: as wide as that, and shrunk already where it has been washed.
    #[must_use]
    pub fn as_in_hand(&self, have: &HaveLength) -> Self {
        let shrinks = |share: f64| if have.washed { 0.0 } else { share };
        Self {
            width: have.width,
            shrinkage_length: shrinks(self.shrinkage_length),
            shrinkage_width: shrinks(self.shrinkage_width),
            // The print shrank with it.
            print: if have.washed { self.print_on_table() } else { self.print },
            have: Vec::new(),
            ..self.clone()
        }
    }

    /// What a length of it as it lies there, or in the shop, gives on the table: shrunk, its ends straightened.
    pub fn on_table(&self, length: Mm) -> Mm {
        (length * (1.0 - self.shrinkage_length) - self.ends).max(0.0)
    }

    /// A flaw as it lies on the table: x from where the length begins once half of `ends` is off, y from the edge of the
    /// usable width. None where it lies wholly in what is not cut from.
    pub fn flaw_on_table(&self, flaw: &Flaw, length: Mm) -> Option<Flaw> {
        let place = |p: &Point| Point {
            x: p.x * (1.0 - self.shrinkage_length) - self.ends / 2.0,
            y: (p.y - self.selvedge) * (1.0 - self.shrinkage_width),
        };
        let shape = Shape::new(flaw.shape.outline.iter().map(place).collect(), Vec::new());
        let bounds = shape.bounds();
        let inside = bounds.max.x > 0.0
            && bounds.min.x < self.on_table(length)
            && bounds.max.y > 0.0
            && bounds.min.y < self.usable_width();
        inside.then(|| Flaw { name: flaw.name.clone(), shape })
    }
}

/// A length of a cloth that is in hand.
#[derive(Debug, Clone, PartialEq)]
pub struct HaveLength {
    /// What it is called, where it has a name.
    pub name: Option<String>,
    /// Its length as it lies there.
    pub length: Mm,
    /// Its width from selvedge to selvedge.
    pub width: Mm,
    /// It has been washed and shrinks no more.
    pub washed: bool,
    /// Places that nothing may be cut from.
    pub flaws: Vec<Flaw>,
}

/// A hole, stain or fault in a length of cloth.
#[derive(Debug, Clone, PartialEq)]
pub struct Flaw {
    /// What it is.
    pub name: String,
    /// Where it is: x from the first end, y from the outer edge of the first selvedge, both as the cloth lies there.
    pub shape: Shape,
}

/// Where the border print of a cloth runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum BorderAt {
    /// Along the first selvedge, y = 0.
    #[default]
    First,
    /// Along both.
    Both,
}

/// Which lays to try for a cloth.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Lays {
    /// Every kind; the one that needs least is taken.
    Best,
    /// Only these kinds, at least one.
    These(Vec<LayKind>),
}

/// A way for cloth to lie on the table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum LayKind {
    /// Single, right side up.
    Open,
    /// Folded along its middle, selvedges together, right sides together.
    LengthwiseFold,
    /// One selvedge folded in, the rest single.
    PartialFold,
    /// Both selvedges folded in.
    DoubleFold,
    /// Folded across, the cut ends together.
    CrosswiseFold,
    /// Cut across, one half turned round and laid on the other: for cloth with nap, which may not be folded across.
    CutAndTurned,
}

impl LayKind {
    /// Every kind, in the order they are tried.
    pub const ALL: [Self; 6] = [
        Self::Open,
        Self::LengthwiseFold,
        Self::PartialFold,
        Self::DoubleFold,
        Self::CrosswiseFold,
        Self::CutAndTurned,
    ];

    /// The trade's word for it, as in both file formats.
    pub fn name(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::LengthwiseFold => "lengthwise fold",
            Self::PartialFold => "partial fold",
            Self::DoubleFold => "double fold",
            Self::CrosswiseFold => "crosswise fold",
            Self::CutAndTurned => "crosswise cut and turned",
        }
    }
}

/// An instruction to cut.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    /// The piece's key.
    pub piece: String,
    /// The cloth's key.
    pub cloth: String,
    /// How many, at least 1.
    pub count: usize,
    /// Half of them mirrored.
    pub mirrored: bool,
    /// The piece's fold edge lies on a fold: the ply is the piece and its mirror image in one.
    pub on_fold: bool,
    /// Each is cut this many times over, at least 1.
    pub layers: usize,
    /// How it lies to the cloth's grain.
    pub grain: Grain,
    /// Degrees off grain allowed, 0 <= tilt < 45.
    pub tilt: f64,
    /// The kind of lay that this cut must lie on.
    pub lay: Option<LayKind>,
    /// The edge of the piece that lies on a selvedge, by its name.
    pub border: Option<String>,
    /// How much it matters that it is cut, 0 to 100: what matters least is left over first.
    pub priority: u8,
}

/// How a cut's grain line lies to the cloth.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Grain {
    /// Parallel to the selvedge.
    Lengthwise,
    /// Across the cloth.
    Crosswise,
    /// At 45 degrees to the selvedge.
    Bias,
    /// Whichever way is best.
    Any,
}

/// Something to buy that is not cloth: buttons, thread, a zip.
#[derive(Debug, Clone, PartialEq)]
pub struct Notion {
    /// What it is.
    pub name: String,
    /// How many are needed, at least 1.
    pub count: usize,
    /// How many more to buy in case.
    pub spare: usize,
    /// The length of each, as of a zip.
    pub length: Option<Mm>,
    /// The diameter of a button.
    pub diameter: Option<Mm>,
    /// The price of one.
    pub price: Option<f64>,
    /// Where they go along an opening.
    pub spacing: Option<Spacing>,
}

/// Where buttons go along an opening: one is fixed, the rest stand at equal gaps up and down.
#[derive(Debug, Clone, PartialEq)]
pub struct Spacing {
    /// From the upper end of the opening to its lower end.
    pub opening: Mm,
    /// From one button to the next.
    pub gap: Mm,
    /// Which of them is the fixed one, counted from 0.
    pub fixed: usize,
    /// From the upper end of the opening to each.
    pub places: Vec<Mm>,
}

/// Two edges that are sewn together, each as (piece, edge); both exist.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Seam {
    /// One edge.
    pub one: (String, String),
    /// The other.
    pub other: (String, String),
}

/// Points of cuts that lie at the same place of a print; all are cut from one cloth, lengthwise and without tilt.
#[derive(Debug, Clone, PartialEq)]
pub struct Match {
    /// The cloth's key; it repeats along where `along` is given, across where `across` is.
    pub cloth: String,
    /// The points, at least one.
    pub points: Vec<MatchedPoint>,
    /// Where they lie along the cloth.
    pub along: Option<Hold>,
    /// Where they lie across the cloth.
    pub across: Option<Hold>,
}

/// A point that is matched.
#[derive(Debug, Clone, PartialEq)]
pub struct MatchedPoint {
    /// The cut's key.
    pub cut: String,
    /// The point's name in its piece.
    pub name: String,
    /// Where it lies on the piece, taken in to the stitching line.
    pub at: Point,
}

/// Where in a repeat matched points lie.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hold {
    /// At the same place of it, whichever that is.
    Alike,
    /// On the middle of a motif.
    Middle,
    /// Halfway between two middles.
    Between,
}

impl Hold {
    /// Its word in both file formats.
    pub fn name(self) -> &'static str {
        match self {
            Self::Alike => "alike",
            Self::Middle => "middle",
            Self::Between => "between",
        }
    }
}
