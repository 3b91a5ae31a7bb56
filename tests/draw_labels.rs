//! What the display list promises: nothing off the page, no two texts on one another, every label in its piece or joined
//! to it by a line. The questions are asked of `geo`, a general-purpose geometry library, not of the drawing's own.

mod draw_fixtures;

use draw_fixtures::{at, pose, ring};
use ellwand::draw::{self, DisplayList, Frame, LabelPlace, Mark, Options, Paper, Sheet};
use ellwand::geometry::{Point, Shape};
use ellwand::layout::{Buy, ClothPlan, PlanDocument, Ply, Section};
use geo::{Area, Contains, Intersects, LineString, Polygon, Relate};
use indexmap::IndexMap;
use proptest::prelude::*;

const POINT: f64 = 25.4 / 72.0;

fn polygon(points: &[Point]) -> LineString {
    let mut points = points.to_vec();
    points.push(points[0]);
    LineString::new(points)
}

/// No point of the frame is farther from its centre.
fn reach(frame: &Frame) -> f64 {
    frame.half_width + frame.half_height
}

fn frame_polygon(frame: &Frame, less: f64) -> Polygon {
    Polygon::new(polygon(&frame.grown(-less).corners()), Vec::new())
}

fn shape_polygon(shape: &Shape) -> Polygon {
    Polygon::new(polygon(&shape.outline), shape.holes.iter().map(|hole| polygon(hole)).collect())
}

fn assert_sheet(sheet: &Sheet) {
    let inside = |p: &Point| p.x >= 0.0 && p.y >= 0.0 && p.x <= sheet.width && p.y <= sheet.height;
    let mut boxes: Vec<(&str, Frame)> = Vec::new();
    for mark in &sheet.marks {
        match mark {
            Mark::Path(path) => {
                assert!(
                    path.lines.iter().flat_map(|line| &line.points).all(inside),
                    "a line leaves the page: {path:?}"
                );
            }
            Mark::Text(text) => {
                assert!(text.frame.corners().iter().all(inside), "text leaves the page: {text:?}");
                assert!(text.size >= 6.0 * POINT - 1e-9, "text is too small: {text:?}");
                assert!(!text.content.chars().any(char::is_control));
                boxes.push((&text.content, text.frame));
            }
        }
    }
    for (i, (a, one)) in boxes.iter().enumerate() {
        for (b, other) in &boxes[i + 1..] {
            let apart = libm::hypot(one.centre.x - other.centre.x, one.centre.y - other.centre.y);
            if apart > reach(one) + reach(other) {
                continue;
            }
            let clash = frame_polygon(one, 0.01).intersects(&frame_polygon(other, 0.01));
            assert!(!clash, "{a:?} and {b:?} lie on one another: {one:?} {other:?}");
        }
    }
    for placed in &sheet.placements {
        assert_label(placed, sheet);
    }
}

fn assert_label(placed: &draw::Placed, sheet: &Sheet) {
    let shape = shape_polygon(&placed.shape);
    match &placed.label {
        LabelPlace::Inside(frame) => {
            assert!(shape.contains(&frame_polygon(frame, 0.0)), "the label of {} leaves its piece", placed.cut);
            assert!(placed.grain.is_some(), "{} has no grain arrow", placed.cut);
        }
        LabelPlace::Leader { frame, line } => {
            // The line ends in the piece (or on it, where it is so thin that it has no inside to speak of).
            let end = geo::Point::from(line[1]);
            let near = shape.unsigned_area() < 0.05 || shape.contains(&end) || shape.intersects(&end);
            assert!(near, "the line of {} misses its piece", placed.cut);
            let start = geo::Point::from(line[0]);
            assert!(frame_polygon(frame, -0.01).intersects(&start));
            for other in &sheet.placements {
                let bounds = other.shape.bounds();
                let far = reach(frame);
                let (c, min, max) = (frame.centre, bounds.min, bounds.max);
                if c.x < min.x - far || c.x > max.x + far || c.y < min.y - far || c.y > max.y + far {
                    continue;
                }
                let covered = shape_polygon(&other.shape).intersects(&frame_polygon(frame, 0.01));
                assert!(!covered, "the label of {} lies on {}", placed.cut, other.cut);
            }
        }
        LabelPlace::Listed | LabelPlace::Elsewhere => {}
    }
    if let Some([tail, head]) = placed.grain {
        let arrow = geo::Line::new(tail, head);
        let relation = shape.relate(&arrow);
        assert!(relation.is_contains(), "the grain arrow of {} leaves its piece", placed.cut);
    }
}

/// Every placement is labelled once: in or beside its piece, or in the list.
fn assert_all_named(list: &DisplayList) {
    let mut labelled = std::collections::BTreeMap::new();
    for placed in list.sheets.iter().flat_map(|sheet| &sheet.placements) {
        *labelled.entry((&placed.cut, &placed.numbers)).or_insert(0) +=
            usize::from(placed.label != LabelPlace::Elsewhere);
    }
    assert!(labelled.values().all(|&count| count == 1), "{labelled:?}");
}

