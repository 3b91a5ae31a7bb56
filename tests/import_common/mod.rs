//! Drawings for tests.
#![allow(dead_code)] // Each test uses its own part of this.

use std::fs;
use std::path::PathBuf;

use ellwand::error::Problems;
use ellwand::import::{self, Imported, Listing, Options};
use ellwand::nest::Effort;
use ellwand::plan::{self, Silent};
use ellwand::project;

pub(crate) fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// A file of `tests/import`.
pub(crate) fn file(name: &str) -> Vec<u8> {
    fs::read(root().join("tests/import").join(name)).expect("the drawing can be read")
}

pub(crate) fn listed(bytes: &[u8], options: &Options) -> Result<Listing, Problems> {
    let drawing = import::read(bytes, "drawing", options)?;
    import::listing(&drawing, options)
}

pub(crate) fn imported(bytes: &[u8], options: &Options) -> Result<Imported, Problems> {
    let drawing = import::read(bytes, "drawing", options)?;
    let listing = import::listing(&drawing, options)?;
    import::pieces(&drawing, &listing)
}

/// Imports what has to be good.
pub(crate) fn good(bytes: &[u8], options: &Options) -> Imported {
    imported(bytes, options).unwrap_or_else(|problems| {
        panic!("{}", problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))
    })
}

/// All the problems of what has to be bad, in one text.
pub(crate) fn bad(bytes: &[u8], options: &Options) -> String {
    let problems = imported(bytes, options).expect_err("it is refused");
    problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
}

/// The drawing's project plans as it comes.
pub(crate) fn plans(imported: &Imported) {
    let text = import::project_text("drawing", imported);
    let project =
        project::load(text.as_bytes(), "drawing.json", &[]).unwrap_or_else(|problems| panic!("{problems:?}\n{text}"));
    let options = plan::Options { effort: Effort::Quick, ..plan::Options::default() };
    let planned = plan::plan(&project, &options, &Silent).unwrap_or_else(|failure| panic!("{failure:?}\n{text}"));
    assert!(planned.document.cloths[0].length > 0.0);
}

/// An SVG of 400 by 400 mm around some elements.
pub(crate) fn sheet(body: &str) -> Vec<u8> {
    format!(
        "<svg xmlns='http://www.w3.org/2000/svg' xmlns:xlink='http://www.w3.org/1999/xlink' width='400mm' \
         height='400mm' viewBox='0 0 400 400' fill='none' stroke='black'>{body}</svg>"
    )
    .into_bytes()
}
