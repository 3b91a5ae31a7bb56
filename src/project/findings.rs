//! Problems as they are found in a file, each with its key path, line and column.

use std::fmt;

use crate::error::{Place, Problem, Problems};

/// Problems beyond this many are counted but not listed.
const MOST_LISTED: usize = 500;
/// Keys and words are repeated in messages up to this many characters.
const LONGEST_SHOWN: usize = 80;

/// The format's keys that read as a word of a sentence; others are quoted.
const NOUNS: [&str; 14] = [
    "name",
    "width",
    "length",
    "selvedge",
    "shrinkage",
    "gap",
    "lay",
    "outline",
    "grain",
    "allowance",
    "piece",
    "cloth",
    "count",
    "tilt",
];

/// The keys that lead to a value; written out only where there is a problem.
#[derive(Clone, Copy)]
pub(super) struct Path<'p> {
    parent: Option<&'p Path<'p>>,
    step: Step<'p>,
}

#[derive(Clone, Copy)]
enum Step<'p> {
    Root,
    Key(&'p str),
    Name(&'p str),
    Item(usize),
}

impl Path<'_> {
    /// The path of the whole document.
    pub(super) const ROOT: Self = Self { parent: None, step: Step::Root };

    /// The path of a member.
    pub(super) fn key<'c>(&'c self, key: &'c str) -> Path<'c> {
        Path { parent: Some(self), step: Step::Key(key) }
    }

    /// The path of an item of a list, counted from 0.
    pub(super) fn item(&self, number: usize) -> Path<'_> {
        Path { parent: Some(self), step: Step::Item(number) }
    }

    /// The path of a member whose key is a name that the user gave.
    pub(super) fn name<'c>(&'c self, name: &'c str) -> Path<'c> {
        Path { parent: Some(self), step: Step::Name(name) }
    }

    /// The value as the subject of a sentence: "The width", "\"sold_by\"", "A value in \"outline\"".
    pub(super) fn subject(&self) -> String {
        match self.step {
            Step::Root => "The document".to_owned(),
            Step::Key(key) if NOUNS.contains(&key) => format!("The {key}"),
            Step::Key(key) | Step::Name(key) => format!("\"{}\"", shortened(key)),
            Step::Item(_) => format!("A value in \"{}\"", self.list()),
        }
    }

    /// The key of the list that an item is in.
    fn list(&self) -> String {
        match (self.step, self.parent) {
            (Step::Key(key) | Step::Name(key), _) => shortened(key),
            (_, Some(parent)) => parent.list(),
            _ => String::new(),
        }
    }
}

impl fmt::Display for Path<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let is_first = match self.parent {
            None => true,
            Some(parent) => {
                parent.fmt(f)?;
                matches!(parent.step, Step::Root)
            }
        };
        match self.step {
            Step::Root => Ok(()),
            Step::Key(key) | Step::Name(key) if is_first => f.write_str(&shortened(key)),
            Step::Key(key) | Step::Name(key) => write!(f, ".{}", shortened(key)),
            Step::Item(number) => write!(f, "[{number}]"),
        }
    }
}

/// A text as it is repeated in a message: one line, not too long.
pub(super) fn shortened(text: &str) -> String {
    let mut short: String = text.chars().take(LONGEST_SHOWN).map(|c| if c.is_control() { ' ' } else { c }).collect();
    if text.chars().nth(LONGEST_SHOWN).is_some() {
        short.push_str("...");
    }
    short
}

/// Lines and columns of a text's bytes.
pub(super) struct Lines<'t> {
    text: &'t str,
    starts: Vec<usize>,
}

impl<'t> Lines<'t> {
    pub(super) fn of(text: &'t str) -> Self {
        let starts = std::iter::once(0).chain(text.match_indices('\n').map(|(at, _)| at + 1)).collect();
        Self { text, starts }
    }

    /// The line of a byte, counted from 1.
    pub(super) fn line(&self, at: usize) -> usize {
        self.starts.partition_point(|&start| start <= at)
    }

    /// Line and column of a byte, both counted from 1, columns in characters.
    pub(super) fn place(&self, at: usize) -> (usize, usize) {
        let line = self.line(at);
        let start = self.starts.get(line.wrapping_sub(1)).copied().unwrap_or(0);
        let before = self.text.get(start..at).unwrap_or("");
        (line, before.chars().count() + 1)
    }
}

/// The problems found so far.
pub(super) struct Findings<'l> {
    lines: &'l Lines<'l>,
    problems: Problems,
    unlisted: usize,
}

impl<'l> Findings<'l> {
    pub(super) fn new(lines: &'l Lines<'l>) -> Self {
        Self { lines, problems: Vec::new(), unlisted: 0 }
    }

    pub(super) fn lines(&self) -> &'l Lines<'l> {
        self.lines
    }

    /// A problem with the value at a byte of the file.
    pub(super) fn report(&mut self, path: &Path, at: usize, cause: impl Into<String>, hint: impl Into<String>) {
        if self.problems.len() >= MOST_LISTED {
            self.unlisted += 1;
            return;
        }
        let mut problem = Problem::at(path.to_string(), cause, hint);
        problem.place.line_column = Some(self.lines.place(at));
        self.problems.push(problem);
    }

    /// A problem found elsewhere, with its place as far as it is known.
    pub(super) fn add(&mut self, problem: Problem) {
        if self.problems.len() >= MOST_LISTED {
            self.unlisted += 1;
        } else {
            self.problems.push(problem);
        }
    }

    /// How many were found.
    pub(super) fn count(&self) -> usize {
        self.problems.len() + self.unlisted
    }

    /// Those found since there were `count`, for filling in what the finder did not know.
    pub(super) fn since(&mut self, count: usize) -> impl Iterator<Item = &mut Problem> {
        self.problems.iter_mut().skip(count)
    }

    /// All of them in the order of the file, those of no place in it first.
    pub(super) fn finish(self, file_name: &str) -> Problems {
        let mut problems = self.problems;
        problems.sort_by_key(|problem| problem.place.line_column);
        for problem in &mut problems {
            if problem.place.line_column.is_some() {
                file_name.clone_into(&mut problem.place.file);
            }
        }
        if self.unlisted > 0 {
            problems.push(Problem {
                place: Place { file: file_name.to_owned(), ..Place::default() },
                cause: format!("There are {} more problems.", self.unlisted),
                hint: "mend these first.".to_owned(),
            });
        }
        problems
    }
}