fn texts(list: &DisplayList) -> Vec<&str> {
    let marks = list.sheets.iter().flat_map(|sheet| &sheet.marks);
    marks.filter_map(|mark| if let Mark::Text(text) = mark { Some(text.content.as_str()) } else { None }).collect()
}

fn check(document: &PlanDocument, cloth: &ClothPlan) -> DisplayList {
    let lists = [Paper::Letter, Paper::A4].map(|paper| {
        let list = draw::display_list(document, cloth, &Options { paper });
        list.sheets.iter().for_each(assert_sheet);
        assert_all_named(&list);
        let text = draw::svg::write(&list);
        roxmltree::Document::parse(&text).expect("well-formed XML");
        list
    });
    let [_, on_a4] = lists;
    on_a4
}

#[test]
fn the_fixture_cloths_keep_every_promise() {
    let document = draw_fixtures::pinafore();
    for cloth in &document.cloths {
        let list = check(&document, cloth);
        let listed = list.sheets.iter().flat_map(|s| &s.placements).filter(|p| p.label == LabelPlace::Listed).count();
        assert_eq!(listed, 0, "{}", cloth.cloth);
    }
}

#[test]
fn doubled_cloth_shows_each_pair_once_and_says_so() {
    let document = draw_fixtures::pinafore();
    let list = check(&document, &document.cloths[0]);
    let cloth = &document.cloths[0];
    let placements = &list.sheets[0].placements;
    let plies: usize = placements.iter().map(|p| p.numbers.len()).sum();
    assert_eq!(plies, cloth.plies.len());
    assert_eq!(placements.iter().filter(|p| p.numbers.len() == 2).count(), 8);
    let texts = texts(&list);
    for wanted in [
        "both selvedges, one upon the other",
        "fold: right sides together, the wrong side is outwards",
        "From here: open the cloth out, single layer, right side up.",
        "all tops this way",
        "Buy 1.60 m (1 3/4 yd)",
        "scale 1 : 10",
        "on the fold",
        "2 plies: a pair, cut through both layers",
    ] {
        assert!(texts.contains(&wanted), "{wanted}: {texts:#?}");
    }
}

#[test]
fn a_drawing_is_to_its_scale() {
    let document = draw_fixtures::pinafore();
    for cloth in &document.cloths {
        let list = check(&document, cloth);
        for placed in list.sheets.iter().flat_map(|s| &s.placements).filter(|p| p.numbers.len() == 2) {
            let ply = cloth.plies.iter().find(|p| p.cut == placed.cut && placed.numbers.contains(&p.number)).unwrap();
            let points: Vec<Point> = ply.outline.iter().map(|&[x, y]| at(x, y)).collect();
            let area = Polygon::new(polygon(&points), Vec::new()).unsigned_area();
            let drawn = shape_polygon(&placed.shape).unsigned_area() * list.scale * list.scale;
            // A row may break through a piece: then less of it is drawn, never more.
            assert!(drawn < area * 1.000_001, "{}: {drawn} {area}", placed.cut);
            if placed.label != LabelPlace::Elsewhere && list.sheets.len() == 1 && cloth.cloth == "main" {
                assert!((drawn / area - 1.0).abs() < 1e-6, "{}: {drawn} {area}", placed.cut);
            }
        }
    }
}

#[test]
fn a_pair_lies_printed_side_up_where_its_lower_ply_does() {
    // On folded cloth the lower layer lies right side up; which of the two plies comes first in the plan says nothing.
    let mut document = draw_fixtures::pinafore();
    let before = draw::svg::write(&draw::display_list(&document, &document.cloths[0], &Options::default()));
    let plies = &mut document.cloths[0].plies;
    let (one, two) = (1, 2);
    assert_eq!((plies[one].cut.as_str(), plies[two].cut.as_str()), ("skirt back", "skirt back"));
    plies.swap(one, two);
    let after = draw::svg::write(&draw::display_list(&document, &document.cloths[0], &Options::default()));
    assert_eq!(before, after);
}

#[test]
fn names_that_could_break_a_document_do_not() {
    let mut document = draw_fixtures::pinafore();
    let long = "A name that goes on and on, ".repeat(40);
    document.project = format!("<script>&amp;]]>\"'\u{0}\u{1b}[31m {long}");
    document.cloths[0].cloth = "\u{202e}desrever <b> & \u{ffff}".to_owned();
    document.cloths[0].plies[0].cut = long.clone();
    document.cloths[0].plies[3].cut = "縫い代つき後ろ身頃 مئزر 🧵🧵🧵 e\u{301}".to_owned();
    let list = check(&document, &document.cloths[0]);
    let text = draw::svg::write(&list);
    let tree = roxmltree::Document::parse(&text).expect("well-formed XML");
    let titles: Vec<&str> = tree.descendants().filter(|n| n.has_tag_name("title")).filter_map(|n| n.text()).collect();
    assert!(titles.iter().any(|t| t.trim() == long.trim()), "the whole name is kept in a title");
    assert!(tree.descendants().all(|n| !n.has_tag_name("script") && !n.has_tag_name("b")));
}

