//! The drawings in `layouts/` are what the program draws today.
//!
//! After a change that is meant: `ELLWAND_REFRESH=1 cargo test --test reference_layouts`, and look at each.

use std::fs;
use std::path::PathBuf;
use std::process::Command;

#[test]
fn pinafore() {
    matches_reference("pinafore", "pinafore", &[], 4);
}

#[test]
fn pinafore_single_band() {
    matches_reference("pinafore", "pinafore-single-band", &["--choose", "band=single"], 4);
}

#[test]
fn check_skirt() {
    matches_reference("check-skirt", "check-skirt", &[], 2);
}

#[test]
fn apron_from_remnants() {
    matches_reference("apron-remnants", "apron-remnants", &[], 2);
}

#[test]
fn apron_at_half_scale() {
    matches_reference("half-scale", "half-scale", &[], 1);
}

/// Plans a demo at "quick", the same on any machine, and compares (or refreshes) its drawings.
fn matches_reference(demo: &str, name: &str, choose: &[&str], drawings: usize) {
    let root = PathBuf::from(env!("CARGO_MANIFEST_DIR"));
    let reference = root.join("layouts").join(name);
    let drawn = tempfile::tempdir().expect("a folder");
    let output = Command::new(env!("CARGO_BIN_EXE_ellwand"))
        .current_dir(&root)
        .args(["plan", &format!("demo/{demo}/project.json"), "--effort", "quick", "--out"])
        .arg(drawn.path())
        .args(choose)
        .output()
        .expect("the program runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let all = fs::read_dir(drawn.path()).expect("drawings").map(|entry| entry.expect("an entry").file_name());
    // The sheets hold the same drawings again.
    let mut names: Vec<_> = all.filter(|name| name.to_string_lossy().ends_with(".svg")).collect();
    names.sort();
    assert_eq!(names.len(), drawings);
    if std::env::var_os("ELLWAND_REFRESH").is_some() {
        fs::create_dir_all(&reference).expect("a folder");
        for name in &names {
            fs::copy(drawn.path().join(name), reference.join(name)).expect("refreshed");
        }
    }
    for name in &names {
        let (new, old) = (fs::read(drawn.path().join(name)), fs::read(reference.join(name)));
        assert!(
            new.expect("drawn") == old.expect("a reference drawing"),
            "{} differs from what is drawn",
            name.display()
        );
        assert_amounts_whole(&fs::read_to_string(drawn.path().join(name)).expect("text"));
    }
    let kept = fs::read_dir(&reference).expect("references").count();
    assert_eq!(kept, names.len(), "{} holds drawings that are no longer made", reference.display());
}

/// No line of text ends within an amount: "2 1/2 in" broken after the 2 reads as half an inch.
fn assert_amounts_whole(svg: &str) {
    let tree = roxmltree::Document::parse(svg).expect("well-formed XML");
    let written: Vec<_> = tree.descendants().filter(|node| node.has_tag_name("text")).collect();
    for pair in written.windows(2) {
        // Lines of one paragraph begin below one another; the figures of a ruler lie side by side.
        if pair[0].attribute("x") != pair[1].attribute("x") {
            continue;
        }
        let [line, next] = [pair[0], pair[1]].map(|node| node.text().unwrap_or_default().trim());
        let word = next.split(' ').next().unwrap_or_default().trim_end_matches([')', ',', '.', ';', ':']);
        let is_rest = is_fraction(word) || ["mm", "cm", "m", "in", "ft", "yd"].contains(&word);
        assert!(!(is_rest && line.ends_with(|c: char| c.is_ascii_digit())), "{line:?} goes on with {next:?}");
    }
}

fn is_fraction(word: &str) -> bool {
    word.split_once('/').is_some_and(|(over, under)| over.parse::<u32>().is_ok() && under.parse::<u32>().is_ok())
}
