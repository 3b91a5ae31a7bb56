//! Deciding before buying: choices compared, widths, the shopping list. Expected figures by arithmetic, or from a published chart.

mod common;

use std::fs;
use std::path::PathBuf;

use common::chart::{CHART, WIDTHS, chart_for};
use common::{project_of, rectangle};
use ellwand::layout::{Comparison, WidthTable};
use ellwand::nest::Effort;
use ellwand::plan::{self, Failure, Options, Silent, WidthAsked, rules};
use ellwand::project::{self, Project, combinations};
use ellwand::units::{Unit, amounts, parse_length};
use ellwand::{check, cut_list, report};
use indexmap::IndexMap;
use proptest::prelude::*;
use serde_json::{Value, json};

const QUICK: Options = Options { effort: Effort::Quick, seconds: None, seed: 1 };
const YARD: f64 = 914.4;

fn pinafore() -> Vec<u8> {
    fs::read(PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("demo/pinafore/project.json")).expect("the demo")
}

fn loaded(document: &Value) -> Project {
    project::load(document.to_string().as_bytes(), "test.json", &[]).unwrap_or_else(|problems| panic!("{problems:?}"))
}

fn on_threads<T: Send>(threads: usize, work: impl FnOnce() -> T + Send) -> T {
    rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool").install(work)
}

fn compared(document: &Value, by: &[&str]) -> Comparison {
    let by: Vec<String> = by.iter().map(|&name| name.to_owned()).collect();
    let all = combinations(document.to_string().as_bytes(), "test.json", &[], &by).expect("combinations");
    plan::compare(&all, &QUICK, &Silent).expect("a comparison").comparison
}

/// Straps of 50 x 10 cm on cloth 100 cm wide at 10.00 a metre: two lie side by side, so that 2 take 10 cm, 4 take 20 cm.
fn straps() -> Value {
    let mut project = project_of(
        &json!({ "price_per_metre": 10, "lay": "open" }),
        &json!({ "strap": rectangle(50.0, 10.0), "sail": rectangle(120.0, 10.0) }),
        &json!({ "strap": { "piece": "strap", "cloth": "main", "count": 2 } }),
    );
    project["choices"] = json!({
        "straps": {
            "single": {},
            "double": { "cuts": { "strap": { "layers": 2 } } },
            "of a sail": { "cuts": { "strap": { "piece": "sail" } } },
            "of nothing": { "cuts": { "strap": { "piece": "gone" } } }
        }
    });
    project["chosen"] = json!({ "straps": "single" });
    project
}

#[test]
fn what_a_choice_takes_is_told_and_what_cannot_be_done_has_its_reason() {
    let comparison = compared(&straps(), &[]);
    assert_eq!(comparison.by, ["straps"]);
    let [single, double, sail, nothing] = &comparison.combinations[..] else { panic!("{comparison:?}") };
    let figures = |row: &ellwand::layout::Combination| (row.cloths["main"].buy.length, row.cost);
    assert_eq!((figures(single), figures(double)), ((100.0, Some(1.0)), (200.0, Some(2.0))));
    let words = report::difference(&comparison, single, double);
    assert_eq!(words, "+10.0 cm (3 7/8 in) main; cost +1.00");
    assert_eq!(report::difference(&comparison, double, single), "-10.0 cm (3 7/8 in) main; cost -1.00");
    assert_eq!(report::difference(&comparison, single, single), "the same of every cloth");
    let reason = |row: &ellwand::layout::Combination| row.not_possible.clone().unwrap_or_default();
    assert!(reason(sail).contains("\"strap\": it is 1.20 m"), "{}", reason(sail));
    assert!(reason(nothing).contains("no piece named \"gone\""), "{}", reason(nothing));
    let text = report::comparison_within(&comparison, 100);
    for wanted in [
        "straps: single, not double: -10.0 cm (3 7/8 in) main; cost -1.00",
        "Not possible: straps: of a sail. It cannot be cut",
        "Least cost: the chosen one, 1.00.",
    ] {
        assert!(text.contains(wanted), "{wanted} in\n{text}");
    }
}

