//! `ellwand fit`: which choices cloth in hand does for, by arithmetic, and how the command answers.

mod common;

use std::process::{Command, Output};

use common::{project_of, rectangle};
use ellwand::layout::Fitting;
use serde_json::{Value, json};

/// One strip as wide as the cloth of 100 cm, short (40 cm) or long (60), with a trim of 20 cm or none, on 70 cm in hand.
fn project() -> Value {
    let pieces =
        json!({ "short": rectangle(100.0, 40.0), "long": rectangle(100.0, 60.0), "trim": rectangle(100.0, 20.0) });
    let cuts = json!({
        "skirt": { "piece": "short", "cloth": "main" },
        "trim": { "piece": "trim", "cloth": "main", "priority": 10 },
    });
    let mut project =
        project_of(&json!({ "nap": true, "have": [{ "length": 70, "name": "remnant" }] }), &pieces, &cuts);
    project["choices"] = json!({
        "hem": { "short": {}, "long": { "cuts": { "skirt": { "piece": "long" } } } },
        "trim": { "with": {}, "without": { "cuts": { "trim": null } } },
        "label": { "sewn": {}, "ironed": {} },
    });
    project["chosen"] = json!({ "hem": "short", "trim": "with", "label": "sewn" });
    project
}

fn ellwand(project: &Value, more: &[&str]) -> Output {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("project.json");
    std::fs::write(&file, project.to_string()).expect("writable");
    let mut command = Command::new(env!("CARGO_BIN_EXE_ellwand"));
    command.arg("fit").arg(&file).args(["--effort", "quick"]).args(more).output().expect("it runs")
}

fn fitting(project: &Value, more: &[&str]) -> Fitting {
    let output = ellwand(project, &[more, &["--json"]].concat());
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).expect("the answer")
}

fn refused(project: &Value, more: &[&str]) -> String {
    let output = ellwand(project, more);
    assert_eq!(output.status.code(), Some(2), "{}", String::from_utf8_lossy(&output.stdout));
    String::from_utf8_lossy(&output.stderr).into_owned()
}

#[test]
fn every_combination_is_answered() {
    // Short with trim: 40 + 20 of 70. Long with trim: 60 + 20, 20 more. Without trim: 40, or 60. A label changes nothing.
    let found = fitting(&project(), &[]);
    assert_eq!((found.combinations.len(), found.by.len(), found.have[0].length), (8, 3, 700.0));
    for row in &found.combinations {
        let is = |choice: &str, value: &str| row.chosen[choice] == value;
        let (long, trim) = (is("hem", "long"), is("trim", "with"));
        assert_eq!(row.fits, !(long && trim), "{:?}", row.chosen);
        let used: f64 = row.used.iter().map(|used| used.length).sum();
        let expected = match (long, trim) {
            (false, true) | (true, _) => 600.0,
            (false, false) => 400.0,
        };
        assert!((used - expected).abs() < 1e-6, "{used} {expected}");
        assert!((row.used[0].remains.full_width_end - (700.0 - expected)).abs() < 1e-6);
        let left: Vec<(&str, usize)> = row.left_over.iter().map(|left| (left.cut.as_str(), left.plies)).collect();
        assert_eq!(left, if row.fits { vec![] } else { vec![("trim", 1)] });
        assert_eq!(row.extra.map(|extra| extra.buy), (!row.fits).then_some(200.0));
    }
}

#[test]
fn named_choices_vary_and_others_stay() {
    let found = fitting(&project(), &["--by", "hem"]);
    assert_eq!(found.combinations.iter().map(|row| row.fits).collect::<Vec<_>>(), [true, false]);
    let decided = fitting(&project(), &["--choose", "hem=long", "--choose", "trim=with", "--choose", "label=sewn"]);
    assert_eq!((decided.combinations.len(), decided.combinations[0].fits), (1, false));
}

#[test]
fn cloth_that_is_asked_about_goes_before_the_projects() {
    // 80 cm, or 31 1/2 in = 80.01 cm, do for all; two of 45 and 60 do too, the strip of 60 on the second.
    for have in [&["--have", "80 cm"][..], &["--have", "31 1/2 in x 39 3/8 in"], &["--have", "45", "--have", "60x1 m"]]
    {
        let found = fitting(&project(), &[have, &["--cloth", "main"]].concat());
        assert!(found.combinations.iter().all(|row| row.fits), "{have:?}: {:?}", found.combinations);
    }
    let narrow = fitting(&project(), &["--have", "2 m x 90 cm", "--by", "hem"]);
    assert!(narrow.combinations.iter().all(|row| !row.fits && row.extra.is_some_and(|extra| extra.buy >= 600.0)));
}

#[test]
fn words_say_what_the_figures_do() {
    let output = ellwand(&project(), &[]);
    let text = String::from_utf8_lossy(&output.stdout);
    for words in [
        "length 1 (remnant): 70.0 cm (27 1/2 in) long, 100 cm (39 3/8 in) wide",
        "It does for 6 of 8 combinations of choices.",
        "hem: long, trim: with, label: ironed",
        "does not fit; 20.0 cm (7 7/8 in) more would do: buy 0.20 m (1/4 yd)",
        "if no more can be had, left over: trim",
        "an end of 10.0 cm (3 7/8 in) is whole over the full width",
    ] {
        assert!(text.contains(words), "{words} in\n{text}");
    }
    // Every line once for what several have in common.
    assert_eq!(text.matches("does not fit;").count(), 1, "{text}");
}

#[test]
fn what_cannot_be_answered_is_refused() {
    let mut none = project();
    none["cloths"]["main"].as_object_mut().unwrap().remove("have");
    none["cloths"]["other"] = json!({ "width": 90 });
    for (project, more, words) in [
        (&none, &[][..], "It is not said which cloth is in hand"),
        (&none, &["--cloth", "main"], "Nothing of the cloth \"main\" is in hand"),
        (&none, &["--cloth", "mian"], "There is no cloth named \"mian\""),
        (&none, &["--cloth", "main", "--have", "2.3 ells"], "--have \"2.3 ells\""),
        (&none, &["--cloth", "main", "--have", "2 m x"], "--have \"2 m x\""),
        (&none, &["--cloth", "main", "--have", "-2 m"], "--have \"-2 m\""),
        (&none, &["--cloth", "main", "--have", "0 m x 1 m"], "no cloth is 0 mm (0 in) long or wide"),
        (&none, &["--cloth", "main", "--have", "2 m", "--by", "colour"], "colour"),
    ] {
        let said = refused(project, more);
        assert!(said.contains(words), "{words} in {said}");
    }
}
