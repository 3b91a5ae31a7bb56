//! Text that holds lengths, in words that may be parted at the end of a line.

use super::Unit;

/// The words of a text, a number together with its fraction and its unit: "2 1/2 in" broken after the 2 reads as half an inch.
pub fn words(text: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    let mut before = "";
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        match words.last_mut() {
            Some(amount) if is_number(before) && (is_fraction(word) || is_unit(word)) => {
                amount.push(' ');
                amount.push_str(word);
            }
            _ => words.push(word.to_owned()),
        }
        before = word;
    }
    words
}

/// A whole number, a decimal or a fraction, perhaps after a bracket or a sign.
fn is_number(word: &str) -> bool {
    let word = word.trim_start_matches(['(', '-', '+']);
    word.starts_with(|c: char| c.is_ascii_digit()) && word.ends_with(|c: char| c.is_ascii_digit())
}

fn is_fraction(word: &str) -> bool {
    let digits = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
    ended(word).split_once('/').is_some_and(|(over, under)| digits(over) && digits(under))
}

fn is_unit(word: &str) -> bool {
    Unit::ALL.iter().any(|unit| unit.symbol() == ended(word))
}

/// Without what ends a sentence, a part of one or a bracket.
fn ended(word: &str) -> &str {
    word.trim_end_matches([')', ',', '.', ';', ':'])
}

#[cfg(test)]
mod tests {
    use super::words;

    #[test]
    fn an_amount_is_one_word() {
        let text = "fold at 6.5 cm (2 1/2 in); buy 1.20 m (1 3/8 yd), 2 plies";
        let expected = ["fold", "at", "6.5 cm", "(2 1/2 in);", "buy", "1.20 m", "(1 3/8 yd),", "2", "plies"];
        assert_eq!(words(text), expected);
    }

    #[test]
    fn no_word_is_lost() {
        for text in ["", "  ", "1/2", "1/2  in", "/ 2 / in in", "2 1/2 1/2 3 in", "ab\u{a0}2 in"] {
            let alone: Vec<&str> = text.split(' ').filter(|word| !word.is_empty()).collect();
            assert_eq!(words(text).join(" "), alone.join(" "));
        }
    }
}