#[test]
fn choices_that_are_not_there_and_too_many_combinations_are_refused() {
    let bytes = straps().to_string().into_bytes();
    let refused = |bytes: &[u8], choose: &[(String, String)], by: &[&str]| {
        let by: Vec<String> = by.iter().map(|&name| name.to_owned()).collect();
        combinations(bytes, "test.json", choose, &by).expect_err("refused")[0].to_string()
    };
    assert!(refused(&bytes, &[], &["strap"]).contains("Write \"straps\""));
    let all = [("straps".to_owned(), "double".to_owned())];
    assert!(refused(&bytes, &all, &[]).contains("Every choice is decided"));
    let mut many = straps();
    for number in 0..8 {
        many["choices"][format!("c{number}")] = json!({ "a": {}, "b": {} });
        many["chosen"][format!("c{number}")] = json!("a");
    }
    assert!(refused(many.to_string().as_bytes(), &[], &[]).contains("more than 200 combinations"));
    let mut none = straps();
    none.as_object_mut().expect("an object").retain(|key, _| key != "choices" && key != "chosen");
    assert!(refused(none.to_string().as_bytes(), &[], &[]).contains("has no choices"));
}

/// Three bands: what is the same is laid out once, every plan passes the checker, and the chosen one is bit for bit what
/// `plan` has, on another number of threads.
#[test]
fn the_pinafores_bands_compared() {
    let bytes = pinafore();
    let by = ["band".to_owned()];
    let all = combinations(&bytes, "project.json", &[], &by).expect("combinations");
    let compared = on_threads(2, || plan::compare(&all, &QUICK, &Silent)).expect("a comparison");
    let again = on_threads(1, || plan::compare(&all, &QUICK, &Silent)).expect("a comparison");
    assert_eq!(compared, again);
    let own = all.all[all.chosen].project.as_ref().expect("the chosen project");
    let planned = on_threads(1, || plan::plan(own, &QUICK, &Silent)).expect("a plan");
    assert_eq!(compared.plans[all.chosen].as_ref(), Some(&planned.document));
    let rows = &compared.comparison.combinations;
    for ((combination, row), document) in all.all.iter().zip(rows).zip(&compared.plans) {
        let project = combination.project.as_ref().expect("a project");
        let document = document.as_ref().expect("a plan");
        let list = cut_list::resolve(project).expect("a cut list");
        assert_eq!(check::faults_against(document, &rules(project, &list), &project.pieces), []);
        for cloth in &document.cloths {
            assert_eq!(row.cloths[&cloth.cloth].buy, cloth.buy);
        }
        // The cost is the sum of the amounts times the file's prices.
        let sum: f64 = document.cloths.iter().map(|c| c.buy.length / 1000.0 * price(project, &c.cloth)).sum();
        assert!((row.cost.expect("prices") - sum).abs() < 0.005 * document.cloths.len() as f64);
    }
    let [single, double, lined] = &rows[..] else { panic!("three bands") };
    assert_eq!(double.cloths["contrast"], lined.cloths["contrast"]);
    assert_eq!(double.cloths["main"], lined.cloths["main"]);
    // The single band is the double one with two plies less: it never needs more contrast. Its inside is of the main cloth.
    assert!(single.cloths["contrast"].length <= double.cloths["contrast"].length);
    assert!(single.cloths["main"].length >= double.cloths["main"].length - 1.0);
    assert!(lined.cloths["lining"].buy.length >= double.cloths["lining"].buy.length);
}

fn price(project: &Project, cloth: &str) -> f64 {
    project.cloths[cloth].price_per_metre.expect("a price")
}

fn widths_of(project: &Project, cloth: &str, widths: &[f64]) -> WidthTable {
    let asked: Vec<WidthAsked> = widths.iter().map(|&width| WidthAsked { width, price_per_metre: None }).collect();
    plan::widths(project, cloth, &asked, &QUICK, &Silent).expect("a table")
}

#[test]
fn widths_by_arithmetic() {
    // Two boards 40 wide and 30 long: side by side on 80 and 100 cm, one after the other on 40 cm, not at all on 30 cm.
    let document = project_of(
        &json!({ "price_per_yard": 9.144 }),
        &json!({ "board": rectangle(40.0, 30.0) }),
        &json!({ "board": { "piece": "board", "cloth": "main", "count": 2 } }),
    );
    let project = loaded(&document);
    assert_eq!(project.cloths["main"].price_per_metre, Some(10.0), "a yard is 0.9144 m exactly (NIST SP 811)");
    let asked = [(800.0, None), (400.0, Some(5.0)), (300.0, None)];
    let asked = asked.map(|(width, price_per_metre)| WidthAsked { width, price_per_metre });
    let table = plan::widths(&project, "main", &asked, &QUICK, &Silent).expect("a table");
    let row = |row: &ellwand::layout::WidthRow| {
        (row.width, row.with_nap.as_ref().map(|taken| (taken.buy.length, taken.buy.cost)))
    };
    let rows: Vec<_> = table.rows.iter().map(row).collect();
    assert_eq!(
        rows,
        [
            (300.0, None),
            (400.0, Some((600.0, Some(3.0)))),
            (800.0, Some((300.0, Some(3.0)))),
            (1000.0, Some((300.0, Some(3.0)))),
        ]
    );
    let reason = table.rows[0].not_possible.as_deref().unwrap_or_default();
    assert!(reason.contains("\"board\": it is 40.0 cm") && reason.contains("10.0 cm (4 in) too wide"), "{reason}");
    let text = report::widths_within(&table, 100);
    for wanted in ["30 cm (11 3/4 in): not possible.", "the project's", "Least cost:"] {
        assert!(text.contains(wanted), "{wanted} in\n{text}");
    }
    let none = plan::widths(&project, "mian", &asked, &QUICK, &Silent);
    assert!(matches!(none, Err(Failure::Problems(problems)) if problems[0].hint.contains("main")));
}

