//! The project file as a JSON tree in which every value knows its place.

use std::fmt;

use indexmap::IndexMap;
use serde::de::{Deserialize, Deserializer, MapAccess, Visitor};
use serde_json::value::RawValue;

use super::findings::{Findings, Lines, Path, shortened};
use crate::error::Problem;

/// A larger file is refused unread.
pub(super) const MOST_BYTES: usize = 32 << 20;
/// Brackets nested deeper than this are refused; the format itself needs about a dozen.
const DEEPEST: usize = 64;
/// More values than this are refused; a garment of a hundred pieces with outlines as points has a tenth of them.
const MOST_VALUES: usize = 1_000_000;

/// A value and the byte of the file it begins at.
#[derive(Debug, Clone)]
pub(super) struct Node {
    pub(super) at: usize,
    pub(super) value: Value,
}

#[derive(Debug, Clone)]
pub(super) enum Value {
    Null,
    Bool(bool),
    /// Infinite where the file's number is too large for a double.
    Number(f64),
    Text(String),
    List(Vec<Node>),
    Object(IndexMap<String, Node>),
}

impl Node {
    pub(super) fn object(&self) -> Option<&IndexMap<String, Node>> {
        match &self.value {
            Value::Object(members) => Some(members),
            _ => None,
        }
    }

    pub(super) fn get(&self, key: &str) -> Option<&Node> {
        self.object()?.get(key)
    }

    /// The value at a key path such as `pieces.front.darts[0].apex`, or the nearest that holds it.
    ///
    /// Keys may have dots in them: the longest key that fits is taken. An index may also be written `.0`.
    pub(super) fn nearest(&self, path: &str) -> &Node {
        let mut node = self;
        let mut rest = path;
        while !rest.is_empty() {
            let step = match &node.value {
                Value::Object(members) => member_step(members, rest),
                Value::List(items) => item_step(items, rest),
                _ => None,
            };
            let Some((next, after)) = step else { break };
            node = next;
            rest = after.strip_prefix('.').unwrap_or(after);
        }
        node
    }
}

fn member_step<'n, 'p>(members: &'n IndexMap<String, Node>, path: &'p str) -> Option<(&'n Node, &'p str)> {
    let is_end = |&(_, c): &(usize, char)| c == '.' || c == '[';
    let mut ends = std::iter::once(path.len()).chain(path.char_indices().rev().filter(is_end).map(|(at, _)| at));
    ends.find_map(|end| Some((members.get(&path[..end])?, &path[end..])))
}

fn item_step<'n, 'p>(items: &'n [Node], path: &'p str) -> Option<(&'n Node, &'p str)> {
    let path = path.strip_prefix('[').unwrap_or(path);
    let end = path.find(|c: char| !c.is_ascii_digit()).unwrap_or(path.len());
    let item = items.get(path[..end].parse::<usize>().ok()?)?;
    let rest = &path[end..];
    Some((item, rest.strip_prefix(']').unwrap_or(rest)))
}

/// Reads the bytes of a file into text; a byte order mark is passed over.
pub(super) fn text_of(bytes: &[u8]) -> Result<&str, Problem> {
    if bytes.len() > MOST_BYTES {
        return Err(Problem::at(
            "",
            format!("The file has {} MB; the program reads at most {} MB.", bytes.len() >> 20, MOST_BYTES >> 20),
            "check that this is the project file.",
        ));
    }
    let text = std::str::from_utf8(bytes).map_err(|error| {
        let good = bytes.get(..error.valid_up_to()).unwrap_or(&[]);
        let good = std::str::from_utf8(good).unwrap_or("");
        placed(
            Lines::of(good).place(good.len()),
            "The file is not plain text in UTF-8 from this place on.",
            "save it again as a text file with UTF-8 encoding.",
        )
    })?;
    Ok(text.strip_prefix('\u{feff}').unwrap_or(text))
}

/// Reads text into a tree. A file that is not JSON has one problem, at the place where it stops being JSON.
pub(super) fn parse(text: &str, findings: &mut Findings) -> Result<Node, Problem> {
    check_size(text, findings.lines())?;
    let raw: &RawValue = serde_json::from_str(text).map_err(|error| not_json(&error, text))?;
    Ok(Builder { text, findings }.node(raw, &Path::ROOT))
}

fn placed(line_column: (usize, usize), cause: impl Into<String>, hint: &str) -> Problem {
    let mut problem = Problem::at("", cause, hint);
    problem.place.line_column = Some(line_column);
    problem
}

