//! New pieces from old, and pieces from measures.
//!
//! Everything here is a pure function from plain data to plain data, in millimetres.

mod allowance;
mod allowance_corner;
mod allowance_piece;
mod shapes;
mod shapes_counted;
mod shapes_sector;

pub use allowance::{Corner, CutOutline, EdgeAllowance, cut_outline};
pub use allowance_piece::{Added, add_allowance};
pub use shapes::{Measured, Rectangle, Tie, TieEnd, Trapezium, patch_pocket, rectangle, tie, trapezium};
pub use shapes_counted::{BiasStrips, Tier, bias_square, bias_strips, gathered_tier, matched_drop, widths_needed};
pub use shapes_sector::{CirclePart, CircleSkirt, CurvedBand, Gore, circle_skirt, curved_band, gore};
