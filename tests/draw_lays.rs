//! Every lay as it is drawn on the table. Where plies come to lie follows from folding by arithmetic, written beside each case;
//! common practice, no source: the layer that is seen lies right side up, a pair is drawn once.

mod draw_fixtures;

use draw_fixtures::{at, pose};
use ellwand::draw::{self, DisplayList, Mark, Options, Placed};
use ellwand::geometry::{Point, Pose, Shape};
use ellwand::layout::{Buy, ClothPlan, PlanDocument, Ply, Section};
use geo::{BoundingRect, LineString};

const WIDTH: f64 = 1000.0;

/// A piece without any symmetry: 200 long, 100 across, its low corner at the origin.
fn wedge() -> Shape {
    Shape::new(vec![at(0.0, 0.0), at(200.0, 0.0), at(200.0, 60.0), at(50.0, 100.0), at(0.0, 100.0)], Vec::new())
}

fn ply(number: usize, section: usize, pose: Pose, place: Point) -> Ply {
    let placed = wedge().placed(pose, place);
    Ply {
        cut: "wedge".to_owned(),
        piece: "wedge".to_owned(),
        number,
        section,
        mirrored: pose.mirrored,
        across_fold: false,
        turn: pose.turn,
        outline: draw_fixtures::ring(&placed.outline),
        holes: Vec::new(),
    }
}

fn section(from: f64, to: f64, fold: &str, lines: &[f64]) -> Section {
    Section { from, to, fold: fold.to_owned(), fold_lines: lines.to_vec() }
}

fn drawn(sections: Vec<Section>, plies: Vec<Ply>) -> DisplayList {
    let cloth = ClothPlan {
        cloth: "main".to_owned(),
        in_hand: None,
        width: WIDTH,
        usable_width: WIDTH,
        lay: "test".to_owned(),
        length: sections.last().unwrap().to,
        least_possible: 0.0,
        used_share: 0.5,
        buy: Buy { length: 1000.0, cost: None },
        sections,
        plies,
        tried: Vec::new(),
        print: None,
    };
    let document = PlanDocument {
        ellwand_plan: 1,
        project: "A test".to_owned(),
        chosen: indexmap::IndexMap::new(),
        seed: 1,
        effort: "quick".to_owned(),
        units: "mm".to_owned(),
        pieces: indexmap::IndexMap::new(),
        cloths: Vec::new(),
    };
    draw::display_list(&document, &cloth, &Options::default())
}

fn corners(points: &[Point]) -> [f64; 4] {
    let bounds = LineString::new(points.to_vec()).bounding_rect().unwrap();
    [bounds.min().x, bounds.min().y, bounds.max().x, bounds.max().y]
}

/// The lower left corner of the ground as drawn: the largest grey areas together.
fn ground(list: &DisplayList) -> [f64; 4] {
    let mut points = Vec::new();
    for mark in &list.sheets[0].marks {
        if let Mark::Path(path) = mark
            && path.fill.is_some_and(|tone| tone > 0.5 && tone < 1.0)
            && path.lines.iter().all(|line| corners(&line.points)[2] - corners(&line.points)[0] > 15.0)
        {
            points.extend(path.lines.iter().flat_map(|line| line.points.clone()));
        }
    }
    corners(&points)
}

/// Where a placement lies on the table: left, low, right, high in mm of cloth.
fn on_table(list: &DisplayList, placed: &Placed) -> [f64; 4] {
    let [left, _, _, bottom] = ground(list);
    let [l, t, r, b] = corners(&placed.shape.outline);
    [(l - left) * list.scale, (bottom - b) * list.scale, (r - left) * list.scale, (bottom - t) * list.scale]
}

#[track_caller]
fn assert_lies(list: &DisplayList, index: usize, numbers: &[usize], expected: [f64; 4]) {
    let placed = &list.sheets[0].placements[index];
    assert_eq!(placed.numbers, numbers);
    let found = on_table(list, placed);
    assert!(found.iter().zip(expected).all(|(a, b)| (a - b).abs() < 0.01), "{found:?} {expected:?}");
}

#[track_caller]
fn assert_says(list: &DisplayList, words: &str) {
    let marks = list.sheets.iter().flat_map(|sheet| &sheet.marks);
    let all: Vec<&str> =
        marks.filter_map(|m| if let Mark::Text(t) = m { Some(t.content.as_str()) } else { None }).collect();
    assert!(all.join(" ").contains(words), "{words}: {all:#?}");
}

#[track_caller]
fn assert_cloth(list: &DisplayList, length: f64, height: f64) {
    let [l, t, r, b] = ground(list);
    assert!(((r - l) * list.scale - length).abs() < 0.01, "{}", (r - l) * list.scale);
    assert!(((b - t) * list.scale - height).abs() < 0.01, "{}", (b - t) * list.scale);
}

