//! Lengths read and printed, held against exact definitions and against each other.

use ellwand::units::{Rounding, Unit, both, metric, parse_coordinate, parse_length, yards_inches};
use proptest::prelude::*;

fn read(text: &str) -> f64 {
    parse_length(text, Unit::Centimetre).unwrap_or_else(|error| panic!("{text}: {error}"))
}

/// NIST Special Publication 811 (2008), appendix B.8, and NIST Handbook 44, appendix C: these factors are exact.
#[test]
fn units_are_those_of_nist() {
    assert_eq!(read("1 in"), 25.4);
    assert_eq!(read("1 ft"), 304.8);
    assert_eq!(read("1 yd"), 914.4);
    assert_eq!(read("12 in"), read("1 ft"));
    assert_eq!(read("36 in"), read("1 yd"));
    assert_eq!((read("1 mm"), read("1 cm"), read("1 m")), (1.0, 10.0, 1000.0));
    for unit in Unit::ALL {
        assert_eq!(parse_length("1", unit), Ok(unit.mm()));
        assert_eq!(read(&format!("1 {}", unit.symbol())), unit.mm());
    }
}

#[test]
fn lengths_are_read_as_people_write_them() {
    let inches = |text: &str, expected: f64| {
        let mm = read(text);
        assert!((mm - expected * 25.4).abs() < 1e-9, "{text} is {mm} mm");
    };
    for text in [
        "2 3/8 in",
        "2-3/8in",
        "2 3/8\"",
        "2⅜ in",
        "2 ⅜ inches",
        "2 3 / 8 in.",
        " 2.375 in ",
        "19/8 in",
        "2 3\u{2044}8 INCH",
    ] {
        inches(text, 2.375);
    }
    for text in [
        "1 1/2 yd",
        "1½ yd",
        "1.5 yards",
        "54 in",
        "4.5 ft",
        "4 1/2 feet",
        "1 yd 18 in",
        "4' 6\"",
        "4'6\"",
        "1yd 1ft 6in",
    ] {
        inches(text, 54.0);
    }
    inches("5/8\"", 0.625);
    inches("\u{bd} in", 0.5);
    inches("3 ft", 36.0);
    inches("59 1/2\u{201d}", 59.5);
    assert_eq!(read("25 cm"), 250.0);
    assert_eq!(read("0.5 m"), 500.0);
    assert_eq!(read(".5 metres"), 500.0);
    assert_eq!(read("25"), 250.0);
    assert_eq!(read("1/2"), 5.0);
    assert_eq!(read("0"), 0.0);
    assert_eq!(read("1000 m"), 1.0e6);
    assert_eq!(parse_coordinate("-2 3/8 in", Unit::Inch), Ok(-60.325));
    assert_eq!(parse_coordinate("\u{2212}4", Unit::Millimetre), Ok(-4.0));
}

/// Half a scale halves an allowance: 3/8 becomes 3/16 in (arithmetic).
#[test]
fn sixteenths_are_read_though_eighths_are_printed() {
    assert_eq!(read("3/8 in") / 2.0, read("3/16 in"));
}

#[test]
fn what_is_no_length_is_refused_with_cause_and_hint() {
    for (text, fragment) in [
        ("", "empty"),
        ("  ", "empty"),
        ("wide", "not a length"),
        ("cm 25", "not a length"),
        ("25 fathoms", "\"fathoms\""),
        ("1.5.2 cm", "not a length"),
        ("1e3 cm", "\"e\""),
        ("-1 cm", "below zero"),
        ("1001 m", "longer than a kilometre"),
        ("1,5 m", "comma"),
        ("2 9/8 in", "fraction"),
        ("1/0 in", "fraction"),
        ("/8 in", "fraction"),
        ("3/ in", "fraction"),
        ("1 yd 4", "no unit"),
        ("1 4 in", "no unit"),
        ("5-3 in", "not a known unit"),
        ("inf", "not a length"),
        ("NaN cm", "not a length"),
        ("--2 cm", "not a length"),
        ("25 cm x", "not a length"),
    ] {
        let error = parse_length(text, Unit::Centimetre).expect_err(text);
        assert!(error.cause.contains(fragment), "{text:?}: {error}");
        assert!(!error.hint.is_empty(), "{text:?}");
    }
}

/// Amounts to buy, worked by hand (arithmetic): 98 in = 2.72 yd, bought as 2 3/4; 147 in = 4.083 yd, bought as 4 1/8;
/// 1.40 m = 1.531 yd, bought as 1 5/8.
#[test]
fn amounts_to_buy_are_rounded_up() {
    assert_eq!(yards_inches(read("98 in"), Rounding::Up), "2 3/4 yd");
    assert_eq!(yards_inches(read("147 in"), Rounding::Up), "4 1/8 yd");
    assert_eq!(both(1400.0, Rounding::Up), "1.40 m (1 5/8 yd)");
    assert_eq!(metric(1400.1, Rounding::Up), "1.41 m");
    assert_eq!(yards_inches(914.5, Rounding::Up), "1 1/8 yd");
    assert_eq!(metric(3000.0 / 0.95, Rounding::Up), "3.16 m"); // 3.158 m
}

