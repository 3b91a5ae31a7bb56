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
