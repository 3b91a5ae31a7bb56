//! The `ellwand` command.

fn main() -> std::process::ExitCode {
    ellwand::cli::main()
}
