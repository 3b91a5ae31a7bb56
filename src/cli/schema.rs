//! `ellwand schema`.

use super::{End, say};
use crate::error::Problems;
use crate::project;

/// Print the JSON Schema of the project file, with every key explained
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: ellwand schema > project.schema.json")]
pub(super) struct Arguments {}

pub(super) fn run(_: &Arguments) -> Result<End, Problems> {
    say(&format!("{:#}\n", project::schema()))?;
    Ok(End::Well)
}
