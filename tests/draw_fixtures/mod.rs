//! Plan documents made by code, for the tests of drawing and reporting. All figures are invented.
// Each test file uses its own part of this, and lists of points are long.
#![allow(dead_code, clippy::too_many_lines)]

use ellwand::geometry::{Point, Pose, Shape};
use ellwand::layout::{Buy, ClothPlan, PlanDocument, PlanPiece, PlanPoint, Ply, Section, Tried};
use indexmap::IndexMap;

pub(crate) fn at(x: f64, y: f64) -> Point {
    Point { x, y }
}

/// A path of cubic curves and lines: each entry is the end of a line, or two handles and an end.
pub(crate) fn path(start: (f64, f64), parts: &[&[(f64, f64)]]) -> Vec<Point> {
    let mut points = vec![at(start.0, start.1)];
    for part in parts {
        let a = points[points.len() - 1];
        match part {
            [end] => points.push(at(end.0, end.1)),
            [b, c, d] => {
                let (b, c, d) = (at(b.0, b.1), at(c.0, c.1), at(d.0, d.1));
                points.extend((1..=24).map(|i| {
                    let t = f64::from(i) / 24.0;
                    let s = 1.0 - t;
                    a * (s * s * s) + b * (3.0 * s * s * t) + c * (3.0 * s * t * t) + d * (t * t * t)
                }));
            }
            _ => unreachable!("a line or a cubic curve"),
        }
    }
    points
}

/// Pieces of a pinafore; those with `true` are halves with their fold edge on y = 0, the piece below it.
pub(crate) fn pieces() -> Vec<(&'static str, Shape, bool)> {
    let shape = |points: Vec<Point>| Shape::new(points, Vec::new());
    let window = path((60.0, 60.0), &[&[(60.0, 100.0)], &[(100.0, 100.0)], &[(100.0, 60.0)]]);
    vec![
        (
            "skirt-front",
            shape(path(
                (0.0, 0.0),
                &[
                    &[(0.0, -120.0), (6.0, -240.0), (26.0, -335.0)],
                    &[(220.0, -300.0), (420.0, -270.0), (640.0, -196.0)],
                    &[(628.0, -130.0), (622.0, -60.0), (622.0, 0.0)],
                ],
            )),
            true,
        ),
        (
            "skirt-back",
            shape(path(
                (0.0, 0.0),
                &[
                    &[(622.0, 0.0)],
                    &[(622.0, 60.0), (628.0, 130.0), (640.0, 206.0)],
                    &[(420.0, 280.0), (220.0, 310.0), (26.0, 345.0)],
                    &[(6.0, 250.0), (0.0, 120.0), (0.0, 0.0)],
                ],
            )),
            false,
        ),
        (
            "bodice-front",
            shape(path(
                (0.0, 0.0),
                &[
                    &[(300.0, 0.0)],
                    &[(310.0, 50.0), (350.0, 66.0), (412.0, 72.0)],
                    &[(392.0, 178.0)],
                    &[(320.0, 160.0), (240.0, 170.0), (226.0, 246.0)],
                    &[(10.0, 226.0)],
                    &[(2.0, 150.0), (0.0, 70.0), (0.0, 0.0)],
                ],
            )),
            false,
        ),
        (
            "bodice-back",
            shape(path(
                (0.0, 0.0),
                &[
                    &[(0.0, -80.0), (2.0, -150.0), (8.0, -216.0)],
                    &[(226.0, -236.0)],
                    &[(250.0, -176.0), (320.0, -166.0), (388.0, -178.0)],
                    &[(410.0, -74.0)],
                    &[(390.0, -40.0), (384.0, -20.0), (384.0, 0.0)],
                ],
            )),
            true,
        ),
        (
            "band-front",
            shape(path(
                (0.0, 0.0),
                &[
                    &[(64.0, 0.0)],
                    &[(68.0, 80.0), (72.0, 160.0), (84.0, 236.0)],
                    &[(22.0, 246.0)],
                    &[(8.0, 160.0), (2.0, 80.0), (0.0, 0.0)],
                ],
            )),
            false,
        ),
        (
            "band-back",
            shape(path(
                (0.0, 0.0),
                &[
                    &[(2.0, -80.0), (8.0, -160.0), (20.0, -226.0)],
                    &[(82.0, -216.0)],
                    &[(72.0, -150.0), (66.0, -80.0), (64.0, 0.0)],
                ],
            )),
            true,
        ),
        (
            "pocket",
            shape(path(
                (0.0, 60.0),
                &[
                    &[(0.0, 20.0), (20.0, 0.0), (60.0, 0.0)],
                    &[(180.0, 0.0)],
                    &[(180.0, 160.0)],
                    &[(60.0, 160.0)],
                    &[(20.0, 160.0), (0.0, 140.0), (0.0, 100.0)],
                ],
            )),
            false,
        ),
        (
            "neck-facing",
            shape(path(
                (0.0, 0.0),
                &[
                    &[(46.0, 0.0)],
                    &[(46.0, 60.0), (80.0, 110.0), (150.0, 118.0)],
                    &[(150.0, 158.0)],
                    &[(50.0, 150.0), (0.0, 90.0), (0.0, 0.0)],
                ],
            )),
            false,
        ),
        ("tie", shape(path((0.0, 0.0), &[&[(620.0, 0.0)], &[(620.0, 24.0)], &[(0.0, 24.0)]])), false),
        ("tab", shape(path((0.0, 0.0), &[&[(46.0, 0.0)], &[(60.0, 16.0)], &[(46.0, 32.0)], &[(0.0, 32.0)]])), false),
        (
            "lamp-patch",
            Shape::new(path((0.0, 0.0), &[&[(160.0, 0.0)], &[(160.0, 160.0)], &[(0.0, 160.0)]]), vec![window]),
            false,
        ),
    ]
}

