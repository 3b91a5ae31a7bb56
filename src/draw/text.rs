//! Text that is safe to write and whose width is known: cleaning, measuring, shortening, breaking into lines.

use crate::units;

/// Millimetres in a typographic point.
pub(super) const POINT: f64 = 25.4 / 72.0;

/// The smallest type in any drawing, in points.
pub(super) const SMALLEST: f64 = 6.0;

/// Height of a line over the type size; covers ascenders and descenders of the common sans-serif faces.
pub(super) const LINE: f64 = 1.14;

/// Fit to be written in any format: control characters and marks that change the direction of writing become blanks or go.
pub(super) fn clean(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{200b}' | '\u{200e}' | '\u{200f}' | '\u{feff}' => {}
            '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            c if c.is_whitespace() || c.is_control() => {
                if !out.is_empty() && !out.ends_with(' ') {
                    out.push(' ');
                }
            }
            c => out.push(c),
        }
    }
    out.truncate(out.trim_end().len());
    out
}

/// Width of a text over its type size.
///
/// An own estimate by classes of letters, on the safe side of the wide sans-serif faces, so that text never grows out of
/// the room found for it.
pub(super) fn ems(text: &str, bold: bool) -> f64 {
    let width: f64 = text.chars().map(letter).sum();
    if bold { width * 1.18 } else { width }
}

/// Whether every letter is one whose width is really estimated, not only guessed.
pub(super) fn is_measured(text: &str) -> bool {
    text.chars().all(|c| (' '..='~').contains(&c) || "×·…–½".contains(c))
}

fn letter(c: char) -> f64 {
    match c {
        '\'' | 'i' | 'j' | 'l' => 0.3,
        ' ' | ',' | '.' | '/' | ':' | ';' | '\\' | '|' | 'I' | 'J' => 0.35,
        '(' | ')' | '[' | ']' | '-' | '!' | '·' | 'f' | 'r' | 't' => 0.42,
        's' | 'z' => 0.54,
        '#' | '&' | '+' | '<' | '=' | '>' | '~' | '^' | '×' | 'w' => 0.84,
        '%' | '@' | 'M' | 'W' | 'm' | '…' | '½' => 1.0,
        'A'..='Z' => 0.79,
        ' '..='~' | '–' => 0.65,
        // Combining marks add nothing; counting them as half a letter is on the safe side.
        '\u{300}'..='\u{36f}' => 0.5,
        c if (c as u32) < 0x1100 => 1.1,
        _ => 1.4,
    }
}

/// The text cut off with an ellipsis so that it is at most `most` ems wide.
pub(super) fn shorten(text: &str, bold: bool, most: f64) -> String {
    if ems(text, bold) <= most {
        return text.to_owned();
    }
    let mut kept = String::new();
    for c in text.chars() {
        kept.push(c);
        if ems(&kept, bold) + ems("…", bold) > most {
            kept.pop();
            break;
        }
    }
    kept.truncate(kept.trim_end_matches([' ', '\u{200d}']).len());
    kept.push('…');
    kept
}

/// Breaks a text between words, but not within an amount, into lines of at most `most` ems, as even as they come. An amount
/// longer than that is broken all the same, and a longer word is cut off with an ellipsis.
pub(super) fn wrap(text: &str, bold: bool, most: f64) -> Vec<String> {
    let amounts = units::words(text);
    let too_long = |most: f64| amounts.iter().filter(|amount| ems(amount, bold) > most).count();
    let mut best = fill(&amounts, bold, most);
    // The narrowest measure that needs no more lines leaves no short last line, and breaks or cuts off no more words.
    for part in 1..10 {
        let measure = most * (1.0 - f64::from(part) * 0.05);
        let tighter = fill(&amounts, bold, measure);
        if tighter.len() > best.len() || too_long(measure) > too_long(most) {
            break;
        }
        best = tighter;
    }
    best
}

fn fill(amounts: &[String], bold: bool, most: f64) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for amount in amounts {
        let whole = ems(amount, bold) <= most;
        let words = if whole { vec![amount.as_str()] } else { amount.split(' ').collect() };
        for word in words {
            let word = shorten(word, bold, most);
            match lines.last_mut() {
                Some(line) if ems(line, bold) + ems(" ", bold) + ems(&word, bold) <= most => {
                    line.push(' ');
                    line.push_str(&word);
                }
                _ => lines.push(word),
            }
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::wrap;

    #[test]
    fn even_lines_break_no_amount() {
        assert_eq!(wrap("ab 12 3/8 in", false, 5.0), ["ab", "12 3/8 in"]);
        // Too long for any line: broken all the same.
        assert_eq!(wrap("12 3/8 in", false, 3.0), ["12", "3/8 in"]);
    }
}
