//! SVG as drawing programs and converters write it, to pieces.

mod import_common;

use ellwand::geometry::Bounds;
use ellwand::import::{GrainRule, Kind, Options};
use import_common::{bad, file, good, imported, listed, plans, sheet};
use proptest::prelude::*;

fn close(a: f64, b: f64, tolerance: f64) -> bool {
    (a - b).abs() <= tolerance
}

/// The size of a piece as the drawing shows it: x, y.
fn drawn(bounds: Bounds) -> (f64, f64) {
    (bounds.length(), bounds.width())
}

/// The smock drawn by hand, through Poppler and Cairo, and through MuPDF: the same pieces within 0.01 mm. Cairo shrinks what
/// it draws to the whole points of the PDF's page, as its matrix in the file says.
#[test]
fn converters_give_the_pieces_that_were_drawn() {
    let options = Options { square: Some(50.0), ..Options::default() };
    for (name, shrunk) in [("smock.svg", 1.0), ("smock-pdftocairo.svg", 0.999_288), ("smock-mutool.svg", 1.0)] {
        let found = good(&file(name), &options);
        assert_eq!(found.pieces.len(), 2, "{name}");
        let (body, sleeve) = (&found.pieces[0], &found.pieces[1]);
        // 20 to 128 by 12 to 368, and 160 to 280 by 40 to 210 on the sheet (read off the drawing).
        let within = |mm: f64, drawn: f64| close(mm, drawn * shrunk, 0.01);
        assert!(within(body.piece.shape.bounds().length(), 356.0) && within(body.piece.shape.bounds().width(), 108.0));
        assert!(
            within(sleeve.piece.shape.bounds().length(), 170.0) && within(sleeve.piece.shape.bounds().width(), 120.0)
        );
        assert_eq!((body.grain_rule, sleeve.grain_rule), (GrainRule::LongestLine, GrainRule::LongestLine));
        // The bracket points to the left edge, from (20, 40) to (20, 368).
        let fold = body.piece.fold.expect("a fold");
        assert!(body.on_fold && within((fold.to.x - fold.from.x).abs(), 328.0), "{name}: {fold:?}");
        assert!(body.source.points.values().all(|p| p.x.abs() < 0.05), "{name}: the fold is the left edge");
        assert_eq!(body.source.notches.len(), 1, "{name}");
        plans(&found);
    }
    let listing = listed(&file("smock-pdftocairo.svg"), &options).unwrap();
    assert_eq!(listing.lines[2].kind, Kind::Square);
    assert_eq!(listing.small, 3, "the lettering, drawn as outlines");
}

#[test]
fn what_a_plotting_library_writes_is_read_too() {
    let found = good(&file("matplotlib.svg"), &Options::default());
    let [piece] = &found.pieces[..] else { panic!("one piece: the background is the sheet") };
    // 6 by 7 in of a figure of 8 by 10 in.
    assert_eq!(piece.source.name, "cap-side");
    let bounds = piece.piece.shape.bounds();
    assert!(close(bounds.length(), 177.8, 1e-3) && close(bounds.width(), 152.4, 1e-3), "{bounds:?}");
    plans(&found);
}

/// Printed side up: SVG's y runs down, the project's up, and nothing is mirrored by it.
#[test]
fn pieces_are_not_mirrored() {
    // An L: on the screen its foot points right at the bottom.
    let found = good(&sheet("<path d='M 50 50 H 100 V 150 H 200 V 200 H 50 Z M 75 60 V 190'/>"), &Options::default());
    let points = &found.pieces[0].source.outline;
    assert_eq!(points.to_svg(), "M0,150 L50,150 L50,50 L150,50 L150,0 L0,0 Z");
    let [from, to] = found.pieces[0].source.grain.unwrap();
    assert!(to.y > from.y && to.x == from.x, "the upper end on the paper is the top");
}

