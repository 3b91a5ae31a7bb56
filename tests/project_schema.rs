//! The printed schema, judged by a validator of its own: the jsonschema crate.

use ellwand::project::{load, schema};
use proptest::prelude::*;
use serde_json::{Value, json};

const GOOD: &str = include_str!("bad_input/good.json");

fn good() -> Value {
    serde_json::from_str(GOOD).unwrap()
}

#[test]
fn the_schema_is_a_schema_and_describes_every_key() {
    let schema = schema();
    jsonschema::meta::validate(&schema).unwrap();
    assert_described(&schema);
    assert_eq!(schema["additionalProperties"], json!(false));
    assert_eq!(schema["required"], json!(["ellwand", "units", "cloths", "pieces", "cuts"]));
}

fn assert_described(value: &Value) {
    if let Some(properties) = value.get("properties").and_then(Value::as_object) {
        for (key, property) in properties {
            let is_refused = property == &json!(false);
            assert!(is_refused || property["description"].as_str().is_some_and(|text| text.len() > 10), "{key}");
        }
    }
    match value {
        Value::Object(members) => members.values().for_each(assert_described),
        Value::Array(items) => items.iter().for_each(assert_described),
        _ => {}
    }
}

#[test]
fn good_projects_are_valid() {
    let validator = jsonschema::validator_for(&schema()).unwrap();
    let errors: Vec<String> = validator.iter_errors(&good()).map(|error| error.to_string()).collect();
    assert!(errors.is_empty(), "{errors:?}");
    let least = json!({
        "ellwand": 1, "units": "in", "cloths": { "main": { "width": "45 in" } },
        "pieces": { "a": { "outline": [[0, 0], ["4 1/2 in", 0], [4, 4]], "grain": { "from": [3, 1], "to": [3, 2] } } },
        "cuts": { "a": { "piece": "a", "cloth": "main", "grain": "any" } },
    });
    assert!(validator.is_valid(&least));
    load(least.to_string().as_bytes(), "least.json", &[]).unwrap();
}

/// What is wrong in its structure is wrong by the schema too, and not for the reader alone.
#[test]
fn structurally_bad_projects_are_not_valid() {
    let validator = jsonschema::validator_for(&schema()).unwrap();
    for (pointer, bad) in [
        ("/ellwand", json!(2)),
        ("/units", json!("fathom")),
        ("/name", json!("")),
        ("/cloths", json!([])),
        ("/cloths/main", json!("twill")),
        ("/cloths/main/width", json!(0)),
        ("/cloths/main/width", json!(-150)),
        ("/cloths/main/width", json!(true)),
        ("/cloths/main/selvedge", json!(-1)),
        ("/cloths/main/nap", json!("yes")),
        ("/cloths/main/shrinkage", json!({ "length": 100 })),
        ("/cloths/main/shrinkage", json!({ "length": -1 })),
        ("/cloths/main/shrinkage", json!({ "lenght": 1 })),
        ("/cloths/main/lay", json!("crosswise pleat")),
        ("/cloths/main/lay", json!([])),
        ("/cloths/main", json!({ "name": "no width" })),
        ("/cloths/main", json!({ "width": 150, "colour": "navy" })),
        ("/pieces/band/outline", json!(7)),
        ("/pieces/band/outline", json!([[0, 0], [1, 1]])),
        ("/pieces/band/outline", json!([[0, 0], [1, 1], [1, 2, 3]])),
        ("/pieces/band/edges/lower", json!(["a"])),
        ("/pieces/band/grain", json!({ "from": [0, 0] })),
        ("/pieces/skirt/darts", json!([{ "apex": [0, 0], "legs": [[0, 0]] }])),
        ("/pieces/skirt/holes", json!({})),
        ("/cuts/band/count", json!(0)),
        ("/cuts/band/count", json!(2.5)),
        ("/cuts/band/count", json!(1001)),
        ("/cuts/band/layers", json!("two")),
        ("/cuts/band/grain", json!("sideways")),
        ("/cuts/skirt/tilt", json!(45)),
        ("/cuts/band", json!({ "piece": "band" })),
        ("/seams", json!([["bib.waist"]])),
        ("/choices/band", json!(["single", "double"])),
        ("/choices/band/double", json!(5)),
        ("/choices/band/double", json!({ "chosen": {} })),
        ("/chosen/band", json!(1)),
    ] {
        let mut document = good();
        *document.pointer_mut(pointer).unwrap() = bad.clone();
        assert!(!validator.is_valid(&document), "{pointer}: {bad} is valid by the schema");
        assert!(load(document.to_string().as_bytes(), "apron.json", &[]).is_err(), "{pointer}: {bad} is loaded");
    }
}

/// Every place in a document.
fn pointers(value: &Value, at: &str, found: &mut Vec<String>) {
    found.push(at.to_owned());
    match value {
        Value::Object(members) => {
            for (key, value) in members {
                pointers(value, &format!("{at}/{key}"), found);
            }
        }
        Value::Array(items) => {
            for (number, value) in items.iter().enumerate() {
                pointers(value, &format!("{at}/{number}"), found);
            }
        }
        _ => {}
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    /// The schema refuses nothing that the program takes, wherever a value is changed.
    #[test]
    fn what_is_loaded_is_valid(
        place in any::<prop::sample::Index>(),
        value in prop_oneof![
            Just(json!(null)), Just(json!(true)), Just(json!(false)), Just(json!("best")), Just(json!("open")),
            Just(json!("1/2 in")), Just(json!("any")), Just(json!([])), Just(json!({})), Just(json!(["open"])),
            Just(json!([1, 2])), (-2.0..50.0).prop_map(|number| json!(number)), (-2..1100).prop_map(|number| json!(number)),
        ],
    ) {
        thread_local! {
            static VALIDATOR: jsonschema::Validator = jsonschema::validator_for(&schema()).unwrap();
        }
        let mut document = good();
        let mut places = Vec::new();
        pointers(&document, "", &mut places);
        *document.pointer_mut(place.get::<String>(&places)).unwrap() = value;
        if load(document.to_string().as_bytes(), "apron.json", &[]).is_ok() {
            prop_assert!(VALIDATOR.with(|validator| validator.is_valid(&document)), "{}", document);
        }
    }
}
