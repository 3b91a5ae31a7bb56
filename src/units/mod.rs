//! Lengths: parsing and printing in both systems.
//!
//! Inch, foot and yard are the international ones: 1 in = 25.4 mm, 1 ft = 0.3048 m, 1 yd = 0.9144 m, all exact
//! (NIST Special Publication 811, appendix B).

mod format;
mod parse;
mod words;

pub use format::{Rounding, amount, amounts, both, cloth_width, eighths, metric, yards_inches};
pub use parse::{LengthError, parse_coordinate, parse_length};
pub use words::words;

/// Millimetres.
pub type Mm = f64;

/// The longest length the program takes: a kilometre.
pub const LONGEST: Mm = 1.0e6;

/// A unit of length that a project may be written in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// Millimetre.
    Millimetre,
    /// Centimetre.
    Centimetre,
    /// Metre.
    Metre,
    /// Inch, exactly 25.4 mm.
    Inch,
    /// Foot, exactly 304.8 mm.
    Foot,
    /// Yard, exactly 914.4 mm.
    Yard,
}

impl Unit {
    /// Every unit, the metric ones first.
    pub const ALL: [Self; 6] = [Self::Millimetre, Self::Centimetre, Self::Metre, Self::Inch, Self::Foot, Self::Yard];

    /// Its symbol, as in the project file.
    pub fn symbol(self) -> &'static str {
        match self {
            Self::Millimetre => "mm",
            Self::Centimetre => "cm",
            Self::Metre => "m",
            Self::Inch => "in",
            Self::Foot => "ft",
            Self::Yard => "yd",
        }
    }

    /// How long one of it is, exactly.
    pub fn mm(self) -> Mm {
        self.tenths() / 10.0
    }

    /// A number of it in millimetres, rounded once only: twelve inches are as long as a foot to the last bit.
    pub fn times(self, number: f64) -> Mm {
        number * self.tenths() / 10.0
    }

    /// Tenths of a millimetre: whole numbers for every unit.
    fn tenths(self) -> f64 {
        match self {
            Self::Millimetre => 10.0,
            Self::Centimetre => 100.0,
            Self::Metre => 10_000.0,
            Self::Inch => 254.0,
            Self::Foot => 3048.0,
            Self::Yard => 9144.0,
        }
    }

    /// Millimetres, centimetres and metres are metric; inches, feet and yards are not.
    pub fn is_metric(self) -> bool {
        matches!(self, Self::Millimetre | Self::Centimetre | Self::Metre)
    }
}
