//! The report in text: figures in both systems, columns in line, nothing wider than asked.

mod draw_fixtures;

use ellwand::layout::{ClothNotes, Notes};
use ellwand::report;
use proptest::prelude::*;
use unicode_width::UnicodeWidthStr;

fn notes() -> Notes {
    Notes {
        cloths: vec![ClothNotes {
            cloth: "main".to_owned(),
            length: 0,
            why: "The fold needs less cloth to buy than open cloth does.".to_owned(),
            stopped: "The search had done the work asked of it.".to_owned(),
            not_possible: vec![("crosswise fold".to_owned(), "The nap would run two ways.".to_owned())],
            warnings: vec!["The ends are counted as 5 cm.".to_owned()],
        }],
        hand: Vec::new(),
    }
}

#[test]
fn the_summary_says_what_to_buy_and_what_to_cut() {
    let text = report::summary(&draw_fixtures::pinafore(), &notes());
    std::fs::write(std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("report.txt"), &text).expect("writable");
    let row = text.lines().find(|line| line.starts_with("main ")).expect("a row for the main cloth");
    for wanted in ["lengthwise fold", "1.49 m (1 5/8 yd)", "1.60 m", "1 3/4 yd", "36.40", "81.0 %", "1.28 m"] {
        assert!(row.contains(wanted), "{wanted}: {row}");
    }
    for wanted in [
        "crosswise fold: not possible. The nap would run two ways.",
        "The fold needs less cloth to buy",
        "The search had done the work",
        "Warning: The ends are counted",
    ] {
        assert!(text.contains(wanted), "{wanted}");
    }
    let has_row = |cells: &str| text.lines().any(|line| line.split_whitespace().collect::<Vec<_>>().join(" ") == cells);
    assert!(has_row("main tab tab 4 2"));
    assert!(has_row("main skirt front skirt-front 1 0 on the fold"));
    assert!(text.lines().any(|line| line.starts_with("contrast ") && line.ends_with("unfolded, cut whole")));
}

#[test]
fn amounts_to_buy_are_rounded_up_to_the_eighth_of_a_yard() {
    // Gathered tiers, common practice: 98 in is bought as 2 3/4 yd, 147 in as 4 1/8 yd, not 4. An inch is 25.4 mm exactly (NIST).
    for (inches, wanted) in
        [(98.0, "2 3/4 yd"), (147.0, "4 1/8 yd"), (36.0, "1 yd"), (54.0, "1 1/2 yd"), (4.5, "1/8 yd")]
    {
        let mut document = draw_fixtures::pinafore();
        document.cloths.truncate(1);
        document.cloths[0].buy.length = inches * 25.4;
        let text = report::summary(&document, &Notes::default());
        let row = text.lines().find(|line| line.starts_with("main ")).expect("a row");
        assert!(row.contains(&format!("  {wanted}  ")), "{wanted}: {row}");
    }
}

#[test]
fn columns_stand_in_line_whatever_the_script() {
    let mut document = draw_fixtures::pinafore();
    document.cloths[1].cloth = "差し色の布".to_owned();
    document.cloths[2].cloth = "e\u{301}toffe".to_owned();
    let text = report::summary(&document, &Notes::default());
    let lines: Vec<&str> = text.lines().collect();
    let heading = lines.iter().position(|line| line.contains("length used")).expect("the heading");
    let end = |line: &str, cell: &str| line.find(cell).map(|at| line[..at + cell.len()].width());
    let wanted = end(lines[heading], "length used");
    for row in &lines[heading + 2..heading + 6] {
        // The first length in brackets ends the column.
        let cell = row.find(')').map(|at| row[..=at].width());
        assert_eq!(cell, wanted, "{row}");
    }
}

#[test]
fn no_line_ends_within_an_amount() {
    let mut notes = notes();
    notes.cloths[0].warnings = vec!["fold at 6.5 cm (2 1/2 in), ".repeat(20)];
    for width in 32..120 {
        let text = report::summary_within(&draw_fixtures::pinafore(), &notes, width);
        let lines: Vec<&str> = text.lines().collect();
        for pair in lines.windows(2) {
            let rest = ["1/2", "in)", "cm"].iter().any(|rest| pair[1].trim_start().starts_with(rest));
            let within = rest && pair[0].ends_with(|c: char| c.is_ascii_digit());
            assert!(!within, "{width}: {pair:?}");
        }
    }
}

#[test]
fn no_control_character_reaches_the_terminal() {
    let mut document = draw_fixtures::pinafore();
    document.project = "a\u{1b}[31mb\u{7}\r\n\u{202e}c".to_owned();
    document.cloths[0].cloth = "\u{1b}]0;x\u{7}".to_owned();
    let text = report::summary(&document, &Notes::default());
    assert!(!text.chars().any(|c| c.is_control() && c != '\n'));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn nothing_is_wider_than_asked(
        name in "\\PC{0,60}", cloth in "\\PC{0,200}", cut in "[a-z\u{4e00}-\u{4e50}]{0,200}", length in 0.0f64..1e6, width in 32usize..140,
    ) {
        let mut document = draw_fixtures::pinafore();
        document.project = name;
        document.cloths[0].plies[0].cut = cut;
        document.cloths[0].length = length;
        document.cloths[0].buy.length = length * 1.1;
        document.cloths[0].cloth = cloth.clone();
        let mut notes = notes();
        notes.cloths[0].cloth = cloth;
        let text = report::summary_within(&document, &notes, width);
        for line in text.lines() {
            prop_assert!(line.width() <= width.min(ellwand::report::WIDTH), "{} > {width}: {line}", line.width());
        }
    }
}