#[test]
fn lengths_are_printed_in_the_unit_of_their_size() {
    for (mm, expected_metric, expected_yards) in [
        (0.0, "0 mm", "0 in"),
        (1.6, "1.6 mm", "1/8 in"),
        (4.0, "4 mm", "1/8 in"),
        (9.96, "1.0 cm", "3/8 in"),
        (312.4, "31.2 cm", "12 1/4 in"),
        (314.325, "31.4 cm", "12 3/8 in"),
        (913.9, "91.4 cm", "1 yd"),
        (999.8, "1.00 m", "1 1/8 yd"),
        (1400.0, "1.40 m", "1 1/2 yd"),
        (-312.4, "-31.2 cm", "-12 1/4 in"),
        (-0.01, "0 mm", "0 in"),
        (f64::NAN, "unknown", "unknown"),
    ] {
        assert_eq!(metric(mm, Rounding::Nearest), expected_metric, "{mm}");
        assert_eq!(yards_inches(mm, Rounding::Nearest), expected_yards, "{mm}");
    }
}

/// The step of a printed length, by the unit it is printed in.
fn step(printed: &str) -> f64 {
    match printed.rsplit(' ').next() {
        Some("mm") => 0.1,
        Some("cm") => 1.0,
        Some("m") => 10.0,
        Some("in") => 25.4 / 8.0,
        Some("yd") => 914.4 / 8.0,
        _ => panic!("{printed} has no unit"),
    }
}

proptest! {
    /// What is printed is read back as the same length, to within the step it is printed in.
    #[test]
    fn printed_lengths_are_read_back(mm in prop_oneof![-2.0e4..2.0e4, -50.0..50.0]) {
        for text in [metric(mm, Rounding::Nearest), yards_inches(mm, Rounding::Nearest)] {
            let back = parse_coordinate(&text, Unit::Millimetre).unwrap();
            prop_assert!((back - mm).abs() <= step(&text) / 2.0 + 1e-9, "{mm} is {text}");
        }
    }

    /// An amount to buy is never below the need, and never a whole step above it.
    #[test]
    fn amounts_to_buy_cover_the_need(mm in prop_oneof![0.0..2.0e4, 0.0..50.0]) {
        for text in [metric(mm, Rounding::Up), yards_inches(mm, Rounding::Up)] {
            let bought = read(&text);
            prop_assert!(bought >= mm - 2e-6 && bought < mm + step(&text), "{mm} is {text}");
        }
    }

    /// Eighths survive the round trip exactly, and print the same again.
    #[test]
    fn eighths_print_as_they_were_written(eighths in 1_u32..288, yards in 8_u32..800) {
        let text = yards_inches(f64::from(eighths) * 25.4 / 8.0, Rounding::Nearest);
        prop_assert_eq!(yards_inches(read(&text), Rounding::Nearest), text.clone());
        prop_assert_eq!(yards_inches(read(&text), Rounding::Up), text);
        let text = yards_inches(f64::from(yards) * 914.4 / 8.0, Rounding::Nearest);
        prop_assert_eq!(yards_inches(read(&text), Rounding::Up), text);
    }

    /// Any text is either a finite length within a kilometre, or an error with a cause and a hint.
    #[test]
    fn no_text_is_too_strange(text in prop_oneof![".{0,40}", "[0-9 ./½⅜'\"ydincmft,-]{0,24}"]) {
        match parse_coordinate(&text, Unit::Inch) {
            Ok(mm) => prop_assert!(mm.abs() <= 1.0e6),
            Err(error) => prop_assert!(!error.cause.is_empty() && !error.hint.is_empty()),
        }
    }
}

#[test]
fn amounts_to_buy_are_in_metres_and_yards_and_never_below_need() {
    use ellwand::units::amount;
    // 0.40 m is 0.437 yd, 1.50 m is 1.640 yd (arithmetic): up to the eighth.
    assert_eq!(amount(400.0), "0.40 m (1/2 yd)");
    assert_eq!(amount(1500.0), "1.50 m (1 3/4 yd)");
    // Three eighths of a yard stay three eighths: 34.29 cm, so 0.35 m.
    assert_eq!(amount(3.0 * 114.3), "0.35 m (3/8 yd)");
    assert_eq!(amount(0.0), "0.00 m (0 yd)");
    assert_eq!(amount(f64::NAN), "unknown (unknown)");
}

#[test]
fn widths_of_cloth_are_in_centimetres_and_inches() {
    use ellwand::units::cloth_width;
    assert_eq!(cloth_width(1500.0), "150 cm (59 in)");
    assert_eq!(cloth_width(45.0 * 25.4), "114.3 cm (45 in)");
    assert_eq!(cloth_width(1120.0), "112 cm (44 1/8 in)");
}
