//! Drawings that cannot be used: a clear problem, exit status 2, nothing written, in bounded time and memory.

mod import_common;

use std::fmt::Write as _;
use std::fs;
use std::process::{Command, Output};

use ellwand::import::Options;
use import_common::{bad, file, imported, listed, sheet};
use proptest::prelude::*;

fn run(folder: &std::path::Path, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_ellwand")).current_dir(folder).args(arguments).output().expect("the program runs")
}

fn billion_laughs() -> String {
    let mut dtd = "<!ENTITY a0 'M 0 0 L 9 9 '>".to_owned();
    for i in 1..20 {
        let _ = write!(dtd, "<!ENTITY a{i} '{}'>", format!("&a{};", i - 1).repeat(10));
    }
    format!(
        "<!DOCTYPE svg [{dtd}]><svg xmlns='http://www.w3.org/2000/svg' width='9mm' height='9mm'><path d='&a19;'/><text>&a19;</text></svg>"
    )
}

/// One long entity, many times over: no nesting that a loop detector would find.
fn quadratic_blow_up() -> String {
    format!(
        "<!DOCTYPE svg [<!ENTITY a '{}'>]><svg xmlns='http://www.w3.org/2000/svg' width='9mm' height='9mm'><text>{}</text></svg>",
        "x".repeat(100_000),
        "&a;".repeat(100_000)
    )
}

/// A use of a use of a use ...: 10^12 squares.
fn uses_of_uses() -> String {
    let mut body = "<g id='u0'><rect width='50' height='50'/></g>".to_owned();
    for i in 1..13 {
        let _ = write!(body, "<g id='u{i}'>{}</g>", format!("<use href='#u{}'/>", i - 1).repeat(10));
    }
    String::from_utf8(sheet(&format!("<defs>{body}</defs><use href='#u12'/>"))).expect("text")
}

fn inserts_of_inserts() -> String {
    let mut blocks = String::new();
    blocks.push_str("0\nBLOCK\n2\nB0\n0\nLINE\n8\nx\n10\n0\n20\n0\n11\n5\n21\n5\n0\nENDBLK\n");
    for i in 1..13 {
        let inserts = format!("0\nINSERT\n2\nB{}\n", i - 1).repeat(10);
        let _ = write!(blocks, "0\nBLOCK\n2\nB{i}\n{inserts}0\nENDBLK\n");
    }
    let header = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n";
    format!(
        "{header}0\nSECTION\n2\nBLOCKS\n{blocks}0\nENDSEC\n0\nSECTION\n2\nENTITIES\n0\nINSERT\n2\nB12\n0\nENDSEC\n0\nEOF\n"
    )
}

/// A DXF file in millimetres with something in its header and some entities.
fn dxf(header: &str, entities: &str) -> Vec<u8> {
    let section = |name: &str, body: &str| format!("0\nSECTION\n2\n{name}\n{body}0\nENDSEC\n");
    let header = section("HEADER", &format!("{header}9\n$INSUNITS\n70\n4\n"));
    format!("{header}{}0\nEOF\n", section("ENTITIES", entities)).into_bytes()
}

const DXF_SQUARE: &str =
    "0\nLWPOLYLINE\n8\nbib\n70\n1\n10\n0\n20\n0\n10\n200\n20\n0\n10\n200\n20\n200\n10\n0\n20\n200\n";