#[test]
fn a_partial_fold() {
    // 300 folded in: the fold is the lower edge, the table is 1000 - 300 across. y on the table = y - 300.
    let pair = pose(false, 0.0);
    let list = drawn(
        vec![section(0.0, 600.0, "partial", &[300.0])],
        vec![
            ply(1, 0, pair.across_lengthwise_fold(), at(10.0, 270.0)), // over the fold: 2 x 300 - 270 = 330
            ply(2, 0, pair, at(10.0, 330.0)),
            ply(3, 0, pose(false, 0.0), at(300.0, 850.0)),
        ],
    );
    assert_cloth(&list, 600.0, 700.0);
    assert_lies(&list, 0, &[1, 2], [10.0, 30.0, 210.0, 130.0]);
    assert_lies(&list, 1, &[3], [300.0, 550.0, 500.0, 650.0]);
    assert_says(&list, "Fold the lower selvedge in by 30.0 cm (11 3/4 in)");
}

#[test]
fn a_double_fold() {
    // 300 and 200 folded in, so 1000 - 500 across: 300 double, 200 double, nothing single. y on the table = y - 300.
    let pair = pose(true, 0.0);
    let list = drawn(
        vec![section(0.0, 600.0, "double", &[300.0, 800.0])],
        vec![
            ply(1, 0, pair, at(10.0, 750.0)), // reaches down to 650; on the table 350 to 450
            ply(2, 0, pair.across_lengthwise_fold(), at(10.0, 850.0)), // over 800: 2 x 800 - 750
        ],
    );
    assert_cloth(&list, 600.0, 500.0);
    assert_lies(&list, 0, &[1, 2], [10.0, 350.0, 210.0, 450.0]);
    assert_says(&list, "the lower selvedge in by 30.0 cm (11 3/4 in) and the upper one by 20.0 cm (7 7/8 in)");
}

#[test]
fn a_piece_on_the_lower_fold() {
    // A ply across the fold at 300: its upper half is drawn, from the lower edge up.
    let mut whole = ply(1, 0, pose(false, 0.0), at(0.0, 0.0));
    whole.across_fold = true;
    whole.outline = vec![[50.0, 200.0], [250.0, 200.0], [250.0, 400.0], [50.0, 400.0]];
    let list = drawn(vec![section(0.0, 600.0, "partial", &[300.0])], vec![whole]);
    assert_lies(&list, 0, &[1], [50.0, 0.0, 250.0, 100.0]);
    assert_says(&list, "1 ply, on the fold");
}

#[test]
fn a_crosswise_fold_and_an_open_end() {
    // Folded at 250, so the first 250 lie on the next 250: on the table 250 long, then 300 open. x on the table = x - 250.
    let list = drawn(
        vec![section(0.0, 500.0, "crosswise", &[250.0]), section(500.0, 800.0, "none", &[])],
        vec![
            ply(1, 0, pose(false, 0.0), at(270.0, 10.0)),
            ply(2, 0, pose(true, 180.0), at(230.0, 10.0)), // over the fold: 2 x 250 - 270 = 230, upside down
            ply(3, 1, pose(false, 0.0), at(520.0, 40.0)),
        ],
    );
    assert_cloth(&list, 550.0, WIDTH);
    assert_lies(&list, 0, &[1, 2], [20.0, 10.0, 220.0, 110.0]);
    assert_lies(&list, 1, &[3], [270.0, 40.0, 470.0, 140.0]);
    assert_says(
        &list,
        "Section 1, from the beginning to 50.0 cm (19 5/8 in) of the cloth: fold the cloth across at 25.0 cm",
    );
}

#[test]
fn cut_and_turned() {
    // Cut at 300: the second length, turned over side to side, lies on the first: x + 300, y -> 1000 - y.
    let list = drawn(
        vec![section(0.0, 600.0, "cut and turned", &[300.0])],
        vec![
            ply(1, 0, pose(false, 0.0), at(20.0, 10.0)),
            ply(2, 0, pose(true, 0.0), at(320.0, 990.0)),
            ply(3, 0, pose(true, 0.0), at(350.0, 500.0)), // alone on the upper layer: drawn at 50, from 500 up
        ],
    );
    assert_cloth(&list, 300.0, WIDTH);
    assert_lies(&list, 0, &[1, 2], [20.0, 10.0, 220.0, 110.0]);
    assert_lies(&list, 1, &[3], [50.0, 500.0, 250.0, 600.0]);
    assert_says(&list, "Cut the cloth across at 30.0 cm (11 3/4 in) and at 60.0 cm (23 5/8 in)");
    assert_says(&list, "1 ply, one layer only");
}
