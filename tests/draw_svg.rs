//! The drawings as SVG: what is written is well formed, and the same every time.

mod draw_fixtures;

use ellwand::draw::{self, Options};

#[test]
fn drawings_are_well_formed_and_named() {
    let document = draw_fixtures::pinafore();
    for cloth in &document.cloths {
        let text = draw::svg::write(&draw::display_list(&document, cloth, &Options::default()));
        let tree = roxmltree::Document::parse(&text).expect("well-formed XML");
        let file = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("{}.svg", cloth.cloth));
        std::fs::write(file, &text).expect("writable");
        assert!(matches!(tree.root_element().attribute("width"), Some("297mm" | "210mm")));
    }
}
