//! Problems as data: where, why, and what to do; many gathered at once.

use std::fmt;

/// Where in the input a problem lies.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Place {
    /// The file's name as the user gave it; empty where the problem lies in no file.
    pub file: String,
    /// Line and column, both counted from 1; none where the file could not be read at all.
    pub line_column: Option<(usize, usize)>,
    /// The keys that lead to the value, e.g. `pieces.bodice-front.outline`; empty for the whole document.
    pub keys: String,
}

/// One thing wrong with the input, in words a dressmaker understands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Where it lies.
    pub place: Place,
    /// What is wrong.
    pub cause: String,
    /// What to do about it; empty where there is nothing to add.
    pub hint: String,
}

impl Problem {
    /// A problem at a key path; file, line and column are filled in by whoever knows the file.
    pub fn at(keys: impl Into<String>, cause: impl Into<String>, hint: impl Into<String>) -> Self {
        Self {
            place: Place {
                keys: keys.into(),
                ..Place::default()
            },
            cause: cause.into(),
            hint: hint.into(),
        }
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Place {
            file,
            line_column,
            keys,
        } = &self.place;
        let mut place = file.clone();
        if let Some((line, column)) = line_column {
            place = format!("{place}:{line}:{column}");
        }
        let place = [place.as_str(), keys.as_str()]
            .into_iter()
            .filter(|part| !part.is_empty())
            .collect::<Vec<_>>()
            .join(": ");
        if !place.is_empty() {
            writeln!(f, "{place}")?;
        }
        write!(f, "  {}", self.cause)?;
        if !self.hint.is_empty() {
            write!(f, "\n  To do: {}", self.hint)?;
        }
        Ok(())
    }
}

/// All the problems found; never empty when returned as an error.
pub type Problems = Vec<Problem>;
