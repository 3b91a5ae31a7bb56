//! The display list: what a drawing shows, as plain data that any exporter can write.
//!
//! Paper coordinates: millimetres, x to the right, y down, the origin at the upper left corner of the sheet.

use crate::geometry::{Point, Shape};

/// A drawing: one or more sheets of paper.
#[derive(Debug, Clone, PartialEq)]
pub struct DisplayList {
    /// What the drawing is of; never empty, free of control characters.
    pub title: String,
    /// The denominator of the scale: 10.0 for "1 : 10".
    pub scale: f64,
    /// The sheets, in order; at least one.
    pub sheets: Vec<Sheet>,
}

/// One sheet of paper.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// Width of the paper in mm.
    pub width: f64,
    /// Height of the paper in mm.
    pub height: f64,
    /// Everything that is drawn; later marks lie over earlier ones.
    pub marks: Vec<Mark>,
    /// What lies where, for exporters that let a placement be picked; already drawn by `marks`.
    pub placements: Vec<Placed>,
}

/// Something drawn.
#[derive(Debug, Clone, PartialEq)]
pub enum Mark {
    /// Lines and areas.
    Path(Path),
    /// One line of text.
    Text(Text),
}

/// Lines or areas drawn alike.
#[derive(Debug, Clone, PartialEq)]
pub struct Path {
    /// The lines; areas are filled by the even-odd rule.
    pub lines: Vec<Line>,
    /// How the lines are drawn; none for an area without an outline.
    pub stroke: Option<Stroke>,
    /// What the closed lines are filled with.
    pub fill: Option<Tone>,
    /// What it is, in words, where that helps a reader who cannot see it.
    pub title: Option<String>,
}

/// A polyline.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Its points, in mm on paper.
    pub points: Vec<Point>,
    /// The last point is joined to the first.
    pub closed: bool,
}

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stroke {
    /// Its width in mm.
    pub width: f64,
    /// Its tone.
    pub tone: Tone,
    /// Dash and gap in mm; none for a full line.
    pub dash: Option<[f64; 2]>,
}

/// A grey: 0.0 is black, 1.0 is white.
pub type Tone = f64;

/// One line of text in a box known beforehand.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    /// What is written; free of control characters.
    pub content: String,
    /// The whole of it, where `content` had to be shortened.
    pub full: Option<String>,
    /// The box that it does not leave.
    pub frame: Frame,
    /// Where in the box it stands.
    pub anchor: Anchor,
    /// Type size in mm (1 pt is 25.4/72 mm).
    pub size: f64,
    /// Heavy type.
    pub bold: bool,
}

/// Where text stands in its box.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// At the left.
    Start,
    /// In the middle.
    Middle,
    /// At the right.
    End,
}

/// A rectangle, perhaps turned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    /// Its centre.
    pub centre: Point,
    /// Half its extent along its own x.
    pub half_width: f64,
    /// Half its extent along its own y.
    pub half_height: f64,
    /// Degrees it is turned, clockwise as seen on paper.
    pub turn: f64,
}

/// A placement as drawn: one cut of the scissors, which gives one ply, or two where the cloth is doubled.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed {
    /// The cut's name in full, as in the plan.
    pub cut: String,
    /// The numbers of the plies that it gives, within the cut.
    pub numbers: Vec<usize>,
    /// The part of it that this sheet shows, in mm on paper.
    pub shape: Shape,
    /// Where its label lies.
    pub label: LabelPlace,
    /// Tail and head of its grain arrow, where it is drawn inside the piece.
    pub grain: Option<[Point; 2]>,
}

/// Where the label of a placement lies.
#[derive(Debug, Clone, PartialEq)]
pub enum LabelPlace {
    /// Inside the piece.
    Inside(Frame),
    /// Outside, joined to the piece by a line from the label to a point inside the piece.
    Leader {
        /// The label's box.
        frame: Frame,
        /// From the label to the piece.
        line: [Point; 2],
    },
    /// There is no room on this sheet: described in words in the list at the end of the drawing.
    Listed,
    /// The greater part of the piece is drawn elsewhere, and labelled there.
    Elsewhere,
}

impl Frame {
    /// An upright rectangle from its left, top, width and height.
    pub fn upright(left: f64, top: f64, width: f64, height: f64) -> Self {
        Self {
            centre: Point { x: left + width / 2.0, y: top + height / 2.0 },
            half_width: width / 2.0,
            half_height: height / 2.0,
            turn: 0.0,
        }
    }

    /// The unit vectors of its own x and y.
    pub fn axes(&self) -> (Point, Point) {
        let (sine, cosine) = crate::geometry::sine_cosine(self.turn);
        (Point { x: cosine, y: sine }, Point { x: -sine, y: cosine })
    }

    /// A point given along its own axes, from its centre.
    pub fn at(&self, along: f64, down: f64) -> Point {
        let (u, v) = self.axes();
        self.centre + u * along + v * down
    }

    /// Its corners, clockwise on paper from the upper left.
    pub fn corners(&self) -> [Point; 4] {
        let (w, h) = (self.half_width, self.half_height);
        [self.at(-w, -h), self.at(w, -h), self.at(w, h), self.at(-w, h)]
    }

    /// Larger by `by` on every side.
    #[must_use]
    pub fn grown(mut self, by: f64) -> Self {
        self.half_width += by;
        self.half_height += by;
        self
    }
}
