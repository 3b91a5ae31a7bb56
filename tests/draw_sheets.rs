//! The sheets to pin up and the pieces at full size: what is on them, that nothing leaves a page, the same bytes every time, no fall
//! on nonsense. Rendered pages are held against other programs in `.ci/verify_sheets.py`.

mod draw_fixtures;

use draw_fixtures::at;
use ellwand::draw::pdf::{self, Page};
use ellwand::draw::{self, Booklet, Mark, Marks, Options, Paper, PatternPiece, Sheet};
use ellwand::geometry::{Point, Shape};
use ellwand::layout::{ClothNotes, Notes, PlanDocument};
use geo::{BooleanOps, Contains, LineString, Polygon, Rect};
use indexmap::IndexMap;
use proptest::prelude::*;

fn texts(sheet: &Sheet) -> Vec<&str> {
    sheet.marks.iter().filter_map(|m| if let Mark::Text(t) = m { Some(t.content.as_str()) } else { None }).collect()
}

#[track_caller]
fn assert_on_page(sheet: &Sheet) {
    let on = |p: &Point| p.x >= -1e-9 && p.y >= -1e-9 && p.x <= sheet.width + 1e-9 && p.y <= sheet.height + 1e-9;
    for mark in &sheet.marks {
        match mark {
            Mark::Path(path) => assert!(path.lines.iter().flat_map(|l| &l.points).all(on), "{path:?}"),
            Mark::Text(text) => assert!(text.frame.corners().iter().all(on), "{text:?}"),
        }
    }
}

fn with_booklet<T>(document: &PlanDocument, paper: Paper, look: impl FnOnce(&Booklet) -> T) -> T {
    let warning = "The step of the shop is <b>nearly</b> saved.".to_owned();
    let cloth = document.cloths.first().map(|c| c.cloth.clone()).unwrap_or_default();
    let cloths = vec![ClothNotes { cloth, warnings: vec![warning], ..ClothNotes::default() }];
    let notes = Notes { cloths, ..Notes::default() };
    let marks = IndexMap::from([("skirt-front".to_owned(), Marks { notches: 1, darts: 1 })]);
    let compared = vec!["double band: 10 cm more contrast".to_owned()];
    let drawings = draw::display_lists(document, &Options { paper });
    look(&Booklet { document, notes: &notes, marks: &marks, compared: &compared, drawings: &drawings, paper })
}

fn document(sheets: &[Sheet]) -> Vec<u8> {
    let pages: Vec<Page> = sheets.iter().map(|sheet| Page { sheet, window: None }).collect();
    pdf::write("A test", &[], &pages)
}

#[test]
fn a_booklet_says_what_is_needed_on_both_papers() {
    let plan = draw_fixtures::pinafore();
    for paper in [Paper::A4, Paper::Letter] {
        let sheets = with_booklet(&plan, paper, draw::leaves);
        sheets.iter().for_each(assert_on_page);
        let (short, long) = paper.sides();
        assert!(sheets.iter().all(|s| [(short, long), (long, short)].contains(&(s.width, s.height))));
        let all: Vec<&str> = sheets.iter().flat_map(texts).collect();
        let said = all.join(" ");
        for words in
            ["To buy", "The choices compared", "Take care", "At the table", "To cut", "skirt front", "care label"]
        {
            assert!(said.contains(words), "{words}");
        }
        // A skirt cut whole from its half has every mark of the half twice.
        assert!(said.contains("2 notches, 2 darts"), "{said}");
        let bytes = document(&sheets);
        assert!(bytes.starts_with(b"%PDF-") && bytes == document(&sheets));
    }
}

#[test]
fn a_page_asks_for_nothing_and_takes_names_as_text() {
    let mut plan = draw_fixtures::pinafore();
    plan.project = "<script src=\"https://example.org/x.js\">'&".to_owned();
    plan.cloths[0].cloth = "<img src=x onerror=alert(1)>".to_owned();
    plan.cloths[0].plies[0].cut = "\" onclick=\"x".to_owned();
    let page = with_booklet(&plan, Paper::A4, draw::html::write);
    assert!(!page.contains("<script") && !page.contains("<img"));
    let between_drawings: String = page.split("<svg").filter_map(|part| part.rsplit("</svg>").next()).collect();
    assert!(between_drawings.contains("1\u{a0}5/8\u{a0}yd") && !between_drawings.contains("1 5/8"));
    assert!(page.contains("aria-label=\"&quot; onclick=&quot;x is cut\""));
    assert!(!page.contains("<b>nearly"));
    assert!(!page.contains("url(") && !page.contains("@import") && !page.contains(" href=") && !page.contains("<link"));
    assert_eq!(page.matches("<svg").count(), page.matches("</svg>").count());
    assert_eq!(
        page.matches("type=\"checkbox\"").count(),
        with_booklet(&plan, Paper::A4, |b| {
            let cuts = b
                .document
                .cloths
                .iter()
                .map(|c| c.plies.iter().map(|p| p.cut.as_str()).collect::<std::collections::BTreeSet<_>>().len());
            cuts.sum::<usize>()
        })
    );
    assert_eq!(page, with_booklet(&plan, Paper::A4, draw::html::write));
}

