//! DXF drawings to pieces.

mod import_common;

use ellwand::import::{FileUnit, GrainRule, Options};
use ellwand::units::Unit;
use import_common::{bad, file, good, listed, plans};

/// Written by ezdxf, a general DXF library: what was asked of it is what comes out.
#[test]
fn blocks_are_pieces_and_sizes_are_chosen() {
    let of_size = |size: &str| Options { size: Some(size.into()), ..Options::default() };
    let listing = listed(&file("gaiters.dxf"), &Options::default()).unwrap();
    assert_eq!(listing.sizes, ["small", "large"]);
    for (size, width) in [("small", 150.0), ("large", 180.0)] {
        let found = good(&file("gaiters.dxf"), &of_size(size));
        let [gaiter, strap] = &found.pieces[..] else { panic!("two pieces") };
        assert_eq!((gaiter.source.name.as_str(), gaiter.count, gaiter.on_fold), ("gaiter", 4, true));
        assert_eq!((strap.source.name.as_str(), strap.count, strap.mirrored), ("strap", 2, true));
        // The grain runs along x; a trapezium 20 mm narrower at the top.
        assert_eq!(gaiter.piece.shape.bounds().length(), width);
        let hole = std::f64::consts::PI * 36.0;
        let area = (width - 10.0) * 300.0 - hole;
        assert!((gaiter.piece.shape.area() - area).abs() < 4.0, "{} {area}", gaiter.piece.shape.area());
        assert_eq!((gaiter.grain_rule, strap.grain_rule), (GrainRule::Named, GrainRule::Named));
        let fold = gaiter.piece.fold.expect("the mirror line");
        assert_eq!((fold.from.y, fold.to.y, fold.to.x - fold.from.x), (0.0, 0.0, width));
        assert_eq!(gaiter.source.notches.len(), 1, "the drill hole is no notch");
        plans(&found);
    }
    assert!(bad(&file("gaiters.dxf"), &Options::default()).contains("sizes are small, large"));
    assert!(bad(&file("gaiters.dxf"), &of_size("medium")).contains("sizes are small, large"));
}

/// An ordinary drawing: bulges, a spline in a block put in turned by a quarter, joined to a line; inches from the header.
#[test]
fn an_ordinary_drawing_is_read_as_one() {
    let found = good(&file("mitten.dxf"), &Options::default());
    let [palm, thumb] = &found.pieces[..] else { panic!("two pieces") };
    assert_eq!((palm.source.name.as_str(), thumb.source.name.as_str()), ("palm", "thumb"));
    // A square of 4 in and a circle of 2 in radius (arithmetic), in mm2.
    let exact = (16.0 + 4.0 * std::f64::consts::PI) * 25.4 * 25.4;
    assert!((kurbo::Shape::area(&palm.source.outline).abs() - exact).abs() < 0.5);
    // A cubic from (0, 0) by (1, 3) and (3, 3) to (4, 0): the area under it is 6.3 in2
    // (3/20 (y1 + y2)(x3 - x0) + 3/20 (x2 - x1)(y1 + y2) ... integrated exactly: kurbo is the reference).
    let cubic = kurbo::CubicBez::new((0.0, 0.0), (1.0, 3.0), (3.0, 3.0), (4.0, 0.0));
    let exact = kurbo::ParamCurveArea::signed_area(&cubic).abs() * 25.4 * 25.4;
    assert!((kurbo::Shape::area(&thumb.source.outline).abs() - exact).abs() < 1e-6 * exact);
    // Turned by a quarter: 3 in of sag lie along x, 4 in along y.
    assert!((thumb.piece.shape.bounds().width() - 101.6).abs() < 1e-6 && thumb.grain_rule == GrainRule::Named);
    plans(&found);
}

#[test]
fn units_are_asked_for_where_the_file_names_none() {
    let text = String::from_utf8(file("gaiters.dxf")).unwrap().replace("Units: METRIC", "made in a lighthouse");
    let options = |units| Options { units, size: Some("small".into()), ..Options::default() };
    assert!(bad(text.as_bytes(), &options(None)).contains("names no unit of length"));
    let inches = good(text.as_bytes(), &options(Some(FileUnit::Length(Unit::Inch))));
    assert_eq!(inches.pieces[0].piece.shape.bounds().length(), 150.0 * 25.4);
    let english = text.replace("made in a lighthouse", "UNITS: ENGLISH");
    assert_eq!(good(english.as_bytes(), &options(None)).pieces[0].piece.shape.bounds().length(), 150.0 * 25.4);
}

#[test]
fn line_ends_and_letters_of_old_files_do_no_harm() {
    let text = String::from_utf8(file("gaiters.dxf")).unwrap();
    let mut bytes = text.replace('\n', "\r\n").replace("Piece Name: strap", "Piece Name: G\u{1}rtel").into_bytes();
    for byte in &mut bytes {
        if *byte == 1 {
            *byte = 0xfc; // u with two dots, in the code page of old files
        }
    }
    let found = good(&bytes, &Options { size: Some("large".into()), ..Options::default() });
    assert_eq!(found.pieces[1].source.name, "G\u{fc}rtel");
}