pub(crate) fn ring(points: &[Point]) -> Vec<PlanPoint> {
    points.iter().map(|p| [(p.x * 1e6).round() / 1e6, (p.y * 1e6).round() / 1e6]).collect()
}

fn rings(holes: &[Vec<Point>]) -> Vec<Vec<PlanPoint>> {
    holes.iter().map(|hole| ring(hole)).collect()
}

/// A half piece with its fold edge on y = 0 made whole.
fn whole(half: &Shape) -> Shape {
    let mut outline = half.outline.clone();
    // The ring begins at the lower end of the fold edge and closes along it; or it was turned about to run the right way.
    let on_fold = |p: &Point| p.y == 0.0;
    while !(on_fold(&outline[0]) && on_fold(&outline[outline.len() - 1])) {
        outline.rotate_left(1);
    }
    let other: Vec<Point> = outline[1..outline.len() - 1].iter().rev().map(|p| at(p.x, -p.y)).collect();
    outline.extend(other);
    Shape::new(outline, Vec::new())
}

/// A document under construction.
pub(crate) struct Maker {
    pub(crate) document: PlanDocument,
    shapes: Vec<(&'static str, Shape, bool)>,
}

impl Maker {
    pub(crate) fn new(project: &str) -> Self {
        let shapes = pieces();
        let piece = |(name, shape, is_half): &(&'static str, Shape, bool)| {
            let on_fold: Vec<f64> = shape.outline.iter().filter(|p| p.y == 0.0).map(|p| p.x).collect();
            let low = on_fold.iter().copied().fold(f64::INFINITY, f64::min);
            let high = on_fold.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            let fold = is_half.then_some([[low, 0.0], [high, 0.0]]);
            ((*name).to_owned(), PlanPiece { outline: ring(&shape.outline), holes: rings(&shape.holes), fold })
        };
        let document = PlanDocument {
            ellwand_plan: 1,
            project: project.to_owned(),
            chosen: IndexMap::from([("band".to_owned(), "double".to_owned())]),
            seed: 1,
            effort: "steady".to_owned(),
            units: "mm".to_owned(),
            pieces: shapes.iter().map(piece).collect(),
            cloths: Vec::new(),
        };
        Self { document, shapes }
    }

    pub(crate) fn cloth(&mut self, name: &str, width: f64, usable_width: f64, lay: &str, sections: Vec<Section>) {
        let length = sections.last().map_or(0.0, |s| s.to);
        self.document.cloths.push(ClothPlan {
            cloth: name.to_owned(),
            in_hand: None,
            width,
            usable_width,
            lay: lay.to_owned(),
            length,
            least_possible: length * 0.86,
            used_share: 0.81,
            buy: Buy { length: (length * 1.05 / 100.0).ceil() * 100.0, cost: Some(36.4) },
            sections,
            plies: Vec::new(),
            print: None,
            tried: vec![
                Tried { lay: "open".to_owned(), length: length * 1.03, buy: (length * 1.08 / 100.0).ceil() * 100.0 },
                Tried { lay: "lengthwise fold".to_owned(), length, buy: (length * 1.05 / 100.0).ceil() * 100.0 },
            ],
        });
    }

