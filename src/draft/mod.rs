//! New pieces from old, and pieces from measures: the band out of a bodice, linings, interfacings, facings, pieces split,
//! joined, lengthened; allowance added; circle skirts, ties and what else is cut by measurement.
//!
//! Everything here is a pure function from plain data to plain data, in millimetres. A draft from other pieces works on
//! their stitching lines, adds the allowance again, and comes with its proof: what had to come out, what did, and by how much
//! the two may differ. A draft whose proof fails is a problem, never a silent result.

mod allowance;
mod allowance_corner;
mod allowance_piece;
mod band;
mod band_line;
mod band_pieces;
mod band_proof;
mod cut;
mod darts;
mod net;
mod net_sides;
mod proof;
mod shapes;
mod shapes_counted;
mod shapes_sector;
mod split;
mod strip;
mod turn;
mod whole;

pub use allowance::{Corner, CutOutline, EdgeAllowance, cut_outline};
pub use allowance_piece::{Added, add_allowance};
pub use band::{BandOptions, BandPart, band};
pub use darts::FAIRING;
pub use proof::{Drafted, Measure, Proof, TRUING};
pub use shapes::{Measured, Rectangle, Tie, TieEnd, Trapezium, patch_pocket, rectangle, tie, trapezium};
pub use shapes_counted::{BiasStrips, Tier, bias_square, bias_strips, gathered_tier, matched_drop, widths_needed};
pub use shapes_sector::{CirclePart, CircleSkirt, CurvedBand, Gore, circle_skirt, curved_band, gore};
pub use split::{join, length, split};
pub use strip::{Lining, Strip, facing, interfacing, lining};
pub use whole::{blend, mirror};
