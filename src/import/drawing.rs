//! A drawing as it comes from a file, whatever its format: lines, marks and texts in millimetres, x right, y up.

use indexmap::IndexMap;
use kurbo::{Affine, BezPath, PathEl, Point as CurvePoint};

use crate::geometry::{Bounds, Point};
use crate::units::Mm;

/// Ends of open lines this close to each other are one place, in mm on the paper.
pub(super) const JOIN: Mm = 0.1;

/// A drawing may have this many lines.
pub(super) const MOST_LINES: usize = 100_000;

/// All lines of a drawing together may have this many points and curves.
pub(super) const MOST_SEGMENTS: usize = 2_000_000;

/// What a line is for, as its name or layer says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Role {
    /// The cut outline.
    Outline,
    /// A cut-out.
    Hole,
    /// The grain line.
    Grain,
    /// Where the piece is its own mirror image.
    Fold,
    /// A mark at the cut edge.
    Notch,
    /// The legs of a dart.
    Dart,
    /// The stitching line.
    Stitching,
    /// Something that is not looked at.
    Other,
}

/// One element of the file. All the lines it draws belong together.
#[derive(Debug, Clone, Default)]
pub(super) struct Element {
    /// Its id, title or label; the one meant for people last.
    pub(super) names: Vec<String>,
    /// The groups or layers it is in, the outermost first.
    pub(super) layers: Vec<String>,
    /// The colour of its line as `#rrggbb`, where it has one.
    pub(super) stroke: Option<String>,
    /// What it is for.
    pub(super) role: Option<Role>,
    /// The block it belongs to: lines of different blocks have nothing to do with each other.
    pub(super) block: usize,
    /// What this program's own export says of the piece.
    pub(super) known: Option<Known>,
}

/// What a drawing cannot show, as this program's own export writes it.
#[derive(Debug, Clone, Default)]
pub(super) struct Known {
    /// Named points.
    pub(super) points: IndexMap<String, Point>,
    /// Edges by name: the names of their points.
    pub(super) edges: IndexMap<String, Vec<String>>,
    /// The edge on the fold.
    pub(super) fold: Option<String>,
    /// Allowance included, in mm at the drawing's scale.
    pub(super) included: Mm,
    /// Allowance of single edges, in mm at the drawing's scale.
    pub(super) allowances: IndexMap<String, Mm>,
}

/// One stretch drawn without lifting the pen.
#[derive(Debug, Clone)]
pub(super) struct Line {
    pub(super) path: BezPath,
    /// Its element's place in [`Drawing::elements`].
    pub(super) element: usize,
}

/// A single place that is marked.
#[derive(Debug, Clone)]
pub(super) struct Mark {
    pub(super) at: Point,
    pub(super) role: Role,
    pub(super) block: usize,
}

/// Lettering.
#[derive(Debug, Clone)]
pub(super) struct Text {
    pub(super) content: String,
    pub(super) at: Point,
    pub(super) block: usize,
}

/// A piece's own drawing within the file.
#[derive(Debug, Clone, Default)]
pub(super) struct Block {
    pub(super) name: String,
    pub(super) size: Option<String>,
}

/// A drawing read from a file, before anything in it is taken for a piece.
#[derive(Debug, Clone, Default)]
pub struct Drawing {
    pub(super) elements: Vec<Element>,
    pub(super) lines: Vec<Line>,
    pub(super) marks: Vec<Mark>,
    pub(super) texts: Vec<Text>,
    /// The sheet of paper, where there is one.
    pub(super) page: Option<Bounds>,
    /// One for each piece in formats that part them; a single one of no name otherwise.
    pub(super) blocks: Vec<Block>,
    /// What was passed over, for people.
    pub(super) notes: Vec<String>,
    pub(super) segments: usize,
}

impl Drawing {
    /// Adds what an element draws, parted into stretches. False when the drawing has become too large.
    pub(super) fn add(&mut self, path: &BezPath, element: Element) -> bool {
        let at = self.elements.len();
        let before = self.lines.len();
        self.lines.extend(stretches(path).into_iter().map(|path| Line { path, element: at }));
        if self.lines.len() > before {
            self.elements.push(element);
        }
        self.segments += path.elements().len();
        self.lines.len() <= MOST_LINES && self.segments <= MOST_SEGMENTS
    }

