//! Whole projects through the public door: what is read, what defaults stand in, what choices change.

use ellwand::project::{Grain, LayKind, Lays, Project, load};
use ellwand::units::Unit;

const GOOD: &str = include_str!("bad_input/good.json");

fn loaded(text: &str, choose: &[(&str, &str)]) -> Project {
    let choose: Vec<_> = choose.iter().map(|&(name, value)| (name.to_owned(), value.to_owned())).collect();
    load(text.as_bytes(), "apron.json", &choose).unwrap_or_else(|problems| {
        panic!("{}", problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))
    })
}

#[test]
fn everything_the_file_says_is_read() {
    let project = loaded(GOOD, &[]);
    assert_eq!(project.name, "Lamp-room apron");
    assert_eq!(project.unit, Unit::Centimetre);
    assert_eq!(project.cloths.keys().collect::<Vec<_>>(), ["main", "contrast"]);
    let main = &project.cloths["main"];
    assert_eq!(main.name, "brushed twill, navy");
    assert_eq!((main.width, main.selvedge, main.gap, main.ends), (1500.0, 10.0, 2.0, 50.0));
    assert!(main.nap && main.right_side);
    assert_eq!((main.shrinkage_length, main.shrinkage_width), (0.04, 0.02));
    assert_eq!((main.sold_by, main.price_per_metre), (100.0, Some(24.0)));
    assert_eq!(main.lays, Lays::Best);
    let contrast = &project.cloths["contrast"];
    assert_eq!(contrast.lays, Lays::These(vec![LayKind::Open, LayKind::LengthwiseFold]));
    assert!((contrast.width - 44.0 * 25.4).abs() < 1e-9);
    let band = &project.cuts["band"];
    assert_eq!((band.count, band.layers, band.grain), (2, 2, Grain::Crosswise));
    let skirt = &project.cuts["skirt"];
    assert_eq!((skirt.tilt, skirt.lay, skirt.mirrored), (2.0, Some(LayKind::Open), false));
    assert!(project.cuts["bib"].on_fold);
    assert_eq!(project.seams[0].one, ("bib".to_owned(), "waist".to_owned()));
    assert_eq!(project.seams.len(), 2);
    assert_eq!(project.chosen["band"], "double");
    assert!((project.pieces["bib"].allowance.edges["waist"] - 15.875).abs() < 1e-9);
    assert_eq!(project.pieces["skirt"].darts.len(), 1);
    assert_eq!(project.pieces["skirt"].shape.holes.len(), 1);
}

#[test]
fn what_is_left_out_has_its_default() {
    let least = |units: &str| {
        let text = format!(
            r#"{{ "ellwand": 1, "units": "{units}", "cloths": {{ "main": {{ "width": "150 cm" }} }},
            "pieces": {{ "a": {{ "outline": [[0, 0], [9, 0], [9, 9]], "grain": {{ "from": [5, 1], "to": [5, 3] }} }} }},
            "cuts": {{ "a": {{ "piece": "a", "cloth": "main" }} }} }}"#
        );
        loaded(&text, &[])
    };
    let project = least("cm");
    assert_eq!(project.name, "apron", "the file's name without its ending");
    let cloth = &project.cloths["main"];
    assert_eq!(cloth.name, "main");
    assert_eq!((cloth.selvedge, cloth.ends, cloth.gap), (0.0, 0.0, 0.0));
    assert_eq!((cloth.shrinkage_length, cloth.shrinkage_width), (0.0, 0.0));
    assert_eq!((cloth.nap, cloth.right_side, cloth.price_per_metre), (false, true, None));
    assert_eq!(cloth.lays, Lays::Best);
    let cut = &project.cuts["a"];
    assert_eq!((cut.count, cut.layers, cut.mirrored, cut.on_fold), (1, 1, false, false));
    assert_eq!((cut.grain, cut.tilt, cut.lay), (Grain::Lengthwise, 0.0, None));
    assert!(project.seams.is_empty() && project.chosen.is_empty());
    // Shops cut by 10 cm, or by 1/8 yd = 114.3 mm (common practice, no source).
    for (units, step) in [("mm", 100.0), ("cm", 100.0), ("m", 100.0), ("in", 114.3), ("ft", 114.3), ("yd", 114.3)] {
        assert_eq!(least(units).cloths["main"].sold_by, step, "{units}");
    }
}

#[test]
fn pieces_are_in_millimetres_whatever_the_unit() {
    // 9 x 9 / 2 = 40.5 square units (arithmetic).
    for (units, mm) in [("mm", 1.0), ("cm", 10.0), ("in", 25.4)] {
        for outline in [r#""M 0 0 L 9 0 L 9 9 Z""#, "[[0, 0], [9, 0], [9, 9]]", r#""m 0 0 h 9 v 9 z""#] {
            let text = format!(
                r#"{{ "ellwand": 1, "units": "{units}", "cloths": {{ "main": {{ "width": "150 cm" }} }},
                "pieces": {{ "a": {{ "outline": {outline}, "grain": {{ "from": [5, 1], "to": [5, 3] }} }} }},
                "cuts": {{ "a": {{ "piece": "a", "cloth": "main" }} }} }}"#
            );
            let area = loaded(&text, &[]).pieces["a"].shape.area();
            assert!((area - 40.5 * mm * mm).abs() < 1e-6 * area, "{units} {outline}: {area}");
        }
    }
}

#[test]
fn choices_change_the_garment() {
    let project = loaded(GOOD, &[("band", "single")]);
    assert_eq!(project.cuts["band"].layers, 1);
    assert_eq!((project.chosen["band"].as_str(), project.chosen["bib"].as_str()), ("single", "with"));
    let project = loaded(GOOD, &[("bib", "without"), ("band", "double")]);
    assert_eq!(project.cuts.keys().collect::<Vec<_>>(), ["skirt", "band"]);
    assert_eq!(project.seams.len(), 1);
    assert_eq!(project.cuts["band"].layers, 2);
}

/// Where two choices change the same value the later in the file has the last word, however they are asked for.
#[test]
fn choices_apply_in_the_order_of_the_file() {
    let text = GOOD.replace(r#""with": {}"#, r#""with": { "cuts": { "band": { "layers": 3 } } }"#);
    for choose in [[("band", "single"), ("bib", "with")], [("bib", "with"), ("band", "single")]] {
        assert_eq!(loaded(&text, &choose).cuts["band"].layers, 3);
    }
    assert_eq!(loaded(&text, &[("band", "single"), ("bib", "without")]).cuts["band"].layers, 1);
}

#[test]
fn what_is_asked_for_goes_before_the_files_own_choice() {
    let text = GOOD.replace(r#""band": "double", "bib": "with""#, r#""bib": "with""#);
    assert!(load(text.as_bytes(), "apron.json", &[]).is_err(), "nothing is chosen for the band");
    assert_eq!(loaded(&text, &[("band", "double")]).chosen["band"], "double");
    // The order of the file, not of asking.
    assert_eq!(loaded(&text, &[("band", "double")]).chosen.keys().collect::<Vec<_>>(), ["band", "bib"]);
}

#[test]
fn a_byte_order_mark_and_escapes_are_no_trouble() {
    let text = format!("\u{feff}{}", GOOD.replace("Lamp-room apron", "Lamp-room \\u00e9tole"));
    assert_eq!(loaded(&text, &[]).name, "Lamp-room \u{e9}tole");
}