    /// Adds a ply to the last cloth.
    pub(crate) fn ply(&mut self, cut: &str, piece: &str, section: usize, pose: Pose, across_fold: bool, shift: Point) {
        let (_, shape, _) = self.shapes.iter().find(|(name, ..)| *name == piece).expect("a piece of the fixture");
        let shape = if across_fold { whole(shape) } else { shape.clone() };
        let placed = shape.placed(pose, shift);
        let cloth = self.document.cloths.last_mut().expect("a cloth");
        let number = cloth.plies.iter().filter(|p| p.cut == cut).count() + 1;
        cloth.plies.push(Ply {
            cut: cut.to_owned(),
            piece: piece.to_owned(),
            number,
            section,
            mirrored: pose.mirrored,
            across_fold,
            turn: pose.turn,
            outline: ring(&placed.outline),
            holes: rings(&placed.holes),
        });
    }

    /// Adds a pair cut through both layers: one ply below the fold, its reflection above.
    pub(crate) fn pair(&mut self, cut: &str, piece: &str, pose: Pose, shift: Point) {
        let fold = self.document.cloths.last().expect("a cloth").sections[0].fold_lines[0];
        self.ply(cut, piece, 0, pose, false, shift);
        self.ply(cut, piece, 0, pose.across_lengthwise_fold(), false, at(shift.x, 2.0 * fold - shift.y));
    }
}

pub(crate) fn pose(mirrored: bool, turn: f64) -> Pose {
    Pose { mirrored, turn }
}

pub(crate) fn section(from: f64, to: f64, fold: Option<f64>) -> Section {
    Section {
        from,
        to,
        fold: if fold.is_some() { "lengthwise" } else { "none" }.to_owned(),
        fold_lines: fold.into_iter().collect(),
    }
}

/// Doubled cloth with an open stretch at its end.
pub(crate) fn main_cloth(maker: &mut Maker) {
    let fold = 720.0;
    maker.cloth(
        "main",
        1500.0,
        1440.0,
        "lengthwise fold",
        vec![section(0.0, 1296.0, Some(fold)), section(1296.0, 1492.0, None)],
    );
    maker.ply("skirt front", "skirt-front", 0, pose(false, 0.0), true, at(6.0, fold));
    maker.pair("skirt back", "skirt-back", pose(false, 0.0), at(6.0, 6.0));
    maker.ply("bodice back", "bodice-back", 0, pose(false, 0.0), true, at(654.0, fold));
    maker.pair("bodice front", "bodice-front", pose(false, 0.0), at(654.0, 6.0));
    maker.pair("tie", "tie", pose(false, 0.0), at(650.0, 440.0));
    maker.pair("neck facing", "neck-facing", pose(true, 0.0), at(900.0, 420.0));
    maker.pair("pocket", "pocket", pose(true, 0.0), at(1090.0, 174.0));
    maker.pair("tab", "tab", pose(false, 0.0), at(1090.0, 200.0));
    maker.pair("tab", "tab", pose(false, 0.0), at(1172.0, 200.0));
    maker.pair("pocket lining", "pocket", pose(false, 0.0), at(1090.0, 250.0));
    maker.ply("lamp patch", "lamp-patch", 1, pose(false, 0.0), false, at(1310.0, 12.0));
    maker.ply("watch pocket", "pocket", 1, pose(false, 0.0), false, at(1305.0, 240.0));
    maker.ply("watch pocket", "pocket", 1, pose(true, 0.0), false, at(1305.0, 640.0));
}

/// Open cloth, whole pieces, half turns, bias and crosswise.
pub(crate) fn contrast_cloth(maker: &mut Maker) {
    maker.cloth("contrast", 1120.0, 1076.0, "open", vec![section(0.0, 930.0, None)]);
    maker.ply("bodice back", "bodice-back", 0, pose(false, 0.0), true, at(10.0, 250.0));
    maker.ply("bodice front", "bodice-front", 0, pose(false, 180.0), false, at(850.0, 250.0));
    maker.ply("bodice front", "bodice-front", 0, pose(true, 0.0), false, at(480.0, 540.0));
    maker.ply("band back", "band-back", 0, pose(false, 90.0), true, at(240.0, 530.0));
    maker.ply("band front", "band-front", 0, pose(false, 0.0), false, at(10.0, 640.0));
    maker.ply("band front", "band-front", 0, pose(true, 0.0), false, at(110.0, 890.0));
    maker.ply("binding", "tie", 0, pose(false, 45.0), false, at(420.0, 600.0));
    maker.ply("pocket", "pocket", 0, pose(false, 0.0), false, at(230.0, 720.0));
    maker.ply("pocket", "pocket", 0, pose(true, 180.0), false, at(420.0, 900.0));
    maker.ply("lamp patch", "lamp-patch", 0, pose(false, 0.0), false, at(640.0, 600.0));
}

/// Narrow cloth with little on it.
pub(crate) fn interfacing(maker: &mut Maker) {
    maker.cloth("interfacing", 900.0, 900.0, "open", vec![section(0.0, 262.0, None)]);
    maker.ply("neck facing", "neck-facing", 0, pose(false, 0.0), false, at(4.0, 4.0));
    maker.ply("neck facing", "neck-facing", 0, pose(true, 0.0), false, at(4.0, 330.0));
    maker.ply("band front", "band-front", 0, pose(false, 0.0), false, at(160.0, 10.0));
    maker.ply("band front", "band-front", 0, pose(true, 0.0), false, at(160.0, 520.0));
    maker.ply("tab", "tab", 0, pose(false, 0.0), false, at(20.0, 560.0));
    maker.ply("tab", "tab", 0, pose(false, 0.0), false, at(20.0, 610.0));
}

/// A long doubled cloth that no sheet holds in one row.
pub(crate) fn long_cloth(maker: &mut Maker) {
    let fold = 700.0;
    let count = 12;
    maker.cloth(
        "sailcloth",
        1450.0,
        1400.0,
        "lengthwise fold",
        vec![section(0.0, f64::from(count) * 650.0, Some(fold))],
    );
    for i in 0..count {
        let x = f64::from(i) * 650.0 + 4.0;
        maker.ply("skirt front", "skirt-front", 0, pose(false, 0.0), true, at(x, fold));
        maker.pair("skirt back", "skirt-back", pose(i % 2 == 1, 0.0), at(x, if i % 2 == 1 { 352.0 } else { 4.0 }));
    }
}

/// A lining of middling length on doubled cloth: one row on a sheet on its side.
pub(crate) fn lining(maker: &mut Maker) {
    let fold = 690.0;
    maker.cloth(
        "lining",
        1400.0,
        1380.0,
        "lengthwise fold",
        vec![section(0.0, 2330.0, Some(fold)), section(2330.0, 2740.0, None)],
    );
    maker.ply("skirt front lining", "skirt-front", 0, pose(false, 0.0), true, at(6.0, fold));
    maker.pair("skirt back lining", "skirt-back", pose(false, 0.0), at(6.0, 6.0));
    maker.ply("bodice back lining", "bodice-back", 0, pose(false, 0.0), true, at(654.0, fold));
    maker.pair("bodice front lining", "bodice-front", pose(false, 0.0), at(654.0, 6.0));
    maker.pair("tie", "tie", pose(false, 0.0), at(660.0, 330.0));
    maker.pair("tie", "tie", pose(false, 0.0), at(660.0, 370.0));
    maker.ply("skirt front", "skirt-front", 0, pose(false, 0.0), true, at(1300.0, fold));
    maker.pair("skirt back", "skirt-back", pose(true, 0.0), at(1300.0, 350.0));
    maker.ply("band back", "band-back", 0, pose(false, 0.0), true, at(1110.0, fold));
    maker.pair("band front", "band-front", pose(false, 0.0), at(1200.0, 440.0));
    maker.pair("band front", "band-front", pose(false, 0.0), at(1090.0, 60.0));
    maker.pair("pocket", "pocket", pose(true, 0.0), at(1950.0, 180.0));
    maker.pair("pocket", "pocket", pose(true, 0.0), at(2140.0, 180.0));
    maker.pair("neck facing", "neck-facing", pose(true, 0.0), at(1960.0, 400.0));
    maker.pair("neck facing", "neck-facing", pose(false, 0.0), at(1960.0, 420.0));
    maker.pair("tab", "tab", pose(false, 0.0), at(2200.0, 420.0));
    maker.pair("tab", "tab", pose(false, 0.0), at(2200.0, 520.0));
    maker.ply("bodice front", "bodice-front", 1, pose(false, 0.0), false, at(2336.0, 6.0));
    maker.ply("collar stand", "band-back", 1, pose(false, 0.0), true, at(2350.0, 800.0));
    maker.ply("lamp patch", "lamp-patch", 1, pose(false, 0.0), false, at(2500.0, 700.0));
}

pub(crate) fn pinafore() -> PlanDocument {
    let mut maker = Maker::new("Lighthouse guide's pinafore");
    main_cloth(&mut maker);
    contrast_cloth(&mut maker);
    interfacing(&mut maker);
    long_cloth(&mut maker);
    lining(&mut maker);
    maker.document
}