    /// The element that drew a line.
    pub(super) fn element_of(&self, line: &Line) -> &Element {
        &self.elements[line.element]
    }

    /// Notes something once.
    pub(super) fn note(&mut self, note: impl Into<String>) {
        let note = note.into();
        if self.notes.len() < 50 && !self.notes.contains(&note) {
            self.notes.push(note);
        }
    }

    /// Everything enlarged about the origin.
    pub(super) fn scale(&mut self, by: f64) {
        let larger = Affine::scale(by);
        for line in &mut self.lines {
            line.path.apply_affine(larger);
        }
        for place in self.marks.iter_mut().map(|m| &mut m.at).chain(self.texts.iter_mut().map(|t| &mut t.at)) {
            *place = *place * by;
        }
        for known in self.elements.iter_mut().filter_map(|element| element.known.as_mut()) {
            known.points.values_mut().for_each(|point| *point = *point * by);
            known.included *= by;
            known.allowances.values_mut().for_each(|allowance| *allowance *= by);
        }
        if let Some(page) = &mut self.page {
            (page.min, page.max) = (page.min * by, page.max * by);
        }
    }
}

/// The stretches of a path, those without length left out. A stretch that ends where it began is closed.
fn stretches(path: &BezPath) -> Vec<BezPath> {
    let mut found: Vec<BezPath> = Vec::new();
    let mut current = BezPath::new();
    let mut start = CurvePoint::ZERO;
    for &element in path.elements() {
        match element {
            PathEl::MoveTo(p) => {
                found.push(std::mem::take(&mut current));
                current.push(element);
                start = p;
            }
            PathEl::ClosePath => {
                current.push(element);
                found.push(std::mem::take(&mut current));
            }
            _ => {
                // Drawing on after closing begins where the closed stretch began.
                if current.elements().is_empty() {
                    current.move_to(start);
                }
                current.push(element);
            }
        }
    }
    found.push(current);
    found.into_iter().filter_map(|stretch| tidy(&stretch)).collect()
}

/// A stretch without steps of no length, closed with `Z` alone where it ends where it began; none where nothing is left.
pub(super) fn tidy(stretch: &BezPath) -> Option<BezPath> {
    let Some(PathEl::MoveTo(start)) = stretch.elements().first().copied() else {
        return None;
    };
    let mut out = vec![PathEl::MoveTo(start)];
    let (mut at, mut closed) = (start, false);
    for &element in &stretch.elements()[1..] {
        match element {
            PathEl::ClosePath => closed = true,
            PathEl::LineTo(p) if p.distance(at) <= 1e-9 => {}
            _ => {
                at = element.end_point().unwrap_or(at);
                out.push(element);
            }
        }
    }
    let is_a_point = out.len() < 2;
    if !is_a_point && out.len() > 2 && at.distance(start) <= JOIN {
        closed = true;
        match out.last_mut() {
            // The closing line itself: Z draws it.
            Some(PathEl::LineTo(_)) if at.distance(start) <= 1e-6 => {
                out.pop();
            }
            Some(PathEl::LineTo(p) | PathEl::QuadTo(_, p) | PathEl::CurveTo(_, _, p)) => *p = start,
            _ => {}
        }
    }
    if closed {
        out.push(PathEl::ClosePath);
    }
    (!is_a_point).then(|| BezPath::from_vec(out))
}

/// Whether a tidy stretch is closed.
pub(super) fn is_closed(path: &BezPath) -> bool {
    path.elements().last() == Some(&PathEl::ClosePath)
}

/// Both ends of an open stretch.
pub(super) fn ends(path: &BezPath) -> Option<[CurvePoint; 2]> {
    let first = path.elements().first()?.end_point()?;
    let last = path.elements().last()?.end_point()?;
    Some([first, last])
}

/// The sheet as bounds.
pub(super) fn sheet(width: Mm, height: Mm) -> Bounds {
    Bounds { min: Point { x: 0.0, y: 0.0 }, max: Point { x: width, y: height } }
}