/// What makes the library for DXF panic, stop, or take a number that is not there for nought.
#[test]
fn damage_beside_the_pieces_does_no_harm() {
    let line = "0\nLINE\n8\nx\n10\n5\n20\n5\n";
    let dated =
        |value: &str| format!("9\n$TDCREATE\n40\n{value}\n9\n$TDUPDATE\n40\n{value}\n9\n$TDINDWG\n40\n{value}\n");
    for (header, entities) in [
        (dated("1e300"), String::new()),
        (dated("-1e300"), String::new()),
        (dated("nan"), String::new()),
        ("9\n$FINGERPRINTGUID\n2\n{\n9\n$ACADVER\n1\n\n9\n$HANDSEED\n5\nno handle\n".to_owned(), String::new()),
        (
            String::new(),
            "0\nLWPOLYLINE\n90\n2147483647\n43\n?\n0\nSPLINE\n71\n3\n72\n32767\n73\n-1\n74\n9e99\n".to_owned(),
        ),
        (
            String::new(),
            "0\nLWPOLYLINE\n20\n1\n42\n1\n0\nHATCH\n91\n2147483647\n0\nIMAGE\n13\n?\n0\nDIMENSION\n70\n99\n".to_owned(),
        ),
        (
            String::new(),
            "0\nINSERT\n66\n1\n0\nVERTEX\n10\n1\n0\nSEQEND\n0\nMTEXT\n75\n9\n50\n1e99\n50\n1e99\n".to_owned(),
        ),
        (String::new(), "0\nLINE\n8\nx\n1001\nx\n1002\n{\n102\n{x\n5\nzz\n".to_owned()),
        (
            String::new(),
            format!("{line}0\nCIRCLE\n10\n5\n0\nARC\n40\n5\n0\nELLIPSE\n0\nTEXT\n1\n^\n0\nTEXT\n1\n\\U+\n10\n900\n"),
        ),
    ] {
        let found = import_common::good(&dxf(&header, &(entities + DXF_SQUARE)), &Options::default());
        assert_eq!((found.pieces.len(), found.pieces[0].source.name.as_str()), (1, "bib"));
        assert!((found.pieces[0].piece.shape.area() - 40_000.0).abs() < 1e-6);
    }
}

#[test]
fn a_line_without_an_end_is_said_to_be_passed_over() {
    let folder = tempfile::tempdir().expect("a folder");
    let bytes = dxf("", &format!("0\nLINE\n8\ntack\n10\n5\n20\n5\n{DXF_SQUARE}"));
    fs::write(folder.path().join("bib.dxf"), bytes).expect("written");
    let output = run(folder.path(), &["import", "bib.dxf", "--out", "bib.json"]);
    let said = String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success() && said.contains("On layer tack a line without all its numbers"), "{said}");
}

