//! The program as a newcomer meets it: right and wrong input, files written whole or not at all.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::{Value, json};

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn ellwand(folder: &Path, arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_ellwand"));
    command.current_dir(folder).args(arguments).output().expect("the program runs")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("UTF-8")
}

fn scratch() -> tempfile::TempDir {
    tempfile::tempdir().expect("a folder")
}

/// Every file and folder below, for seeing that nothing was written.
fn contents(folder: &Path) -> Vec<PathBuf> {
    let mut found: Vec<PathBuf> =
        fs::read_dir(folder).expect("a folder").map(|e| e.expect("an entry").path()).collect();
    found.sort();
    found
}

/// A small garment: plans in no time.
fn apron() -> Value {
    json!({
        "ellwand": 1, "name": "Lamp-room apron", "units": "cm",
        "cloths": { "main": { "width": 100, "nap": true }, "contrast": { "width": 112, "price_per_metre": 10 } },
        "pieces": {
            "skirt": { "outline": "M 0 0 H 30 V 50 H 6 Z", "grain": { "from": [10, 5], "to": [10, 40] } },
            "band": { "outline": "M 0 0 H 40 V 8 H 0 Z", "grain": { "from": [10, 2], "to": [10, 6] } }
        },
        "cuts": {
            "skirt": { "piece": "skirt", "cloth": "main", "count": 2, "mirrored": true },
            "band": { "piece": "band", "cloth": "contrast", "count": 2 }
        },
        "choices": { "band": { "single": { "cuts": { "band": { "count": 1 } } }, "double": {} } },
        "chosen": { "band": "double" }
    })
}

fn write_apron(folder: &Path) {
    fs::write(folder.join("apron.json"), apron().to_string()).expect("written");
}