/// Counts brackets and values before anything is built, so that no file can exhaust the machine.
fn check_size(text: &str, lines: &Lines) -> Result<(), Problem> {
    let (mut depth, mut values) = (0_usize, 0_usize);
    let (mut in_text, mut escaped) = (false, false);
    for (at, byte) in text.bytes().enumerate() {
        if in_text {
            in_text = escaped || byte != b'"';
            escaped = !escaped && byte == b'\\';
            continue;
        }
        match byte {
            b'"' => in_text = true,
            b'[' | b'{' => {
                depth += 1;
                values += 1;
            }
            b']' | b'}' => depth = depth.saturating_sub(1),
            b',' => values += 1,
            _ => {}
        }
        if depth > DEEPEST {
            return Err(placed(
                lines.place(at),
                format!("Brackets are nested more than {DEEPEST} deep here."),
                "a project needs about a dozen: look for brackets that were never closed.",
            ));
        }
        if values > MOST_VALUES {
            return Err(placed(
                lines.place(at),
                format!("The file has more than {MOST_VALUES} values."),
                "check that this is the project file; give long outlines with fewer points, or as curves.",
            ));
        }
    }
    Ok(())
}

fn not_json(error: &serde_json::Error, text: &str) -> Problem {
    if text.trim().is_empty() {
        return placed((1, 1), "The file is empty.", "a project file begins with { \"ellwand\": 1, ... }.");
    }
    if error.is_eof() {
        return placed(
            Lines::of(text).place(text.trim_end().len()),
            "The file ends before it is complete.",
            "look for a bracket or a quotation mark that was never closed, or save the file again.",
        );
    }
    let message = error.to_string();
    let cause = match message.split(" at line ").next().unwrap_or(&message) {
        "key must be a string" => "a key in quotation marks should stand here",
        "expected value" => "a value should stand here",
        cause if cause.starts_with("control character") => "a text runs on over the end of its line",
        cause => cause,
    };
    // serde_json counts columns in bytes and may stand at 0, just behind the end of a line.
    let line = error.line().max(1);
    let before = error.column().saturating_sub(1);
    let column =
        text.split('\n').nth(line - 1).map_or(0, |line| line.char_indices().take_while(|&(at, _)| at < before).count());
    placed(
        (line, column + 1),
        format!("The file stops being JSON here: {cause}."),
        "look just before this place for a comma, a quotation mark or a bracket that is missing or one too many.",
    )
}

struct Builder<'t, 'f, 'l> {
    text: &'t str,
    findings: &'f mut Findings<'l>,
}

impl<'t> Builder<'t, '_, '_> {
    /// The tree of a raw value, which is a slice of the text. Recursion ends at the depth checked before.
    fn node(&mut self, raw: &'t RawValue, path: &Path) -> Node {
        let at = self.offset(raw);
        let source = raw.get();
        let value = match source.as_bytes().first() {
            Some(b'{') => self.object(source, path),
            Some(b'[') => {
                let items: Vec<&'t RawValue> = serde_json::from_str(source).unwrap_or_default();
                let nodes = items.into_iter().enumerate().map(|(number, item)| self.node(item, &path.item(number)));
                Value::List(nodes.collect())
            }
            Some(b'"') => Value::Text(self.string(raw, path)),
            Some(b't') => Value::Bool(true),
            Some(b'f') => Value::Bool(false),
            Some(b'n') => Value::Null,
            _ => Value::Number(source.parse().unwrap_or(f64::INFINITY)),
        };
        Node { at, value }
    }

    fn object(&mut self, source: &'t str, path: &Path) -> Value {
        let Members(pairs) = serde_json::from_str(source).unwrap_or_default();
        let mut members: IndexMap<String, (usize, Node)> = IndexMap::with_capacity(pairs.len());
        for (raw_key, raw_value) in pairs {
            let at = self.offset(raw_key);
            let key = self.string(raw_key, path);
            let node = self.node(raw_value, &path.key(&key));
            if let Some((first, _)) = members.get(&key) {
                let line = self.findings.lines().line(*first);
                self.findings.report(
                    &path.key(&key),
                    at,
                    format!("\"{}\" is written twice; the first is on line {line}.", shortened(&key)),
                    "keep one of the two, or give them different names.",
                );
            }
            members.insert(key, (at, node));
        }
        let members = members.into_iter().map(|(key, (_, node))| (key, node));
        Value::Object(members.collect())
    }

    fn string(&mut self, raw: &RawValue, path: &Path) -> String {
        serde_json::from_str(raw.get()).unwrap_or_else(|_| {
            let at = self.offset(raw);
            self.findings.report(
                path,
                at,
                "The text has a \\u escape that stands for no character.",
                "write the character itself.",
            );
            String::new()
        })
    }

