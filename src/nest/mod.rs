//! Strip packing of irregular shapes, ignorant of garments.

mod problem;

pub use problem::{Band, Item, Problem};