#[test]
fn groups_uses_styles_and_units_are_followed() {
    // The same square of 60 mm, written in many ways.
    let ways = [
        "<rect x='10' y='10' width='60' height='60'/>",
        "<g transform='translate(10 10)'><g transform='scale(2)'><rect width='30' height='30'/></g></g>",
        "<polygon points='10,10 70,10 70,70 10 70'/>",
        "<polyline points='10,10 70,10 70,70 10 70 10 10'/>",
        "<path d='m10,10 h60 v60 h-60 z'/>",
        "<path d='M10 10h60v60'/><path d='M70 70H10V10'/>",
        "<line x1='10' y1='10' x2='70' y2='10'/><line x1='70' y1='70' x2='70' y2='10'/><line x1='70' y1='70' x2='10' y2='70'/><line x1='10' y1='10' x2='10' y2='70'/>",
        "<defs><path id='p' d='M0 0h60v60h-60z'/></defs><use href='#p' x='10' y='10'/>",
        "<defs><g id='p'><path d='M0 0h60v60h-60z'/></g></defs><g transform='translate(5,5)'><use xlink:href='#p' transform='translate(5,5)'/></g>",
        "<symbol id='s' viewBox='0 0 10 10'><path d='M0 0h10v10h-10z'/></symbol><use href='#s' x='10' y='10' width='60' height='60'/>",
        "<svg x='10' y='10' width='60' height='60' viewBox='0 0 6 6'><path d='M0 0h6v6h-6z'/></svg>",
        "<rect transform='rotate(90 40 40)' x='10' y='10' width='60' height='60'/>",
        "<rect transform='matrix(1 0 0 1 10 10)' style='fill:none;stroke:rgb(0%,0%,0%)' width='60' height='60'/>",
        "<style>.a{display:none} .b .c{stroke:red}</style><rect class='a' width='99' height='99'/><g class='b'><rect class='c' x='10' y='10' width='60' height='60'/></g>",
        "<clipPath id='k'><rect width='300' height='300'/></clipPath><g clip-path='url(#k)'><rect x='10' y='10' width='60' height='60'/></g>",
        "<rect visibility='hidden' width='99' height='99'/><rect stroke='none' width='99' height='99'/><rect x='10' y='10' width='60' height='60'/>",
        "<switch><foreignObject/><g><rect x='10' y='10' width='60' height='60'/></g></switch>",
        "<mask id='m'><rect width='99' height='99'/></mask><pattern id='q'><rect width='99' height='99'/></pattern><rect x='10' y='10' width='60' height='60'/>",
    ];
    for way in ways {
        let listing = listed(&sheet(way), &Options::default()).unwrap_or_else(|problems| panic!("{way}: {problems:?}"));
        assert_eq!(listing.lines.len(), 1, "{way}");
        let bounds = listing.lines[0].bounds;
        let fits = [(bounds.min.x, 10.0), (bounds.max.x, 70.0), (bounds.min.y, 330.0), (bounds.max.y, 390.0)];
        assert!(fits.iter().all(|(is, should)| close(*is, *should, 1e-9)), "{way}: {bounds:?}");
    }
    // The same 4 in, in every unit (CSS Values 3, 6.2: 1 in = 2.54 cm = 25.4 mm = 72 pt = 6 pc = 96 px).
    for (size, numbers) in [("4in", 4), ("10.16cm", 8), ("101.6mm", 1), ("288pt", 300), ("24pc", 2), ("384px", 7)] {
        let svg = format!(
            "<svg xmlns='http://www.w3.org/2000/svg' width='{size}' height='{size}' viewBox='0 0 {n} {n}'>\
             <circle cx='{h}' cy='{h}' r='{h}'/></svg>",
            n = 2 * numbers,
            h = numbers
        );
        let listing = listed(svg.as_bytes(), &Options::default()).unwrap();
        let (width, height) = drawn(listing.lines[0].bounds);
        // A circle in chords no further off than 0.1 mm.
        assert!(close(width, 101.6, 0.2) && close(height, 101.6, 0.2), "{size}: {width} {height}");
    }
}

#[test]
fn arcs_are_close_whatever_the_unit_of_the_drawing() {
    // A circle of 1 m across, in metres: its area is pi/4 m2 (arithmetic).
    let svg = "<svg xmlns='http://www.w3.org/2000/svg' width='1000mm' height='1000mm' viewBox='0 0 1 1'><circle cx='.5' cy='.5' r='.5'/></svg>";
    let found = good(svg.as_bytes(), &Options::default());
    let area = kurbo::Shape::area(&found.pieces[0].source.outline).abs();
    assert!(close(area, std::f64::consts::FRAC_PI_4 * 1e6, 1.0), "{area}");
}