    /// Raw values borrow from the text, so their addresses tell where in it they lie.
    fn offset(&self, raw: &RawValue) -> usize {
        (raw.get().as_ptr() as usize).saturating_sub(self.text.as_ptr() as usize)
    }
}

/// The members of an object as written: in order, with duplicates.
#[derive(Default)]
struct Members<'t>(Vec<(&'t RawValue, &'t RawValue)>);

impl<'de> Deserialize<'de> for Members<'de> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Pairs;
        impl<'de> Visitor<'de> for Pairs {
            type Value = Members<'de>;

            fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
                f.write_str("an object")
            }

            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Members<'de>, A::Error> {
                let mut pairs = Vec::new();
                while let Some(pair) = map.next_entry()? {
                    pairs.push(pair);
                }
                Ok(Members(pairs))
            }
        }
        deserializer.deserialize_map(Pairs)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn problem(text: &str) -> Problem {
        let lines = Lines::of(text);
        let mut findings = Findings::new(&lines);
        match parse(text, &mut findings) {
            Err(problem) => problem,
            Ok(_) => findings.finish("file").remove(0),
        }
    }

    #[test]
    fn values_know_their_line_and_column() {
        let text = "{\n  \"\u{e9}t\u{e9}\": [1, \"\u{2192}\", {\"b.c\": true}]\n}";
        let lines = Lines::of(text);
        let tree = parse(text, &mut Findings::new(&lines)).unwrap();
        let place = |path: &str| lines.place(tree.nearest(path).at);
        assert_eq!(place(""), (1, 1));
        assert_eq!(place("\u{e9}t\u{e9}"), (2, 10));
        assert_eq!(place("\u{e9}t\u{e9}[1]"), (2, 14));
        assert_eq!(place("\u{e9}t\u{e9}.2"), (2, 19));
        assert_eq!(place("\u{e9}t\u{e9}[2].b.c"), (2, 27));
        assert_eq!(place("\u{e9}t\u{e9}[2].b"), (2, 19), "no such key: what holds it");
        assert_eq!(place("nothing.at.all"), (1, 1));
    }

    #[test]
    fn what_is_no_json_is_refused_where_it_stops_being_json() {
        for (text, place) in [
            ("", (1, 1)),
            (" \n ", (1, 1)),
            ("{\"a\": 1,}", (1, 9)),
            ("{\n\"a\": 1\n\"b\": 2}", (3, 1)),
            ("{\"\u{e9}\u{e9}\": nope}", (1, 9)),
            ("[1, 2] 3", (1, 8)),
            ("[NaN]", (1, 2)),
            ("[1, 2", (1, 6)),
        ] {
            let problem = problem(text);
            assert_eq!(problem.place.line_column, Some(place), "{text}: {problem}");
            assert!(!problem.hint.is_empty());
        }
    }

    #[test]
    fn a_key_written_twice_is_a_problem_at_the_second() {
        let problem = problem("{\"a\": {\"b\": 1,\n \"b\": 2}}");
        assert_eq!(problem.place.line_column, Some((2, 2)));
        assert_eq!(problem.place.keys, "a.b");
        assert!(problem.cause.contains("twice") && problem.cause.contains("line 1"));
    }

    #[test]
    fn nesting_ends_at_its_limit() {
        let nested = |depth: usize| format!("{}{}", "[".repeat(depth), "]".repeat(depth));
        let text = nested(DEEPEST);
        assert!(parse(&text, &mut Findings::new(&Lines::of(&text))).is_ok());
        assert!(problem(&nested(DEEPEST + 1)).cause.contains("nested"));
        assert!(problem(&format!("[{}", "1,".repeat(MOST_VALUES + 1))).cause.contains("values"));
        // Brackets in texts are no brackets.
        let text = format!("[\"{}\", \"\\\"[\"]", "[".repeat(1000));
        assert!(parse(&text, &mut Findings::new(&Lines::of(&text))).is_ok());
    }

    #[test]
    fn bytes_that_are_no_text_are_refused_with_their_place() {
        let problem = text_of(b"{\n \"a\": \xff}").unwrap_err();
        assert_eq!(problem.place.line_column, Some((2, 7)));
        assert_eq!(text_of(b"\xef\xbb\xbf{}").unwrap(), "{}", "a byte order mark is no part of the text");
        assert!(text_of(&vec![b' '; MOST_BYTES + 1]).is_err());
    }

    #[test]
    fn half_a_surrogate_pair_is_a_problem() {
        assert!(problem("{\"a\": \"\\ud800\"}").cause.contains("escape"));
    }
}
