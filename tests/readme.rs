//! README.md: every command in it is run, its picture is there, its two set-up commands come first.

use std::fs;
use std::path::PathBuf;
use std::process::Command;

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn readme() -> String {
    fs::read_to_string(root().join("README.md")).expect("README.md")
}

/// The lines of every block marked `sh`.
fn commands() -> Vec<String> {
    let text = readme();
    let mut found = Vec::new();
    for block in text.split("```sh\n").skip(1) {
        let block = block.split("```").next().unwrap_or_default();
        found.extend(block.lines().filter(|line| !line.trim().is_empty()).map(str::to_owned));
    }
    found
}

#[test]
fn the_set_up_is_two_commands() {
    let commands = commands();
    assert_eq!(commands[0], "cargo run --release -- plan demo/pinafore/project.json");
    assert_eq!(commands[1], "cargo test");
}

#[test]
fn every_command_runs() {
    let folder = tempfile::tempdir().expect("a folder");
    std::os::unix::fs::symlink(root().join("demo"), folder.path().join("demo")).expect("a link");
    for line in commands() {
        // This test is what `cargo test` runs.
        if line == "cargo test" {
            continue;
        }
        let arguments = line.replace("cargo run --release -- ", "ellwand ");
        let arguments = arguments.strip_prefix("ellwand ").unwrap_or_else(|| panic!("{line}: not a command of ours"));
        // The effort asked for is run elsewhere: here only that the command is right.
        let plans =
            ["plan", "compare", "widths", "buy", "fit"].contains(&arguments.split(' ').next().unwrap_or_default());
        let hurried = if plans { " --seconds 0.5" } else { "" };
        let line = format!("'{}' {}", env!("CARGO_BIN_EXE_ellwand"), insert_before_redirect(arguments, hurried));
        let output = Command::new("sh").arg("-c").arg(&line).current_dir(folder.path()).output().expect("sh runs");
        assert!(output.status.success(), "{line}: {}", String::from_utf8_lossy(&output.stderr));
    }
}

fn insert_before_redirect(arguments: &str, more: &str) -> String {
    match arguments.split_once(" > ") {
        Some((before, after)) => format!("{before}{more} > {after}"),
        None => format!("{arguments}{more}"),
    }
}

#[test]
fn its_pictures_are_there() {
    let text = readme();
    let pictures: Vec<&str> =
        text.split("![").skip(1).filter_map(|rest| rest.split("](").nth(1)?.split(')').next()).collect();
    assert!(!pictures.is_empty());
    for picture in pictures {
        assert!(root().join(picture).is_file(), "{picture}");
    }
}
