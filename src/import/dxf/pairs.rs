//! The lowest level of DXF: pairs of a group code and a value, each on a line of its own.

use crate::error::{Place, Problem};

/// A group code and its value.
pub(super) type Pair<'t> = (i32, &'t str);

/// Most pairs a file may have.
const MOST_PAIRS: usize = 4_000_000;

/// The pairs of a whole file, up to its end mark.
pub(super) fn pairs(text: &str) -> Result<Vec<Pair<'_>>, Problem> {
    let mut found = Vec::new();
    let mut lines = text.lines().enumerate();
    while let Some((number, code)) = lines.next() {
        let code = code.trim();
        if code.is_empty() && found.is_empty() {
            continue;
        }
        let Ok(code) = code.parse::<i32>() else {
            let cause = format!("Line {} has to be a group code, a whole number.", number + 1);
            return Err(damaged(number + 1, &cause));
        };
        let Some((_, value)) = lines.next() else {
            return Err(damaged(number + 1, "The file ends in the middle of an entry."));
        };
        let value = value.trim();
        if code == 0 && value == "EOF" {
            return Ok(found);
        }
        if code != 999 {
            found.push((code, value));
        }
        if found.len() > MOST_PAIRS {
            return Err(damaged(number + 1, "The file has more entries than can be worked on."));
        }
    }
    Err(damaged(text.lines().count(), "The file ends without its end mark (EOF)."))
}

fn damaged(line: usize, cause: &str) -> Problem {
    Problem {
        place: Place { line_column: Some((line.max(1), 1)), ..Place::default() },
        ..Problem::at(
            "",
            format!("The drawing cannot be read as DXF. {cause}"),
            "the file may be damaged or cut short: save or fetch it again",
        )
    }
}

/// One entity or other object: its kind and its pairs.
#[derive(Debug, Clone)]
pub(super) struct Entry<'t> {
    pub(super) kind: &'t str,
    pub(super) pairs: Vec<Pair<'t>>,
}

impl<'t> Entry<'t> {
    /// The first value of a group code.
    pub(super) fn text(&self, code: i32) -> Option<&'t str> {
        self.pairs.iter().find(|(c, _)| *c == code).map(|(_, value)| *value)
    }

    /// A number, where there is one that can be believed.
    pub(super) fn number(&self, code: i32) -> Option<f64> {
        self.text(code).and_then(number)
    }

    /// A whole number, or 0.
    pub(super) fn flags(&self, code: i32) -> i64 {
        self.text(code).and_then(|text| text.parse().ok()).unwrap_or(0)
    }

    /// All numbers of a group code.
    pub(super) fn numbers(&self, code: i32) -> Vec<f64> {
        self.pairs.iter().filter(|(c, _)| *c == code).filter_map(|(_, value)| number(value)).collect()
    }

    /// A point by the group code of its x.
    pub(super) fn point(&self, code: i32) -> Option<(f64, f64)> {
        Some((self.number(code)?, self.number(code + 10).unwrap_or(0.0)))
    }

    pub(super) fn layer(&self) -> &'t str {
        self.text(8).unwrap_or("0")
    }
}

pub(super) fn number(text: &str) -> Option<f64> {
    text.parse::<f64>().ok().filter(|value| value.abs() < 1e12)
}

/// The entries of a stretch of pairs: each begins with group code 0.
pub(super) fn entries<'t>(pairs: &[Pair<'t>]) -> Vec<Entry<'t>> {
    let mut found: Vec<Entry> = Vec::new();
    for &(code, value) in pairs {
        match (code, found.last_mut()) {
            (0, _) => found.push(Entry { kind: value, pairs: Vec::new() }),
            (_, Some(entry)) => entry.pairs.push((code, value)),
            (_, None) => {}
        }
    }
    found
}

/// The pairs between `SECTION` and `ENDSEC` of a name.
pub(super) fn section<'p, 't>(pairs: &'p [Pair<'t>], name: &str) -> &'p [Pair<'t>] {
    let begin = pairs.windows(2).position(|two| two[0] == (0, "SECTION") && two[1] == (2, name));
    let Some(begin) = begin else { return &[] };
    let rest = &pairs[begin + 2..];
    let end = rest.iter().position(|pair| *pair == (0, "ENDSEC")).unwrap_or(rest.len());
    &rest[..end]
}