#[test]
fn nap_keeps_two_triangles_from_lying_head_to_foot() {
    // Right triangles of 50 x 100 cm, two to a rectangle: without nap one is turned, and they take 1 m of 50 cm cloth. With
    // nap both point up, and two that are alike cannot share the width.
    let triangle = json!({ "outline": [[0, 0], [50, 0], [0, 100]], "grain": { "from": [5, 5], "to": [5, 50] } });
    let document = project_of(
        &json!({ "width": 50, "lay": "open" }),
        &json!({ "sail": triangle }),
        &json!({ "sail": { "piece": "sail", "cloth": "main", "count": 2 } }),
    );
    let table = widths_of(&loaded(&document), "main", &[500.0]);
    let [row] = &table.rows[..] else { panic!("one width") };
    let (with, without) = (row.with_nap.as_ref().expect("possible"), row.without_nap.as_ref().expect("possible"));
    assert!((without.length - 1000.0).abs() < 0.01, "{}", without.length);
    assert!(with.length > 1500.0, "{}", with.length);
}

/// Yardages over the widths, for garments that reach over all rows of the chart, as a band.
#[test]
fn width_tables_follow_the_published_chart() {
    let mut at_60 = Vec::new();
    for (cloth, times) in [("lining", 1), ("main", 1), ("main", 2)] {
        let mut project = project::load(&pinafore(), "project.json", &[]).expect("the demo");
        for cut in project.cuts.values_mut() {
            cut.count *= times;
        }
        let own = project.cloths.get_mut(cloth).expect("the cloth");
        (own.sold_by, own.width) = (YARD / 8.0, 60.0 * 25.4);
        let nap = own.nap;
        let table = widths_of(&project, cloth, &WIDTHS.map(|width| width * 25.4));
        assert_eq!(table.rows.len(), WIDTHS.len());
        let yards: Vec<f64> =
            table.rows.iter().map(|row| table.own(row).expect("possible").buy.length / YARD).collect();
        at_60.push(yards[6]);
        let chart = chart_for(yards[6]);
        for (column, width) in WIDTHS.iter().enumerate() {
            // Approximate by its own word; it adds 1/4 yd for a large change of width or one-way cloth, and a layout jumps
            // where one more piece fits beside the others: a quarter yard and a fifth either way.
            let off = (yards[column] - chart[column]).abs();
            let allowed = 0.25 + 0.2 * chart[column];
            assert!(
                off <= allowed,
                "{cloth} x {times}, {width} in: {} yd, {} in the chart",
                yards[column],
                chart[column]
            );
        }
        // Any layout is also one of wider cloth, and one with nap is also one without: so it is told, but for the
        // project's own row, which stays as `plan` has it.
        assert!(yards[..6].windows(2).all(|pair| pair[0] >= pair[1]), "{cloth} x {times}: {yards:?}");
        for row in table.rows.iter().filter(|row| row.width != table.width || !nap) {
            let (with, without) =
                (row.with_nap.as_ref().expect("possible"), row.without_nap.as_ref().expect("possible"));
            assert!(with.buy.length >= without.buy.length || row.width == table.width, "{row:?}");
        }
    }
    let (first, last) = (CHART[0][6], CHART[11][6]);
    assert!(at_60[0] <= first + 0.375 && at_60[2] >= last - 0.375, "the garments reach over the chart: {at_60:?}");
}

