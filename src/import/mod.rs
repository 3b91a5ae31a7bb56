//! Pattern pieces from drawings: SVG and DXF.
//!
//! ```text
//! bytes -> Drawing (lines, marks, texts in mm, y up) -> closed lines, numbered -> those picked -> pieces -> project file
//! ```
//!
//! What is taken for what, where names or layers do not say it:
//!
//! - **A piece** is a closed line of 2 cm or more that lies in no other one. The edge of the sheet, the test square and
//!   lines drawn twice over are left out. Other closed lines can be picked.
//! - **A hole** is a closed line drawn in the same element as the outline around it, with less than half of its area.
//! - **The grain line** is the longest straight line that lies wholly inside, no shorter than a tenth of the piece. Its upper
//!   end on the paper points to the top of the garment; of a level line, its right-hand end. Without one, grain runs
//!   along the fold, else up the paper, and a note says so.
//! - **The fold** is the straight stretch of outline that a bracket inside points to (a long line with two short ones at
//!   right angles, as printed on patterns), or beside which a straight line named "fold" lies.
//! - **A dart** is a line of two straight legs from the outline to a corner inside. **A notch** is a line of at most 15 mm
//!   that touches the outline.
//! - **How many** comes from lettering such as "cut 2" or "quantity: 2" on the piece: an even number is half mirrored unless
//!   it says "alike". Nothing said: 1.

mod assemble;
mod closed;
mod drawing;
mod dxf;
mod join;
mod marks;
mod project_text;
mod square;
mod straight;
mod svg;
mod words;

use crate::error::{Place, Problem, Problems};
use crate::units::{Mm, Unit};

pub use assemble::{Imported, ImportedPiece, pieces};
pub use closed::{ClosedLine, Kind, Listing, listing};
pub use drawing::Drawing;
pub use marks::GrainRule;
pub use project_text::project_text;

/// The unit of a drawing's numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FileUnit {
    /// A unit of length.
    Length(Unit),
    /// A point of printing: 1/72 in.
    Point,
    /// A pixel: 1/96 in.
    Pixel,
}

impl FileUnit {
    /// Its size.
    pub fn mm(self) -> Mm {
        match self {
            Self::Length(unit) => unit.mm(),
            Self::Point => 25.4 / 72.0,
            Self::Pixel => 25.4 / 96.0,
        }
    }
}

/// How a drawing is to be read.
#[derive(Debug, Clone, PartialEq)]
pub struct Options {
    /// The unit of its numbers, where the file does not say or is not to be believed.
    pub units: Option<FileUnit>,
    /// How much larger the pieces are than drawn: 2 for a pattern at half scale.
    pub scale: f64,
    /// The size of the test square that is drawn on it, after scaling.
    pub square: Option<Mm>,
    /// The closed lines to take, by number, name, layer or colour; none for the outermost ones.
    pub pick: Vec<String>,
    /// The size to take, in a file that names sizes.
    pub size: Option<String>,
}

impl Default for Options {
    fn default() -> Self {
        Self { units: None, scale: 1.0, square: None, pick: Vec::new(), size: None }
    }
}

/// Reads a drawing, at its own scale times `options.scale`. Whether it is SVG or DXF is seen from its first bytes.
///
/// # Errors
/// A file that is neither, is damaged, does not say how large it is, or is more than can be worked on.
pub fn read(bytes: &[u8], file_name: &str, options: &Options) -> Result<Drawing, Problems> {
    let in_file = |mut problem: Problem| {
        if !problem.place.keys.starts_with("--") {
            problem.place = Place { file: file_name.to_owned(), ..problem.place };
        }
        vec![problem]
    };
    if !(options.scale.is_finite() && (1e-3..=1e3).contains(&options.scale)) {
        let cause = "The scale has to lie between 1/1000 and 1000.";
        return Err(vec![Problem::at("--scale", cause, "give 2 for a pattern drawn at half scale")]);
    }
    let start = bytes.iter().position(|byte| !byte.is_ascii_whitespace() && !b"\xef\xbb\xbf".contains(byte));
    let mut drawing = match start.map(|at| &bytes[at..]) {
        None => return Err(in_file(Problem::at("", "The file is empty.", "give an SVG or a DXF file"))),
        Some(rest) if rest.starts_with(b"<") => {
            let text = std::str::from_utf8(bytes).map_err(|_| in_file(not_utf8()))?;
            svg::read(text.trim_start_matches('\u{feff}').trim_start(), options.units).map_err(in_file)?
        }
        Some(rest) if rest[0].is_ascii_digit() => dxf::read(bytes, options.units).map_err(in_file)?,
        Some(rest) => return Err(in_file(neither(rest))),
    };
    join::join(&mut drawing);
    drawing.scale(options.scale);
    Ok(drawing)
}

fn not_utf8() -> Problem {
    let cause = "The drawing is not written in UTF-8.";
    Problem::at("", cause, "save it again as plain SVG")
}

fn neither(start: &[u8]) -> Problem {
    let (cause, hint) = if start.starts_with(b"%PDF") {
        ("The file is a PDF.", "turn it into SVG first, such as with pdftocairo -svg FILE.pdf FILE.svg")
    } else if start.starts_with(b"\x1f\x8b") {
        ("The file is a compressed drawing.", "unpack it first, such as with gunzip, or save it as plain SVG")
    } else if start.to_ascii_lowercase().windows(10).take(30).any(|w| w == b"binary dxf") {
        ("The file is DXF in its binary form.", "save it as text (ASCII) DXF")
    } else {
        ("The file is neither an SVG nor a DXF drawing.", "give an SVG or a DXF file")
    };
    Problem::at("", cause, hint)
}
