//! What a draft gives back: pieces, and the proof that they are right.

use crate::error::{Problem, Problems};
use crate::piece::Piece;
use crate::units::{Mm, Rounding, both};

/// Seam lengths match when they differ by no more than this, in mm: 1/16 in, the truing tolerance of Threads 200 (2018).
pub const TRUING: Mm = 25.4 / 16.0;

/// What a proof measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Measure {
    /// Millimetres.
    Length,
    /// Square millimetres.
    Area,
    /// Degrees.
    Angle,
    /// How many.
    Count,
}

/// One thing that must come out of a draft, and what did.
#[derive(Debug, Clone, PartialEq)]
pub struct Proof {
    /// What was measured, such as "band front, lower edge = waist less darts".
    pub what: String,
    /// In which unit.
    pub measure: Measure,
    /// What it must be.
    pub expected: f64,
    /// What it is, measured on the finished piece.
    pub found: f64,
    /// By how much the two may differ.
    pub tolerance: f64,
}

impl Proof {
    /// Whether it holds; never where something is not a number.
    pub fn holds(&self) -> bool {
        (self.expected - self.found).abs() <= self.tolerance
    }

    /// The proof as a line for people: both amounts and the difference.
    pub fn in_words(&self) -> String {
        let amount = |value: f64| match self.measure {
            Measure::Length => both(value, Rounding::Nearest),
            Measure::Area => format!("{:.2} cm2 ({:.2} sq in)", value / 100.0, value / 645.16),
            Measure::Angle => format!("{value:.2} degrees"),
            Measure::Count => format!("{value}"),
        };
        let apart = (self.expected - self.found).abs();
        let difference = match self.measure {
            Measure::Length => format!("{apart:.2} mm"),
            Measure::Area => format!("{apart:.1} mm2"),
            Measure::Angle => format!("{apart:.2} degrees"),
            Measure::Count => format!("{apart}"),
        };
        format!("{}: {} to {}, {difference} apart", self.what, amount(self.expected), amount(self.found))
    }

    pub(super) fn length(what: impl Into<String>, expected: Mm, found: Mm) -> Self {
        Self { what: what.into(), measure: Measure::Length, expected, found, tolerance: TRUING }
    }

    pub(super) fn area(what: impl Into<String>, expected: f64, found: f64, tolerance: f64) -> Self {
        Self { what: what.into(), measure: Measure::Area, expected, found, tolerance }
    }

    pub(super) fn count(what: impl Into<String>, expected: usize, found: usize) -> Self {
        let (expected, found) = (expected as f64, found as f64);
        Self { what: what.into(), measure: Measure::Count, expected, found, tolerance: 0.0 }
    }

    pub(super) fn angle(what: impl Into<String>, expected: f64, found: f64) -> Self {
        Self { what: what.into(), measure: Measure::Angle, expected, found, tolerance: 0.1 }
    }
}

/// The new pieces of a draft and the proof that they are right.
#[derive(Debug, Clone, Default)]
pub struct Drafted {
    /// The new pieces.
    pub pieces: Vec<Piece>,
    /// Everything that was held against them.
    pub proofs: Vec<Proof>,
}

impl Drafted {
    /// The draft, where every proof of it holds.
    ///
    /// # Errors
    /// Each proof that fails.
    pub(super) fn proved(self) -> Result<Self, Problems> {
        let failed: Problems = self
            .proofs
            .iter()
            .filter(|proof| !proof.holds())
            .map(|proof| {
                let cause = format!("The draft does not come out true: {}.", proof.in_words());
                Problem::at("", cause, "check the pattern's stitching lines, darts and allowances there")
            })
            .collect();
        if failed.is_empty() { Ok(self) } else { Err(failed) }
    }
}