fn blank_cloth(width: f64, length: f64, sections: Vec<Section>) -> ClothPlan {
    ClothPlan {
        cloth: "cloth".to_owned(),
        in_hand: None,
        width: width + 40.0,
        usable_width: width,
        lay: "open".to_owned(),
        length,
        least_possible: 0.0,
        used_share: 0.5,
        buy: Buy { length, cost: None },
        sections,
        plies: Vec::new(),
        tried: Vec::new(),
        print: None,
    }
}

fn blank_document() -> PlanDocument {
    PlanDocument {
        ellwand_plan: 1,
        project: "A test".to_owned(),
        chosen: IndexMap::new(),
        seed: 1,
        effort: "quick".to_owned(),
        units: "mm".to_owned(),
        pieces: IndexMap::new(),
        cloths: Vec::new(),
    }
}

fn box_ply(cut: String, corner: Point, (w, h): (f64, f64), mirrored: bool, turn: f64) -> Ply {
    let Point { x, y } = corner;
    let outline = [at(x, y), at(x + w, y), at(x + w * 0.9, y + h), at(x + w * 0.1, y + h * 0.95)];
    Ply {
        cut,
        piece: "box".to_owned(),
        number: 1,
        section: 0,
        mirrored,
        across_fold: false,
        turn,
        outline: ring(&outline),
        holes: Vec::new(),
    }
}

#[test]
fn what_has_no_room_is_listed_not_lost() {
    // Hundreds of tiny pieces side by side: far more than have room for a label or even a number.
    let mut cloth = blank_cloth(300.0, 2000.0, Vec::new());
    for i in 0..600 {
        let (x, y) = (f64::from(i / 6) * 20.0, f64::from(i % 6) * 50.0);
        cloth.plies.push(box_ply(format!("tab {i}"), at(x, y), (18.0, 45.0), i % 2 == 0, 0.0));
    }
    let list = check(&blank_document(), &cloth);
    assert!(list.sheets.len() > 1);
    let texts = texts(&list);
    for (placed, sheet) in list.sheets.iter().flat_map(|s| s.placements.iter().map(move |p| (p, s))) {
        if placed.label == LabelPlace::Listed {
            assert!(sheet.placements.len() > 100);
            let words = format!("{}: 1 ply", placed.cut);
            assert!(texts.iter().any(|t| t.starts_with(&words)), "{words}");
        }
    }
}

#[test]
fn nonsense_is_drawn_without_a_fall() {
    let document = draw_fixtures::pinafore();
    for value in [0.0, -5.0, f64::NAN, f64::INFINITY, 1e308, 1e-300] {
        let mut cloth = document.cloths[0].clone();
        cloth.length = value;
        cloth.usable_width = value;
        cloth.buy.length = value;
        cloth.sections[0].to = value;
        cloth.plies[0].outline[0] = [value, value];
        cloth.plies[1].turn = value;
        check(&document, &cloth);
        cloth.sections.clear();
        cloth.plies.clear();
        check(&document, &cloth);
    }
}

fn name() -> impl Strategy<Value = String> {
    prop_oneof!["[a-z ]{1,24}", "\\PC{0,40}", "[<>&\"'a-z]{1,80}", "[\u{4e00}-\u{4e80}]{1,12}"]
}

prop_compose! {
    /// A piece in a cell of its own: thin, tiny or large.
    fn part()(cut in name(), w in 0.02f64..1.0, h in 0.02f64..1.0, mirrored: bool, turn in 0usize..8) -> (String, f64, f64, bool, f64) {
        (cut, w, h, mirrored, turn as f64 * 45.0)
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(16))]

    #[test]
    fn random_plans_keep_every_promise(
        parts in prop::collection::vec(part(), 1..60),
        cell in 20.0f64..900.0,
        across in 1usize..8,
        fold: bool,
    ) {
        let rows = parts.len().div_ceil(across);
        let width = cell * across as f64;
        let length = cell * rows as f64;
        let sections = vec![if fold { draw_fixtures::section(0.0, length, Some(width)) } else { draw_fixtures::section(0.0, length, None) }];
        let mut cloth = blank_cloth(if fold { 2.0 * width } else { width }, length, sections);
        for (i, (cut, w, h, mirrored, turn)) in parts.into_iter().enumerate() {
            let (x, y) = ((i / across) as f64 * cell, (i % across) as f64 * cell);
            let size = (w * (cell - 1.0), h * (cell - 1.0));
            let ply = box_ply(format!("{cut}{i}"), at(x + 0.2, y + 0.2), size, mirrored, turn);
            if fold {
                let mut twin = ply.clone();
                twin.number = 2;
                let pose = pose(mirrored, turn).across_lengthwise_fold();
                (twin.mirrored, twin.turn) = (pose.mirrored, pose.turn);
                for p in &mut twin.outline {
                    p[1] = 2.0 * width - p[1];
                }
                twin.outline.reverse();
                cloth.plies.push(twin);
            }
            cloth.plies.push(ply);
        }
        check(&blank_document(), &cloth);
    }
}