#[test]
fn a_plan_reports_every_cloth_and_draws_it() {
    let folder = scratch();
    write_apron(folder.path());
    let output = ellwand(folder.path(), &["plan", "apron.json", "--effort", "quick", "--out", "drawings"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let said = text(&output.stdout);
    for words in ["main", "contrast", " yd", "drawings/main.svg"] {
        assert!(said.contains(words), "{words} in {said}");
    }
    // Piped: no progress bar, no colours.
    assert_eq!(text(&output.stderr), "");
    assert!(!said.contains('\u{1b}'));
    for name in ["main.svg", "contrast.svg"] {
        let svg = fs::read_to_string(folder.path().join("drawings").join(name)).expect("a drawing");
        roxmltree::Document::parse(&svg).expect("well-formed");
    }
    // The two drawings, and the sheets as a page and to print.
    assert_eq!(contents(&folder.path().join("drawings")).len(), 4);
}

/// One drawing that cannot be written keeps all of them from being written.
#[test]
fn drawings_are_written_all_or_none() {
    let folder = scratch();
    write_apron(folder.path());
    fs::create_dir_all(folder.path().join("plan/contrast.svg")).expect("a folder in the way");
    let output = ellwand(folder.path(), &["plan", "apron.json", "--effort", "quick"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("is a folder"), "{}", text(&output.stderr));
    assert_eq!(contents(&folder.path().join("plan")).len(), 1);
}

#[test]
fn json_is_the_plan_document_and_writes_no_drawing_unasked() {
    let folder = scratch();
    write_apron(folder.path());
    let output =
        ellwand(folder.path(), &["plan", "apron.json", "--effort", "quick", "--json", "--choose", "band=single"]);
    assert_eq!(output.status.code(), Some(0));
    let plan: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert_eq!(plan["ellwand_plan"], 1);
    assert_eq!(plan["chosen"], json!({ "band": "single" }));
    assert_eq!(contents(folder.path()).len(), 1);
    fs::write(folder.path().join("plan.json"), &output.stdout).expect("written");
    let checked = ellwand(folder.path(), &["check", "plan.json", "--against", "apron.json"]);
    assert_eq!(checked.status.code(), Some(0), "{}", text(&checked.stdout));

    let chosen = ellwand(folder.path(), &["check", "plan.json", "--choose", "band=double"]);
    assert_eq!(chosen.status.code(), Some(2));
    assert!(text(&chosen.stderr).contains("choices made already"), "{}", text(&chosen.stderr));

    // A ply moved by 3 mm is found out, and the exit status says so.
    let mut moved = plan;
    for point in moved["cloths"][0]["plies"][0]["outline"].as_array_mut().expect("an outline") {
        point[1] = json!(point[1].as_f64().expect("a number") + 3.0);
    }
    fs::write(folder.path().join("moved.json"), moved.to_string()).expect("written");
    let checked = ellwand(folder.path(), &["check", "moved.json"]);
    assert_eq!(checked.status.code(), Some(1));
    assert!(text(&checked.stdout).contains("does not hold"));
}

#[test]
fn the_same_bytes_whatever_the_threads() {
    let folder = scratch();
    write_apron(folder.path());
    let of = |threads| {
        ellwand(folder.path(), &["plan", "apron.json", "--effort", "quick", "--json", "--threads", threads]).stdout
    };
    assert_eq!(of("1"), of("2"));
}

#[test]
fn time_that_is_up_still_gives_a_plan() {
    let folder = scratch();
    write_apron(folder.path());
    let output = ellwand(folder.path(), &["plan", "apron.json", "--seconds", "0.01", "--effort", "thorough"]);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
}

#[cfg(unix)]
#[test]
fn ctrl_c_gives_the_best_so_far() {
    use std::process::Stdio;
    let demo = root().join("demo/pinafore/project.json");
    let mut child = Command::new(env!("CARGO_BIN_EXE_ellwand"))
        .args(["plan", demo.to_str().expect("a path"), "--effort", "thorough", "--json"])
        .stdout(Stdio::piped())
        .spawn()
        .expect("the program runs");
    std::thread::sleep(std::time::Duration::from_secs(2));
    let killed = Command::new("kill").args(["-INT", &child.id().to_string()]).status().expect("kill runs");
    assert!(killed.success());
    let mut said = Vec::new();
    std::io::Read::read_to_end(&mut child.stdout.take().expect("piped"), &mut said).expect("read");
    assert_eq!(child.wait().expect("it ends").code(), Some(0));
    let plan: Value = serde_json::from_slice(&said).expect("JSON");
    assert_eq!(plan["cloths"].as_array().map(Vec::len), Some(4));
}

#[test]
fn a_project_is_checked_and_its_cuts_listed() {
    let folder = scratch();
    write_apron(folder.path());
    let output = ellwand(folder.path(), &["check", "apron.json"]);
    assert_eq!(output.status.code(), Some(0));
    let said = text(&output.stdout);
    assert!(said.contains("no problems") && said.contains("skirt: cut 2, 1 mirrored"), "{said}");
}

#[test]
fn seams_that_do_not_match_are_found_wanting() {
    let folder = scratch();
    let mut apron = apron();
    for (piece, width) in [("skirt", 30.0), ("band", 40.0)] {
        apron["pieces"][piece]["points"] = json!({ "a": [0, 0], "b": [width, 0] });
        apron["pieces"][piece]["edges"] = json!({ "lower": ["a", "b"] });
    }
    apron["seams"] = json!([["skirt.lower", "band.lower"]]);
    fs::write(folder.path().join("apron.json"), apron.to_string()).expect("written");
    let output = ellwand(folder.path(), &["check", "apron.json"]);
    assert_eq!(output.status.code(), Some(1));
    let said = text(&output.stdout);
    assert!(said.contains("100.00 mm (3.937 in) apart: DOES NOT MATCH"), "{said}");
    assert!(said.contains("may differ by 1.6 mm, 1/16 in"), "{said}");
}

/// Cuts that do not add up are placed in the file too.
#[test]
fn problems_found_late_have_their_line() {
    let folder = scratch();
    let mut wrong = apron();
    wrong["cuts"]["skirt"]["count"] = json!(3);
    wrong["cuts"]["band"]["on_fold"] = json!(true);
    let pretty = serde_json::to_string_pretty(&wrong).expect("JSON");
    let line = 1 + pretty.lines().position(|line| line.contains("\"count\": 3")).expect("the line");
    fs::write(folder.path().join("apron.json"), pretty).expect("written");
    for command in [&["check", "apron.json"][..], &["plan", "apron.json", "--out", "drawings"]] {
        let output = ellwand(folder.path(), command);
        assert_eq!(output.status.code(), Some(2));
        let said = text(&output.stderr);
        assert!(said.contains(&format!("apron.json:{line}:")), "{said}");
        assert!(said.contains("mirrored pieces come in pairs, and 3 is odd"), "{said}");
        assert!(said.contains("has no fold edge"), "{said}");
        assert!(said.contains("2 problems; nothing was written"), "{said}");
        assert_eq!(contents(folder.path()).len(), 1);
    }
}

#[derive(serde::Deserialize)]
struct Case {
    name: String,
    #[serde(default)]
    replace: Vec<(String, String)>,
    text: Option<String>,
    #[serde(default)]
    choose: Vec<(String, String)>,
    expect: Vec<BTreeMap<String, String>>,
}

/// Every case of bad input, through the program: exit status 2, every expected problem, nothing written.
#[test]
fn bad_input_is_refused_and_nothing_is_written() {
    let folder = root().join("tests/bad_input");
    let good = fs::read_to_string(folder.join("good.json")).expect("the good project");
    let cases: Vec<Case> =
        serde_json::from_slice(&fs::read(folder.join("cases.json")).expect("the cases")).expect("cases");
    assert!(cases.len() >= 40);
    for case in cases {
        let folder = scratch();
        let mut bad = case.text.clone().unwrap_or_else(|| good.clone());
        for (from, to) in &case.replace {
            bad = bad.replacen(from, to, 1);
        }
        fs::write(folder.path().join("bad.json"), bad).expect("written");
        let mut arguments = vec!["plan".to_owned(), "bad.json".to_owned(), "--out".to_owned(), "drawings".to_owned()];
        for (name, value) in &case.choose {
            arguments.extend(["--choose".to_owned(), format!("{name}={value}")]);
        }
        let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
        let output = ellwand(folder.path(), &arguments);
        let said = text(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{}: {said}", case.name);
        let lower = said.to_lowercase();
        for fragment in case.expect.iter().flat_map(BTreeMap::values) {
            assert!(lower.contains(&fragment.to_lowercase()), "{}: {fragment:?} in {said}", case.name);
        }
        assert_eq!(text(&output.stdout), "", "{}", case.name);
        assert_eq!(contents(folder.path()).len(), 1, "{}: something was written", case.name);
    }
}

#[test]
fn files_that_cannot_be_had_are_refused() {
    let folder = scratch();
    write_apron(folder.path());
    fs::write(folder.path().join("latin1.json"), b"{ \"name\": \"Sch\xfcrze\" }").expect("written");
    fs::write(folder.path().join("deep.json"), "[".repeat(10_000_000)).expect("written");
    fs::write(folder.path().join("empty.json"), "").expect("written");
    fs::write(folder.path().join("taken"), "a file").expect("written");
    let before = contents(folder.path()).len();
    for (arguments, words) in [
        (&["plan", "missing.json"][..], "cannot be read"),
        (&["plan", "."], "cannot be read"),
        (&["plan", "latin1.json"], "UTF-8"),
        (&["plan", "deep.json"], "nest"),
        (&["plan", "empty.json"], "empty"),
        (&["plan", "apron.json", "--out", "taken"], "not a folder"),
        (&["plan", "apron.json", "--out", "taken/below"], "not a folder"),
        (&["plan", "apron.json", "--out", "/proc/ellwand"], "cannot be written to"),
        (&["plan", "apron.json", "--choose", "band=triple"], "single"),
        (&["plan", "apron.json", "--choose", "belt=single"], "band"),
        (&["plan", "apron.json", "--choose", "band"], "NAME=VALUE"),
        (&["plan", "apron.json", "--seconds", "-1"], "above zero"),
        (&["plan", "apron.json", "--effort", "mighty"], "quick"),
        (&["plan", "apron.json", "--threads", "0"], "0"),
        (&["check", "missing.json"], "cannot be read"),
        (&["check", "apron.json", "--against", "missing.json"], "plan"),
    ] {
        let output = ellwand(folder.path(), arguments);
        let said = text(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}: {said}");
        assert!(said.contains(words), "{arguments:?}: {words:?} in {said}");
        assert_eq!(contents(folder.path()).len(), before, "{arguments:?}");
    }
}

#[test]
fn the_schema_is_json() {
    let folder = scratch();
    let output = ellwand(folder.path(), &["schema"]);
    assert_eq!(output.status.code(), Some(0));
    let schema: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert!(jsonschema::validator_for(&schema).expect("a schema").is_valid(&apron()));
}
