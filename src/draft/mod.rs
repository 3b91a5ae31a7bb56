//! New pieces from old: the band out of a bodice, linings, interfacings, facings, pieces split, joined, lengthened.
//!
//! Every draft works on the stitching lines, adds the allowance again, and comes with its proof: what had to come out, what
//! did, and by how much the two may differ. A draft whose proof fails is a problem, never a silent result.

mod band;
mod band_proof;
mod cut;
mod darts;
mod line;
mod net;
mod offset;
mod proof;
mod split;
mod strip;
mod turn;
mod whole;

pub use band::{BandOptions, BandPart, band};
pub use darts::FAIRING;
pub use proof::{Drafted, Measure, Proof, TRUING};
pub use split::{join, length, split};
pub use strip::{Lining, Strip, facing, interfacing, lining};
pub use whole::{blend, mirror};
