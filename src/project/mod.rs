//! The project file: its schema, its choices, and what they resolve to.

mod resolved;

pub use resolved::{Cloth, Cut, Grain, LayKind, Lays, Project, Seam};