#[test]
fn a_lay_at_full_size_is_full_size() {
    let plan = draw_fixtures::pinafore();
    for cloth in &plan.cloths {
        let sheet = draw::full_size(&plan, cloth);
        assert_on_page(&sheet);
        for placed in &sheet.placements {
            let ply = cloth.plies.iter().find(|p| placed.cut.starts_with(&p.cut) && placed.numbers.contains(&p.number));
            // One ply of the fixture runs off its cloth, and is drawn as far as the cloth goes.
            if ply.unwrap().outline.iter().any(|&[x, _]| x > cloth.length) {
                continue;
            }
            let outline = LineString::from(ply.unwrap().outline.iter().map(|&[x, y]| (x, y)).collect::<Vec<_>>());
            let drawn = geo::Area::unsigned_area(&polygon(&placed.shape));
            let area = geo::Area::unsigned_area(&Polygon::new(outline, Vec::new())) - hole_area(ply.unwrap());
            let share = if ply.unwrap().across_fold && drawn < 0.75 * area { 0.5 } else { 1.0 };
            assert!((drawn / (area * share) - 1.0).abs() < 1e-6, "{}: {drawn} {area}", placed.cut);
        }
        assert!(document(&[sheet]).starts_with(b"%PDF-"));
    }
}

fn hole_area(ply: &ellwand::layout::Ply) -> f64 {
    let ring = |ring: &Vec<[f64; 2]>| LineString::from(ring.iter().map(|&[x, y]| (x, y)).collect::<Vec<_>>());
    ply.holes.iter().map(|hole| geo::Area::unsigned_area(&Polygon::new(ring(hole), Vec::new()))).sum()
}

fn polygon(shape: &Shape) -> Polygon {
    let ring = |points: &Vec<Point>| LineString::from(points.iter().map(|p| (p.x, p.y)).collect::<Vec<_>>());
    Polygon::new(ring(&shape.outline), shape.holes.iter().map(ring).collect())
}

fn pattern_piece(name: &str, width: f64, length: f64) -> PatternPiece {
    let outline = vec![at(0.0, 0.0), at(length, 0.0), at(length * 0.8, width), at(0.0, width)];
    PatternPiece {
        name: name.to_owned(),
        lines: vec!["Cut 2, main".to_owned()],
        shape: Shape::new(outline, Vec::new()),
        stitching: vec![vec![at(length * 0.1, width * 0.1), at(length * 0.7, width * 0.1)]],
        grain: [at(length * 0.2, width / 2.0), at(length * 0.7, width / 2.0)],
        fold: Some([at(0.0, 0.0), at(length, 0.0)]),
        notches: vec![[at(0.0, width / 2.0), at(5.0_f64.min(length / 2.0), width / 2.0)]],
        darts: vec![[at(0.0, width * 0.4), at(length * 0.3, width * 0.5), at(0.0, width * 0.6)]],
    }
}

