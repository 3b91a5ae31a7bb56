//! Lengths: parsing and printing in both systems.

/// Millimetres.
pub type Mm = f64;

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