#[test]
fn the_shopping_list_by_arithmetic() {
    // 3.00 m at 5 % is 3.158 m before washing (trade-facts, arithmetic); 20 cm to spare make it 3.20 / 0.95 = 3.369 m.
    let mut document = project_of(
        &json!({ "shrinkage": { "length": 5 }, "price_per_metre": 10, "sold_by": 0.1, "lay": "open" }),
        &json!({ "sail": rectangle(90.0, 300.0) }),
        &json!({ "sail": { "piece": "sail", "cloth": "main" } }),
    );
    document["notions"] = json!({
        "zip": { "name": "lapped zip", "length": "22 cm", "price": 3.2 },
        "toggles": {
            "count": 4, "spare": 1, "price": 0.5, "diameter": "3/4 in",
            "spaced": { "along": ["sail.edge", "10 cm"], "fixed": 160, "first": 10, "last": "0.5 m", "widest_gap": 80 }
        },
        "tape": { "name": "cotton tape" }
    });
    document["pieces"]["sail"]["points"] = json!({ "top": [0, 300], "foot": [0, 0] });
    document["pieces"]["sail"]["edges"] = json!({ "edge": ["top", "foot"] });
    let project = loaded(&document);
    let planned = plan::plan(&project, &QUICK, &Silent).expect("a plan");
    let list = |spare: &[(&str, f64)]| {
        let spare: IndexMap<String, f64> = spare.iter().map(|&(key, mm)| (key.to_owned(), mm)).collect();
        plan::shopping_list(&project, &planned.document, &spare)
    };
    assert_eq!(list(&[]).cloths[0].buy, planned.document.cloths[0].buy);
    assert!(
        (list(&[]).cloths[0].buy.length - 3158.0).abs() < 1e-6
            && (list(&[]).cloths[0].need - 3_157.894_737).abs() < 1e-6
    );
    let list = list(&[("main", 200.0)]);
    assert!((list.cloths[0].buy.length - 3369.0).abs() < 1e-6);
    // Toggles: 10 to 160 cm are 150 cm, 2 gaps of 75 cm; below 160 there are 310 - 50 - 160 = 100 cm, one more.
    let places = list.notions[1].places.as_ref().expect("places");
    assert_eq!(places.from_upper_end, [100.0, 850.0, 1600.0, 2350.0].map(f64::from).to_vec());
    assert_eq!((places.gap, places.fixed, places.opening), (750.0, 3, 3100.0));
    assert_eq!((list.notions[1].buy, list.notions[1].cost, list.notions[1].buttonhole), (5, Some(2.5), Some(22.225)));
    // 33.69 of cloth, 3.20 and 2.50.
    assert_eq!((list.cost, list.without_price.as_slice()), (Some(39.39), &["tape".to_owned()][..]));
    let text = report::shopping_within(&list, 100);
    for wanted in [
        "3.37 m",
        "3 3/4 yd",
        "5 % of the length",
        "20.0 cm (7 7/8 in) to spare",
        "no price is given for tape",
        "22.0 cm",
    ] {
        assert!(text.contains(wanted), "{wanted} in\n{text}");
    }
}

#[test]
fn the_pinafores_buttons_go_through_the_middle_of_the_band() {
    for (depth, mm) in [("4 cm", 40.0), ("5 cm", 50.0), ("6 cm", 60.0)] {
        let choose = [("depth".to_owned(), depth.to_owned())];
        let project = project::load(&pinafore(), "project.json", &choose).expect("the demo");
        let spacing = project.notions["buttons"].spacing.as_ref().expect("spaced");
        let length =
            |piece: &str| ellwand::piece::seam_length(&project.pieces[piece], "front").expect("a front edge").sewn();
        let (above, band) = (length("upper-front"), length("band-front"));
        assert!((band - mm).abs() < 0.5, "{depth}: {band}");
        assert!((spacing.places[spacing.fixed] - (above + band / 2.0)).abs() < 1e-6);
        assert!((spacing.opening - (above + band + 620.0)).abs() < 1e-6);
        assert!((spacing.places[0] - 15.0).abs() < 1e-6 && spacing.gap <= 95.0);
        let last = spacing.places.last().expect("some");
        assert!(spacing.opening - last >= 100.0 && spacing.opening - last - spacing.gap < 100.0);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    /// What is printed to ask for in the shop is never below the need, in either system.
    #[test]
    fn no_amount_is_printed_below_need(need in 1.0f64..20_000.0) {
        for text in amounts(need) {
            let asked = parse_length(&text, Unit::Metre).expect("a length");
            prop_assert!(asked >= need - 1e-5, "{text} for {need} mm");
            prop_assert!(asked <= need + YARD / 8.0 + 1e-5, "{text} for {need} mm");
        }
    }
}