/// Every bad drawing, and words that its problem has to have.
fn cases() -> Vec<(&'static str, Vec<u8>, &'static str)> {
    let good = String::from_utf8(file("smock-mutool.svg")).expect("text");
    let gaiters = String::from_utf8(file("gaiters.dxf")).expect("text");
    let svg =
        |head: &str, body: &str| format!("<svg xmlns='http://www.w3.org/2000/svg' {head}>{body}</svg>").into_bytes();
    let rect = "<rect width='200' height='200'/>";
    vec![
        ("truncated.svg", good.as_bytes()[..good.len() * 2 / 3].to_vec(), "cannot be read as SVG"),
        ("truncated.dxf", gaiters.as_bytes()[..gaiters.len() / 2].to_vec(), "cannot be read as DXF"),
        ("no-end.dxf", gaiters.replace("EOF", "").into_bytes(), "cannot be read as DXF"),
        ("fifty.svg", vec![b' '; 50 << 20], "larger than"),
        ("laughs.svg", billion_laughs().into_bytes(), "abbreviations"),
        ("blow-up.svg", quadratic_blow_up().into_bytes(), "abbreviations"),
        ("uses.svg", uses_of_uses().into_bytes(), "more than"),
        ("inserts.dxf", inserts_of_inserts().into_bytes(), "more than"),
        ("self-use.svg", sheet("<g id='a'><use href='#a'/></g>"), "closed outline"),
        ("open.svg", sheet("<path d='M 10 10 H 200 V 200 H 12'/>"), "open by 19.0 cm (7 1/2 in)"),
        ("small.svg", sheet("<path d='M 10 10 h 5 v 5 z'/>"), "taken for lettering"),
        ("picture.svg", sheet("<image width='200' height='200'/>"), "no lines at all"),
        (
            "crossing.svg",
            sheet("<path d='M 10 10 L 200 200 H 10 L 200 10 Z M 50 10 h 3'/>"),
            "crosses or touches itself",
        ),
        ("flat.svg", sheet("<path d='M 10 10 L 200 10 L 100 10 Z'/>"), "no cloth"),
        ("unitless.svg", svg("width='300' height='300'", rect), "does not say how large"),
        ("per-cent.svg", svg("width='100%' height='100%' viewBox='0 0 300 300'", rect), "does not say how large"),
        ("sizeless.svg", svg("viewBox='0 0 300 300'", rect), "does not say how large"),
        ("nothing.svg", Vec::new(), "empty"),
        ("pdf.svg", b"%PDF-1.7 ...".to_vec(), "pdftocairo"),
        ("packed.svgz", b"\x1f\x8b\x08aaaa".to_vec(), "compressed"),
        ("html.svg", b"<html><body/></html>".to_vec(), "no drawing"),
        ("latin1.svg", b"<svg>\xfc</svg>".to_vec(), "UTF-8"),
        ("letter.svg", b"Dear keeper,".to_vec(), "neither"),
        ("binary.dxf", b"AutoCAD Binary DXF\r\n\x1a\x00".to_vec(), "binary"),
        (
            "layers.dxf",
            dxf("", &(0..3000).fold(String::new(), |all, i| all + &format!("0\nPOINT\n8\n{i}\n10\n1\n"))),
            "layers",
        ),
        ("points.dxf", dxf("", &format!("0\nLWPOLYLINE\n{}", "10\n0\n".repeat(2_100_000))), "more points"),
        ("entities.dxf", dxf("", &"0\nPOINT\n10\n0\n".repeat(400_000)), "more than"),
        ("codes.dxf", b"0\nSECTION\nhello\nENTITIES\n0\nEOF\n".to_vec(), "Line 3"),
        ("no-unit.dxf", b"0\nSECTION\n2\nENTITIES\n0\nENDSEC\n0\nEOF\n".to_vec(), "names no unit"),
    ]
}

#[test]
fn bad_drawings_are_refused_and_nothing_is_written() {
    for (name, bytes, words) in cases() {
        let folder = tempfile::tempdir().expect("a folder");
        fs::write(folder.path().join(name), bytes).expect("written");
        for arguments in [&["import", name, "--out", "project.json"][..], &["import", name, "--list"]] {
            let output = run(folder.path(), arguments);
            let said = String::from_utf8_lossy(&output.stderr).into_owned();
            let needs_pieces = matches!(name, "crossing.svg" | "flat.svg");
            if needs_pieces && arguments.contains(&"--list") {
                continue;
            }
            assert_eq!(output.status.code(), Some(2), "{name}: {said}");
            assert!(said.contains(words), "{name}: {words:?} in {said}");
            assert!(said.contains(name) && said.contains("To do: "), "{name}: {said}");
            assert!(!said.contains("panicked"), "{name}: {said}");
            assert!(output.stdout.is_empty(), "{name}");
            assert_eq!(fs::read_dir(folder.path()).expect("a folder").count(), 1, "{name}: something was written");
        }
    }
}

/// No more memory than 1 GB of address space: a bomb would need far more.
#[cfg(target_os = "linux")]
#[test]
fn bombs_need_little_memory_and_time() {
    let folder = tempfile::tempdir().expect("a folder");
    for (name, bytes, _) in cases() {
        fs::write(folder.path().join(name), bytes).expect("written");
        let command = format!("ulimit -v 1000000 -t 20; exec '{}' import {name}", env!("CARGO_BIN_EXE_ellwand"));
        let output =
            Command::new("bash").current_dir(folder.path()).args(["-c", &command]).output().expect("bash runs");
        assert_eq!(output.status.code(), Some(2), "{name}: {}", String::from_utf8_lossy(&output.stderr));
    }
}

