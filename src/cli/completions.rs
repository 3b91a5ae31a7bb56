//! `ellwand completions`.

use clap::CommandFactory;
use clap_complete::Shell;

use super::{End, say};
use crate::error::Problems;

/// Print what makes a shell complete commands and options
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Example: ellwand completions bash > ellwand.bash\n\nThen, for bash, `source ellwand.bash`; for zsh save it \
                        as _ellwand in a folder of $fpath; for fish in ~/.config/fish/completions."
)]
pub(super) struct Arguments {
    /// The shell
    shell: Shell,
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Problems> {
    let mut command = super::Arguments::command();
    let mut script = Vec::new();
    clap_complete::generate(arguments.shell, &mut command, "ellwand", &mut script);
    say(&String::from_utf8_lossy(&script))?;
    Ok(End::Well)
}