#[test]
fn lines_inside_are_read_by_the_rules() {
    let body = "
        <path id='front' d='M 20 20 H 220 V 320 H 20 Z'/>
        <path d='M 30 60 H 150'/>
        <path class='grain' d='M 100 250 L 102 100 L 105 110'/>
        <path d='M 60 320 L 70 260 L 80 320'/>
        <path d='M 160 320 L 170 250'/><path d='M 170 250 L 180 320'/>
        <path d='M 220 100 h -6'/><path d='M 224 200 h -8'/>
        <path id='place on fold' d='M 24 50 V 300'/>
        <text x='50' y='100'>Front<tspan x='50' dy='8'>cut 1 on fold</tspan></text>
        <path d='M 250 40 H 380 V 180 H 250 Z M 300 100 a 5 5 0 1 0 10 0 a 5 5 0 1 0 -10 0'/>
        <path d='M 380 110 H 260'/>
        <text x='280' y='160'>Cuff, cut 4</text>
        <path d='M 250 200 H 390 V 390 H 250 Z'/><path d='M 260 210 H 380 V 380 H 260 Z' id='stitching'/>";
    let found = good(&sheet(body), &Options::default());
    let [front, cuff, plain] = &found.pieces[..] else { panic!("three pieces") };
    assert_eq!((front.source.name.as_str(), front.count, front.on_fold), ("front", 1, true));
    assert_eq!(front.grain_rule, GrainRule::Named, "a named line goes before a longer one");
    let [from, to] = front.source.grain.unwrap();
    // The arrowhead drawn on to it is not the grain.
    assert_eq!((from.x, from.y, to.x, to.y), (80.0, 70.0, 82.0, 220.0));
    assert_eq!(front.source.darts.len(), 2, "in one line and in two");
    assert!(front.source.darts.iter().any(|dart| close(dart.apex.x, 150.0, 1e-9) && close(dart.apex.y, 70.0, 1e-9)));
    let mut notches: Vec<(f64, f64)> = front.source.notches.iter().map(|p| (p.x.round(), p.y.round())).collect();
    notches.sort_by(|a, b| a.1.total_cmp(&b.1));
    assert_eq!(notches, [(200.0, 120.0), (200.0, 220.0)], "one touches the edge, one crosses it");
    assert_eq!((cuff.source.name.as_str(), cuff.count, cuff.mirrored), ("Cuff", 4, true));
    assert_eq!(cuff.source.holes.len(), 1, "drawn in the outline's own element");
    assert_eq!(cuff.grain_rule, GrainRule::UpThePaper, "a line that touches the outline is none");
    assert!(found.notes.iter().any(|note| note.starts_with("Cuff: no grain line")));
    assert_eq!(plain.source.allowance.included, 10.0, "from the stitching line");
    plans(&found);
}

#[test]
fn a_level_grain_line_points_to_the_right_whichever_way_it_was_drawn() {
    for line in ["M 50 100 H 150", "M 150 100 H 50"] {
        let found =
            good(&sheet(&format!("<path d='M 20 20 H 220 V 170 H 20 Z'/><path d='{line}'/>")), &Options::default());
        let [from, to] = found.pieces[0].source.grain.unwrap();
        assert!(to.x > from.x, "{line}");
    }
}

#[test]
fn pieces_are_picked_by_number_name_layer_or_colour() {
    // Two sizes nested, a stitching line, a pocket drawn inside.
    let body = "
        <rect width='400' height='400'/>
        <g id='size-12'><path id='back' stroke='#ff0000' d='M 20 20 H 220 V 320 H 20 Z'/>
          <path stroke='red' d='M 30 30 H 210 V 310 H 30 Z'/></g>
        <g id='size-14'><path stroke='#0000ff' d='M 20 20 H 230 V 330 H 20 Z'/></g>
        <path id='pocket' stroke='green' d='M 60 60 H 120 V 120 H 60 Z'/>
        <path id='pocket' stroke='green' d='M 60 60 H 120 V 120 H 60 Z'/>";
    let taken = |pick: &str| -> Vec<usize> {
        let pick = pick.split(',').filter(|p| !p.is_empty()).map(str::to_owned).collect();
        let options = Options { pick, ..Options::default() };
        let listing = listed(&sheet(body), &options).unwrap();
        listing.lines.iter().filter(|line| line.taken).map(|line| line.number).collect()
    };
    assert_eq!(taken(""), [4], "the outermost; the sheet's edge is none");
    assert_eq!(taken("size-12"), [2], "of a layer the outermost");
    assert_eq!(taken("#f00"), [2]);
    assert_eq!(taken("Back,5"), [2, 5]);
    assert_eq!(taken("green"), [5], "drawn twice, taken once");
    assert_eq!(taken("3"), [3]);
    let listing = listed(&sheet(body), &Options::default()).unwrap();
    let kinds: Vec<Kind> = listing.lines.iter().map(|line| line.kind).collect();
    assert_eq!(kinds, [Kind::Sheet, Kind::Inside(4), Kind::Inside(2), Kind::Piece, Kind::Inside(3), Kind::Copy(5)]);
    let options = Options { pick: vec!["size-13".into()], ..Options::default() };
    assert!(bad(&sheet(body), &options).contains("\"size-13\" is no closed line"));
}

