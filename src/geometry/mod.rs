//! Plane geometry in millimetres: points, shapes, transforms, curves.
//!
//! Coordinates are right-handed, angles counter-clockwise. Nothing here knows of cloth.

mod convex;
pub mod curve;
mod free;
pub(crate) mod line;
pub(crate) mod offset;
mod path_data;
pub mod ring;
mod ring_fault;
mod shape;
pub mod stitching;
pub mod symmetry;
mod transform;
mod winding;

pub use convex::{convex_difference, convex_parts, cross};
pub use free::{free_end, free_rectangle};
pub use path_data::path_data;
pub use ring_fault::self_contact;
pub use shape::{Bounds, Shape, ring_area, ring_bounds};
pub use transform::{Motion, Pose, normal_turn, sine_cosine};
pub use winding::wound_about;

/// A point or a vector, in millimetres.
pub type Point = geo::Coord<f64>;
