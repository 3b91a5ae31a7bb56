//! New pieces from old, and pieces from measures.
//!
//! Everything here is a pure function from plain data to plain data, in millimetres.

mod allowance;
mod allowance_corner;

pub use allowance::{Corner, CutOutline, EdgeAllowance, cut_outline};