#[test]
fn deep_nesting_is_no_trouble() {
    let deep = |n: usize| sheet(&format!("{}<rect width='50' height='50'/>{}", "<g>".repeat(n), "</g>".repeat(n)));
    assert!(imported(&deep(100), &Options::default()).is_ok());
    for n in [1_000, 200_000] {
        assert!(imported(&deep(n), &Options::default()).is_err(), "{n}");
    }
}

#[test]
fn a_file_in_the_way_is_left_alone() {
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(folder.path().join("smock.svg"), file("smock.svg")).expect("written");
    fs::write(folder.path().join("mine.json"), "my own work").expect("written");
    let output = run(folder.path(), &["import", "smock.svg", "--out", "mine.json"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("not overwritten"));
    assert_eq!(fs::read_to_string(folder.path().join("mine.json")).expect("read"), "my own work");
    let output = run(folder.path(), &["import", "smock.svg", "--out", "new/project.json", "--square", "5 cm"]);
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(said.contains("35.6 cm (14 in) long"), "{said}");
    let checked = run(folder.path(), &["check", "new/project.json"]);
    assert_eq!(checked.status.code(), Some(0));
    let again = run(folder.path(), &["export", "new/project.json", "--format", "dxf", "--out", "drawn"]);
    assert_eq!(again.status.code(), Some(0));
    let again = run(folder.path(), &["export", "new/project.json", "--format", "dxf", "--out", "drawn"]);
    assert_eq!(again.status.code(), Some(2), "an export is not overwritten either");
}

#[test]
fn wrong_arguments_are_refused() {
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(folder.path().join("smock.svg"), file("smock.svg")).expect("written");
    for (arguments, words) in [
        (&["--scale", "0"][..], "scale"),
        (&["--scale", "-2"], "scale"),
        (&["--scale", "nan"], "scale"),
        (&["--square", "4 hands"], "not a known unit"),
        (&["--square", "8 cm"], "--scale 1.6"),
        (&["--units", "px"], "gives its width itself"),
        (&["--units", "furlong"], "the units are"),
        (&["--pick", "hat"], "--list"),
        (&["--size", "12"], "no size"),
        (&["--out", "smock.svg"], "not overwritten"),
    ] {
        let output = run(folder.path(), &[&["import", "smock.svg"], arguments].concat());
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {said}");
        assert!(said.contains(words), "{arguments:?}: {words:?} in {said}");
    }
}

#[test]
fn a_problem_of_a_piece_names_the_piece() {
    let said = bad(&sheet("<path id='collar' d='M 10 10 L 200 200 H 10 L 200 10 Z'/>"), &Options::default());
    assert!(said.contains("collar (number 1 of --list)"), "{said}");
    assert!(said.contains("lower left corner") && said.contains(" in)"), "{said}");
}

proptest! {
    /// Whatever is broken in a drawing, the library answers.
    #[test]
    fn broken_files_never_panic(
        which in prop::sample::select(vec!["smock.svg", "smock-mutool.svg", "matplotlib.svg", "gaiters.dxf", "mitten.dxf"]),
        breaks in prop::collection::vec((any::<prop::sample::Index>(), 0_u8..6, any::<u8>()), 1..6),
    ) {
        let mut bytes = file(which);
        for (at, kind, byte) in breaks {
            if bytes.is_empty() {
                break;
            }
            let at = at.index(bytes.len());
            match kind {
                0 => bytes[at] = byte,
                1 => { bytes.remove(at); }
                2 => bytes.insert(at, b'0' + byte % 10),
                3 => bytes.truncate(at),
                4 => bytes[at] = b"-9e.\n "[usize::from(byte) % 6],
                _ => {
                    let end = (at + usize::from(byte)).min(bytes.len());
                    let copy = bytes[at..end].to_vec();
                    bytes.splice(at..at, copy);
                }
            }
        }
        let options = Options { size: None, pick: vec![], ..Options::default() };
        let _ = imported(&bytes, &options);
        let _ = listed(&bytes, &Options { square: Some(50.0), scale: 2.0, ..options });
    }
}