#[test]
fn the_test_square_is_measured() {
    let drawing = |side: f64| {
        sheet(&format!(
            "<path d='M 20 20 H 220 V 320 H 20 Z'/><rect id='test-square' x='250' y='20' width='{side}' height='{side}'/><rect x='250' y='200' width='101' height='101'/>"
        ))
    };
    let with = |scale: f64| Options { scale, square: Some(101.6), ..Options::default() };
    // Half a per cent either way holds: 101.092 to 102.108 mm (arithmetic).
    for (side, holds) in [(101.6, true), (101.1, true), (102.1, true), (101.08, false), (102.12, false), (50.8, false)]
    {
        assert_eq!(imported(&drawing(side), &with(1.0)).is_ok(), holds, "{side}");
    }
    assert!(imported(&drawing(50.8), &with(2.0)).is_ok());
    let said = bad(&drawing(50.8), &with(1.0));
    assert!(
        said.contains("50.8 mm (2.000 in)") && said.contains("101.6 mm (4.000 in)") && said.contains("--scale 2."),
        "{said}"
    );
    // A drawing at 72 to the inch that was taken for 96: 4/3.
    let said = bad(&drawing(76.2), &with(1.0));
    assert!(said.contains("--scale 1.33333"), "{said}");
    let stretched = sheet("<rect id='test square' x='250' y='20' width='100' height='103'/>");
    assert!(bad(&stretched, &with(1.0)).contains("stretched"));
    let none = sheet("<path d='M 20 20 H 220 V 320 H 20 Z'/>");
    assert!(bad(&none, &with(1.0)).contains("no square"));
    // A square piece stays a piece where the test square is another one.
    let found = good(&drawing(101.6), &with(1.0));
    assert_eq!(found.pieces.len(), 2);
}

#[test]
fn a_pattern_at_half_scale_is_doubled_allowance_and_all() {
    let found = good(
        &sheet("<path d='M 20 20 H 120 V 170 H 20 Z'/><path id='stitching line' d='M 25 25 H 115 V 165 H 25 Z'/>"),
        &Options { scale: 2.0, ..Options::default() },
    );
    let piece = &found.pieces[0];
    assert_eq!((piece.piece.shape.area(), piece.source.allowance.included), (200.0 * 300.0, 10.0));
}

#[derive(Debug, Clone)]
enum Part {
    Rect([f64; 4]),
    Polygon(Vec<(f64, f64)>),
    Curve([f64; 6]),
}

impl Part {
    fn svg(&self) -> String {
        match self {
            Self::Rect([x, y, w, h]) => format!("<rect x='{x}' y='{y}' width='{w}' height='{h}'/>"),
            Self::Polygon(points) => {
                let list: Vec<String> = points.iter().map(|(x, y)| format!("{x},{y}")).collect();
                format!("<polygon points='{}'/>", list.join(" "))
            }
            Self::Curve([a, b, c, d, e, f]) => {
                format!("<path d='m {a} {b} c {c} {d} {e} {f} 60 0 s {a} {d} 10 90 z'/>")
            }
        }
    }
}

fn part() -> impl Strategy<Value = Part> {
    let n = || (-80_i32..80).prop_map(f64::from);
    let size = || (20_i32..120).prop_map(f64::from);
    prop_oneof![
        (n(), n(), size(), size()).prop_map(|(x, y, w, h)| Part::Rect([x, y, w, h])),
        prop::collection::vec((n(), n()), 3..7).prop_map(Part::Polygon),
        prop::array::uniform6(n()).prop_map(Part::Curve),
    ]
}

fn transform() -> impl Strategy<Value = String> {
    let n = || (-40_i32..40).prop_map(f64::from);
    prop_oneof![
        (n(), n()).prop_map(|(x, y)| format!("translate({x} {y})")),
        n().prop_map(|angle| format!("rotate({angle})")),
        (5_i32..30, 5_i32..30).prop_map(|(x, y)| format!("scale({},-{})", f64::from(x) / 10.0, f64::from(y) / 10.0)),
        n().prop_map(|angle| format!("skewX({})", angle / 2.0)),
        (n(), n()).prop_map(|(x, y)| format!("matrix(0.8 0.3 -0.2 1.1 {x} {y})")),
    ]
}