/// Every piece lies wholly on the windows of the sheets: `geo` takes what each window shows away, and nothing is left.
fn assert_all_shown(drawing: &Sheet, tiles: &draw::Tiles) {
    for placed in &drawing.placements {
        let whole = geo::MultiPolygon::new(vec![polygon(&placed.shape)]);
        let left = tiles.sheets.iter().fold(whole, |left, (_, window)| {
            let (w, h) = (2.0 * window.place.half_width, 2.0 * window.place.half_height);
            let shown = Rect::new((window.from.x, window.from.y), (window.from.x + w, window.from.y + h));
            left.difference(&geo::MultiPolygon::new(vec![shown.to_polygon()]))
        });
        assert!(geo::Area::unsigned_area(&left) < 1e-6, "{} is not shown whole", placed.cut);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn tiles_show_every_piece(
        sizes in prop::collection::vec((8.0f64..900.0, 8.0f64..1400.0), 1..12),
        letter: bool,
        name in "\\PC{0,40}",
    ) {
        let pieces: Vec<PatternPiece> =
            sizes.iter().map(|&(width, length)| pattern_piece(&name, width, length)).collect();
        let drawing = draw::pattern(&name, &pieces, 841.0, false);
        assert_on_page(&drawing);
        // No two pieces on one another.
        for (i, one) in drawing.placements.iter().enumerate() {
            for other in &drawing.placements[i + 1..] {
                prop_assert!(!geo::Intersects::intersects(&polygon(&one.shape), &polygon(&other.shape)));
            }
        }
        let tiles = draw::tiles(&name, &drawing, if letter { Paper::Letter } else { Paper::A4 });
        assert_on_page(&tiles.map);
        tiles.sheets.iter().for_each(|(sheet, _)| assert_on_page(sheet));
        assert_all_shown(&drawing, &tiles);
    }
}

#[test]
fn sheets_that_would_be_blank_are_left_out() {
    let drawing = draw::pattern(
        "A test",
        &[pattern_piece("long", 30.0, 1300.0), pattern_piece("small", 30.0, 30.0)],
        841.0,
        false,
    );
    let tiles = draw::tiles("A test", &drawing, Paper::A4);
    // 1300 mm in windows of 273 mm that share 10: five or six one below the other, and nothing beside them but the small one.
    assert!((5..=7).contains(&tiles.sheets.len()), "{}", tiles.sheets.len());
    let names: Vec<&str> = tiles.sheets.iter().filter_map(|(sheet, _)| texts(sheet).into_iter().next()).collect();
    assert_eq!(names[0], "A1");
}

#[test]
fn nonsense_makes_no_fall() {
    let plan = draw_fixtures::pinafore();
    for value in [0.0, -5.0, f64::NAN, f64::INFINITY, 1e308, 1e-300] {
        let mut plan = plan.clone();
        let cloth = &mut plan.cloths[0];
        (cloth.length, cloth.usable_width, cloth.buy.length) = (value, value, value);
        cloth.sections[0].to = value;
        cloth.plies[0].outline[0] = [value, value];
        let sheets = with_booklet(&plan, Paper::A4, draw::leaves);
        assert!(!document(&sheets).is_empty());
        assert!(!with_booklet(&plan, Paper::A4, draw::html::write).is_empty());
        assert!(!document(&[draw::full_size(&plan, &plan.cloths[0])]).is_empty());
    }
    let empty = draw::pattern("", &[], 841.0, true);
    assert!(draw::tiles("", &empty, Paper::Letter).sheets.is_empty());
}

#[test]
fn the_squares_are_ten_centimetres_and_four_inches() {
    let drawing = draw::pattern("A test", &[], 841.0, true);
    let sides: Vec<f64> = drawing
        .marks
        .iter()
        .filter_map(|m| if let Mark::Path(p) = m { p.lines.first() } else { None })
        .filter(|line| line.closed && line.points.len() == 4)
        .map(|line| line.points[1].x - line.points[0].x)
        .collect();
    // 4 in = 101.6 mm exactly (NIST SP 811).
    assert!(sides.iter().zip([100.0, 101.6]).all(|(a, b)| (a - b).abs() < 1e-9) && sides.len() == 2, "{sides:?}");
    let page = Rect::new((0.0, 0.0), (drawing.width, drawing.height)).to_polygon();
    assert!(page.contains(&geo::Point::new(1.0, 1.0)));
}

fn export(folder: &std::path::Path, arguments: &[&str]) -> std::process::Output {
    std::process::Command::new(env!("CARGO_BIN_EXE_ellwand"))
        .arg("export")
        .arg(std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("demo/half-scale/project.json"))
        .args(arguments)
        .current_dir(folder)
        .output()
        .expect("the program runs")
}

#[test]
fn pieces_are_exported_to_paper() {
    let folder = tempfile::tempdir().expect("a folder");
    for (paper, out) in [("letter", "one"), ("letter", "two"), ("one-page", "three")] {
        let output = export(folder.path(), &["--format", "pdf", "--paper", paper, "--out", out]);
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    }
    let read = |out: &str| std::fs::read(folder.path().join(out).join("pieces.pdf")).expect("a document");
    assert!(read("one").starts_with(b"%PDF-") && read("three").starts_with(b"%PDF-"));
    assert!(read("one") == read("two") && read("one") != read("three"));
    // Nothing is overwritten, and paper means nothing to a drawing.
    assert_eq!(export(folder.path(), &["--format", "pdf", "--out", "one"]).status.code(), Some(2));
    let output = export(folder.path(), &["--format", "svg", "--paper", "a4", "--out", "four"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("--format pdf"));
    assert!(!folder.path().join("four").exists());
}
