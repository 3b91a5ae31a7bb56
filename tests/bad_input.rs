//! Bad input gets every problem at once, each with its place, its cause and what to do.
//!
//! The cases are data: `bad_input/cases.json` lists changes of the good project beside it (texts replaced, the first place
//! each; or a whole text; and choices asked for) and, for every problem expected, fragments of its place, cause and hint.

use ellwand::error::{Problem, Problems};
use ellwand::project::load;
use proptest::prelude::*;
use serde::Deserialize;

const GOOD: &str = include_str!("bad_input/good.json");

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    name: String,
    #[serde(default)]
    replace: Vec<(String, String)>,
    text: Option<String>,
    #[serde(default)]
    choose: Vec<(String, String)>,
    expect: Vec<Fragments>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Fragments {
    place: String,
    cause: String,
    hint: String,
}

impl Case {
    fn input(&self) -> String {
        let mut text = self.text.clone().unwrap_or_else(|| GOOD.to_owned());
        for (old, new) in &self.replace {
            assert!(text.contains(old), "{}: {old:?} is not in the good project", self.name);
            text = text.replacen(old, new, 1);
        }
        text
    }
}

fn place(problem: &Problem) -> String {
    problem.to_string().lines().next().unwrap_or("").to_owned()
}

fn listed(problems: &Problems) -> String {
    problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
}

#[test]
fn every_case_is_refused_with_all_its_problems() {
    let cases: Vec<Case> = serde_json::from_str(include_str!("bad_input/cases.json")).unwrap();
    assert!(cases.len() >= 40);
    let mut failures = Vec::new();
    for case in &cases {
        let Err(problems) = load(case.input().as_bytes(), "apron.json", &case.choose) else {
            failures.push(format!("== {}: taken as good", case.name));
            continue;
        };
        let fits = |problem: &Problem, expected: &Fragments| {
            place(problem).contains(&expected.place)
                && problem.cause.contains(&expected.cause)
                && problem.hint.contains(&expected.hint)
        };
        let all_there = case.expect.iter().all(|expected| problems.iter().any(|problem| fits(problem, expected)));
        let none_more = problems.iter().all(|problem| case.expect.iter().any(|expected| fits(problem, expected)));
        if !(all_there && none_more) {
            failures.push(format!("== {}\n{}", case.name, listed(&problems)));
        }
    }
    assert!(failures.is_empty(), "{} of {} cases:\n{}", failures.len(), cases.len(), failures.join("\n"));
}

/// The cause of the only problem of an input; it has to be found within a few seconds.
fn only_cause(bytes: &[u8]) -> String {
    let problems = load(bytes, "apron.json", &[]).expect_err("taken as good");
    assert_eq!(problems.len(), 1, "{}", listed(&problems));
    problems[0].cause.clone()
}

#[test]
fn no_input_exhausts_the_machine() {
    let ten_million = 10_000_000;
    assert!(only_cause("[".repeat(ten_million).as_bytes()).contains("nested"));
    assert!(only_cause("{\"a\":".repeat(ten_million / 5).as_bytes()).contains("nested"));
    assert!(only_cause(format!("[{}1]", "1,".repeat(ten_million)).as_bytes()).contains("more than 1000000 values"));
    assert!(only_cause(&vec![b' '; (32 << 20) + 1]).contains("at most 32 MB"));
    assert!(only_cause(b"{ \"ellwand\": \xff }").contains("UTF-8"));
    let outline = "[0, 0], [42, 0], [42, 6], [0, 6]";
    let many = format!("{}{outline}", "[0, 0], ".repeat(20_000));
    assert!(only_cause(GOOD.replace(outline, &many).as_bytes()).contains("20004 points"));
    let many = GOOD.replace("L 0 28 Z", &format!("{}L 0 28 Z", "L 9 9 ".repeat(20_000)));
    assert!(only_cause(many.as_bytes()).contains("more than 20000 points and curves"));
    let many = GOOD.replace("L 0 28 Z", &format!("{}L 0 28 Z", "L 9 9 ".repeat(1_000_000)));
    assert!(only_cause(many.as_bytes()).contains("MB of path data"));
}

