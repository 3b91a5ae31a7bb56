//! Small projects for tests.
#![allow(dead_code)] // Each test uses its own part of this.

pub(crate) mod bodice;
pub(crate) mod chart;

use ellwand::nest::Effort;
use ellwand::plan::{Failure, Options, Planned, Silent, plan};
use ellwand::project::{self, Project};
use serde_json::{Value, json};

/// A project of one cloth called "main", 100 cm wide unless `cloth` says otherwise.
pub(crate) fn project_of(cloth: &Value, pieces: &Value, cuts: &Value) -> Value {
    let mut main = json!({ "width": 100, "sold_by": 1 });
    for (key, value) in cloth.as_object().expect("an object") {
        main[key] = value.clone();
    }
    json!({ "ellwand": 1, "name": "test", "units": "cm", "cloths": { "main": main }, "pieces": pieces, "cuts": cuts })
}

/// A rectangle, `length` along the grain.
pub(crate) fn rectangle(width: f64, length: f64) -> Value {
    let corners = [[0.0, 0.0], [width, 0.0], [width, length], [0.0, length]];
    json!({ "outline": corners, "grain": { "from": [0, 0], "to": [0, 1] } })
}

/// A rectangle given as half, its fold edge along the grain: `width` is that of the half.
pub(crate) fn half_rectangle(width: f64, length: f64) -> Value {
    let mut half = rectangle(width, length);
    half["points"] = json!({ "top": [0, length], "bottom": [0, 0] });
    half["edges"] = json!({ "centre": ["top", "bottom"] });
    half["fold"] = json!("centre");
    half
}

/// Loads a project that must be good.
pub(crate) fn loaded(document: &Value) -> Project {
    project::load(document.to_string().as_bytes(), "test.json", &[]).unwrap_or_else(|problems| {
        panic!("{}", problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))
    })
}

/// Plans a project at the effort "quick".
pub(crate) fn quick(document: &Value) -> Result<Planned, Failure> {
    plan(&loaded(document), &Options { effort: Effort::Quick, ..Options::default() }, &Silent)
}

/// Plans a project that can be planned.
pub(crate) fn planned(document: &Value) -> Planned {
    quick(document).unwrap_or_else(|failure| panic!("{failure:?}"))
}

/// Length used and amount to buy, in mm, of one of the lays tried for the first cloth.
pub(crate) fn tried(planned: &Planned, lay: &str) -> Option<(f64, f64)> {
    planned.document.cloths[0].tried.iter().find(|tried| tried.lay == lay).map(|tried| (tried.length, tried.buy))
}