/// Elements nested in groups, some defined once and used.
fn drawing() -> impl Strategy<Value = String> {
    let leaf = part().prop_map(|part| part.svg());
    let nested = leaf.prop_recursive(3, 12, 3, |inner| {
        (prop::collection::vec(inner, 1..3), transform(), any::<bool>(), 0_u32..1_000_000).prop_map(
            |(parts, transform, is_used, number)| {
                let body = parts.concat();
                if is_used {
                    format!("<defs><g id='u{number}'>{body}</g></defs><use xlink:href='#u{number}' x='5' y='-3' transform='{transform}'/>")
                } else {
                    format!("<g transform='{transform}'>{body}</g>")
                }
            },
        )
    });
    (prop::collection::vec(nested, 1..4), transform(), prop::sample::select(vec!["mm", "pt", "in", "cm", "px"])).prop_map(
        |(parts, transform, unit)| {
            format!(
                "<svg xmlns='http://www.w3.org/2000/svg' xmlns:xlink='http://www.w3.org/1999/xlink' width='30{unit}' \
                 height='40{unit}' viewBox='-10 -20 330 200' fill='none' stroke='black'><g transform='{transform}'>{}</g></svg>",
                parts.concat()
            )
        },
    )
}

/// The area a path encloses by `kurbo`, in square px.
fn enclosed(path: &usvg::tiny_skia_path::Path) -> f64 {
    use kurbo::Shape;
    use usvg::tiny_skia_path::PathSegment;
    let at = |p: usvg::tiny_skia_path::Point| kurbo::Point::new(f64::from(p.x), f64::from(p.y));
    let elements = path.segments().map(|segment| match segment {
        PathSegment::MoveTo(p) => kurbo::PathEl::MoveTo(at(p)),
        PathSegment::LineTo(p) => kurbo::PathEl::LineTo(at(p)),
        PathSegment::QuadTo(c, p) => kurbo::PathEl::QuadTo(at(c), at(p)),
        PathSegment::CubicTo(c, d, p) => kurbo::PathEl::CurveTo(at(c), at(d), at(p)),
        PathSegment::Close => kurbo::PathEl::ClosePath,
    });
    elements.collect::<kurbo::BezPath>().area().abs()
}

/// The bounds of every closed path as the `usvg` library sees them, in mm, y up, and the area in square mm.
fn seen_by_usvg(svg: &str) -> Vec<([f64; 4], f64)> {
    fn walk(group: &usvg::Group, height: f64, found: &mut Vec<([f64; 4], f64)>) {
        for node in group.children() {
            match node {
                usvg::Node::Group(inner) => walk(inner, height, found),
                usvg::Node::Path(path) => {
                    let placed = path.data().clone().transform(path.abs_transform());
                    let Some(placed) = placed else { continue };
                    let Some(bounds) = placed.compute_tight_bounds() else { continue };
                    let mm = |px: f32| f64::from(px) * 25.4 / 96.0;
                    let edges = [
                        mm(bounds.left()),
                        height - mm(bounds.bottom()),
                        mm(bounds.right()),
                        height - mm(bounds.top()),
                    ];
                    found.push((edges, enclosed(&placed) * (25.4 / 96.0) * (25.4 / 96.0)));
                }
                _ => {}
            }
        }
    }
    let tree = usvg::Tree::from_str(svg, &usvg::Options::default()).expect("usvg reads it");
    let mut found = Vec::new();
    walk(tree.root(), f64::from(tree.size().height()) * 25.4 / 96.0, &mut found);
    found
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    /// `usvg`, a general SVG library, is the reference for transforms, `use`, view boxes and units; it works in 32-bit
    /// numbers, and curves here are chords within 0.1 mm.
    #[test]
    fn agrees_with_usvg(svg in drawing()) {
        let ours: Vec<[f64; 4]> = match listed(svg.as_bytes(), &Options::default()) {
            Ok(listing) => listing.lines.iter().map(|l| [l.bounds.min.x, l.bounds.min.y, l.bounds.max.x, l.bounds.max.y]).collect(),
            Err(_) => Vec::new(),
        };
        let mut theirs = seen_by_usvg(&svg);
        for bounds in &ours {
            let size = bounds.iter().fold(0.0_f64, |most, v| most.max(v.abs()));
            let same = |other: &[f64; 4]| bounds.iter().zip(other).all(|(a, b)| (a - b).abs() < 0.12 + size * 1e-5);
            let Some(at) = theirs.iter().position(|(other, _)| same(other)) else {
                return Err(TestCaseError::fail(format!("{bounds:?} is not among {theirs:?} in {svg}")));
            };
            theirs.remove(at);
        }
        // What is left over is too small to be a piece, or encloses nothing.
        for ([left, bottom, right, top], area) in theirs {
            let long = (right - left).max(top - bottom);
            prop_assert!(long < 20.2 || area < 0.2 * long, "{svg}");
        }
    }
}
