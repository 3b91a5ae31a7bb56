//! Ellwand answers the question that comes before cutting: how much of each cloth, laid out how?
//!
//! ```text
//! project file -> project -> pieces -> cut list -> lays -> nest -> layout -> check -> report, draw
//! ```
//!
//! Each arrow is a pure function from one plain struct to the next. Only [`cli`] prints, reads arguments, touches files,
//! shows progress or handles Ctrl-C. Inside the program lengths are millimetres and angles degrees; cloth coordinates
//! have x along the length (the warp) and y across the width, seen from the right side of the cloth.

pub mod check;
pub mod cli;
pub mod cut_list;
pub mod draft;
pub mod draw;
pub mod error;
pub mod geometry;
pub mod lay;
pub mod layout;
pub mod nest;
pub mod piece;
pub mod plan;
pub mod project;
pub mod report;
pub mod units;
