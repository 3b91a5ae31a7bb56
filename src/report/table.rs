//! Tables in plain text, their columns aligned whatever script the words are in.

use crate::units;

/// How a column's cells stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Side {
    Left,
    Right,
}

/// A table with a heading row; all rows have as many cells as there are columns.
pub(super) struct Table<'a> {
    pub(super) columns: Vec<(&'a str, Side)>,
    pub(super) rows: Vec<Vec<String>>,
}

const BETWEEN: usize = 2;

impl Table<'_> {
    /// The lines of the table, none wider than `width`: where words are too long, the widest columns of words give way.
    /// None where that is not enough.
    pub(super) fn lines(&self, width: usize) -> Option<Vec<String>> {
        let mut widths = self.natural_widths();
        self.narrow(&mut widths, width)?;
        let heading: Vec<String> = self.columns.iter().map(|(heading, _)| (*heading).to_owned()).collect();
        let rule: Vec<String> = self
            .columns
            .iter()
            .zip(&widths)
            .map(|((heading, _), &w)| if heading.is_empty() { String::new() } else { "-".repeat(w) })
            .collect();
        Some([&heading, &rule].into_iter().chain(&self.rows).map(|row| self.line(row, &widths)).collect())
    }

    /// Whether nothing has to give way.
    pub(super) fn fits(&self, width: usize) -> bool {
        total(&self.natural_widths()) <= width
    }

    fn natural_widths(&self) -> Vec<usize> {
        self.columns
            .iter()
            .enumerate()
            .map(|(i, (heading, _))| {
                let cells = self.rows.iter().map(|row| columns(&row[i]));
                cells.chain([columns(heading)]).max().unwrap_or(0)
            })
            .collect()
    }

    fn narrow(&self, widths: &mut [usize], most: usize) -> Option<()> {
        while total(widths) > most {
            let words = (0..widths.len()).filter(|&i| self.columns[i].1 == Side::Left && widths[i] > 8);
            let widest = words.max_by_key(|&i| widths[i])?;
            widths[widest] -= 1;
        }
        Some(())
    }

    fn line(&self, row: &[String], widths: &[usize]) -> String {
        let mut out = String::new();
        for ((cell, &width), (_, side)) in row.iter().zip(widths).zip(&self.columns) {
            let cell = shorten(cell, width);
            let blank = " ".repeat(width.saturating_sub(columns(&cell)));
            match side {
                Side::Left => out.extend([cell, blank]),
                Side::Right => out.extend([blank, cell]),
            }
            out.push_str(&" ".repeat(BETWEEN));
        }
        out.truncate(out.trim_end().len());
        out
    }
}

fn total(widths: &[usize]) -> usize {
    widths.iter().sum::<usize>() + BETWEEN * widths.len().saturating_sub(1)
}

/// How many columns of a terminal a text takes.
pub(super) fn columns(text: &str) -> usize {
    unicode_width::UnicodeWidthStr::width(text)
}

/// A text cut off with an ellipsis to fit a number of columns.
pub(super) fn shorten(text: &str, most: usize) -> String {
    if columns(text) <= most {
        return text.to_owned();
    }
    let mut out = String::new();
    for c in text.chars() {
        out.push(c);
        if columns(&out) + 1 > most {
            out.pop();
            break;
        }
    }
    out.truncate(out.trim_end_matches([' ', '\u{200d}']).len());
    out.push('…');
    out
}

/// Fit for a terminal: control characters, which could move the cursor or change colours, become blanks or go.
pub(super) fn clean(text: &str) -> String {
    let kept = text.chars().filter_map(|c| match c {
        '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{200e}' | '\u{200f}' | '\u{feff}' => None,
        c if c.is_control() || c.is_whitespace() => Some(' '),
        c => Some(c),
    });
    kept.collect::<String>().split(' ').filter(|word| !word.is_empty()).collect::<Vec<_>>().join(" ")
}

/// A paragraph broken into lines of at most `width` columns, the later ones indented. An amount stays on one line if it has
/// room there; longer words are cut through.
pub(super) fn wrap(text: &str, width: usize, indent: usize) -> Vec<String> {
    let room = width.max(indent + 4);
    let mut lines: Vec<String> = Vec::new();
    let mut line = String::new();
    for amount in units::words(text) {
        if indent + columns(&amount) <= room {
            put(&amount, room, indent, &mut line, &mut lines);
        } else {
            amount.split(' ').for_each(|word| put(word, room, indent, &mut line, &mut lines));
        }
    }
    lines.push(line);
    lines
}

/// Puts a word at the end of a line, or of a new one; where it is longer than a line, piece by piece.
fn put(word: &str, room: usize, indent: usize, line: &mut String, lines: &mut Vec<String>) {
    let mut word = word.to_owned();
    loop {
        let gap = usize::from(!line.trim().is_empty());
        if columns(line) + gap + columns(&word) <= room {
            if gap == 1 {
                line.push(' ');
            }
            line.push_str(&word);
            return;
        }
        if line.trim().is_empty() {
            let (head, tail) = split(&word, room - columns(line));
            line.push_str(&head);
            word = tail;
        }
        lines.push(std::mem::replace(line, " ".repeat(indent)));
    }
}

/// A word in two, the first part at most `most` columns but at least one letter.
fn split(word: &str, most: usize) -> (String, String) {
    let mut at = 0;
    for (i, c) in word.char_indices() {
        let end = i + c.len_utf8();
        if i > 0 && columns(&word[..end]) > most {
            break;
        }
        at = end;
    }
    (word[..at].to_owned(), word[at..].to_owned())
}