#[test]
fn endless_problems_are_counted_but_not_listed() {
    let keys: Vec<String> = (0..200_000).map(|number| format!("\"{number}\": 0")).collect();
    let problems = load(format!("{{{}}}", keys.join(",")).as_bytes(), "apron.json", &[]).unwrap_err();
    assert_eq!(problems.len(), 501);
    assert!(problems[500].cause.contains("more problems"), "{}", problems[500]);
    let long_key = format!("{{ \"{}\": [{}] }}", "k".repeat(1 << 20), "[], ".repeat(1000) + "0");
    let problems = load(long_key.as_bytes(), "apron.json", &[]).unwrap_err();
    assert!(listed(&problems).len() < 10_000);
}

/// Loads, and holds any refusal to what every refusal owes the user.
fn check(bytes: &[u8]) {
    if let Err(problems) = load(bytes, "apron.json", &[]) {
        assert!(!problems.is_empty());
        for problem in &problems {
            assert!(!problem.cause.is_empty() && !problem.cause.contains('\n'), "{problem:?}");
            assert!(problem.place.line_column.is_some() || problem.place.keys.is_empty(), "{problem:?}");
        }
    }
}

/// Texts that a slip of the pen, or of a program, might leave in a project.
fn scrap() -> impl Strategy<Value = String> {
    prop_oneof![
        Just("null".to_owned()),
        Just("true".to_owned()),
        Just("-1".to_owned()),
        Just("0".to_owned()),
        Just("1e308".to_owned()),
        Just("-1e-320".to_owned()),
        Just("[]".to_owned()),
        Just("{}".to_owned()),
        Just("[[0, 0], [0, 0], [0, 0]]".to_owned()),
        Just("\"M 0 0 A 1e-4 999 0 1 1 5 5 Z\"".to_owned()),
        Just("\"1/0 yd\"".to_owned()),
        Just("\"\\ud83e\\uddf5\"".to_owned()),
        any::<f64>()
            .prop_filter_map("JSON has no such number", |number| number.is_finite().then(|| number.to_string())),
        "[a-z.]{0,8}".prop_map(|word| format!("\"{word}\"")),
        any::<String>(),
    ]
}

/// The good project with up to six values, keys or stretches of it replaced.
fn mutated() -> impl Strategy<Value = String> {
    // Where values and keys begin and end: behind and before brackets, commas, colons and quotation marks.
    let seams: Vec<usize> = GOOD.match_indices(['{', '}', '[', ']', ',', ':', '"']).map(|(at, _)| at).collect();
    let change = (0..seams.len(), 1_usize..4, any::<bool>(), scrap());
    prop::collection::vec(change, 1..6).prop_map(move |mut changes| {
        // From the back, so that the places of the others stay true.
        changes.sort_by_key(|change| std::cmp::Reverse(change.0));
        let mut text = GOOD.to_owned();
        let mut last = text.len();
        for (seam, length, keeps_first, scrap) in changes {
            let start = seams[seam] + usize::from(keeps_first);
            let end = seams.get(seam + length).map_or(last, |&end| end.min(last));
            if start <= end {
                text.replace_range(start..end, &scrap);
                last = start;
            }
        }
        text
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn random_bytes_never_panic(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        check(&bytes);
    }

    #[test]
    fn random_json_never_panics(text in r#"[\[\]{}:,"0-9a-e.\\ u-]{0,60}"#) {
        check(text.as_bytes());
    }

    #[test]
    fn random_changes_of_a_good_project_never_panic(text in mutated()) {
        check(text.as_bytes());
    }

    #[test]
    fn random_bytes_in_a_good_project_never_panic(
        changes in prop::collection::vec((0..GOOD.len(), any::<u8>()), 1..8)
    ) {
        let mut bytes = GOOD.as_bytes().to_vec();
        for (at, byte) in changes {
            bytes[at] = byte;
        }
        check(&bytes);
    }
}
