//! What lettering, names and layers say: what a line is for, a piece's name, how many to cut.

use super::drawing::Role;

/// What a text on a piece says of its cutting.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct CutText {
    /// How many.
    pub(super) count: usize,
    /// On the fold.
    pub(super) on_fold: bool,
    /// Half of them mirrored: said of a pair, and not where they are alike.
    pub(super) mirrored: bool,
}

/// The words of a text in small letters.
fn words(text: &str) -> Vec<String> {
    text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).map(str::to_lowercase).collect()
}

fn word_role(word: &str) -> Option<Role> {
    Some(match word {
        "grain" | "grainline" => Role::Grain,
        "fold" | "foldline" => Role::Fold,
        "notch" | "notches" => Role::Notch,
        "dart" | "darts" => Role::Dart,
        "stitching" | "seamline" | "stitchline" => Role::Stitching,
        _ => return None,
    })
}

/// What a line is for, by the first word of its name that says so.
pub(super) fn role(name: &str) -> Option<Role> {
    words(name).iter().find_map(|word| word_role(word))
}

/// What the lines of a layer are for: a layer is often named for its piece, so here every word has to say so.
pub(super) fn layer_role(name: &str) -> Option<Role> {
    let words = words(name);
    let is_filler = |word: &str| matches!(word, "line" | "lines" | "mark" | "marks" | "layer" | "all");
    let said: Vec<Role> = words.iter().filter_map(|word| word_role(word)).collect();
    let all = words.iter().all(|word| word_role(word).is_some() || is_filler(word));
    said.first().copied().filter(|_| all)
}

/// Whether a name or lettering speaks of a square to measure.
pub(super) fn is_test_square(text: &str) -> bool {
    let words = words(text);
    let says = |word: &str| words.iter().any(|other| other == word);
    says("test") || says("gauge") || (says("square") && (says("scale") || says("check") || words.len() <= 4))
}

/// How many to cut, where a text says so: "cut 2", "Cut two on fold", "Quantity: 3", "cut 1 pair".
pub(super) fn cut(text: &str) -> Option<CutText> {
    let words = words(text);
    let at = words.iter().position(|word| matches!(word.as_str(), "cut" | "quantity" | "qty"))?;
    let (place, count) =
        words.iter().enumerate().skip(at + 1).take(3).find_map(|(i, word)| Some((i, number(word)?)))?;
    let says = |wanted: &[&str]| words.iter().any(|word| wanted.contains(&word.as_str()));
    let pairs = words.get(place + 1).is_some_and(|word| word == "pair" || word == "pairs");
    let count = if pairs { 2 * count } else { count };
    let mirrored = count.is_multiple_of(2) && !says(&["alike", "same"]);
    (1..=500).contains(&count).then(|| CutText { count, on_fold: says(&["fold"]), mirrored })
}

fn number(word: &str) -> Option<usize> {
    const NUMBERS: [&str; 10] = ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"];
    if let Some(at) = NUMBERS.iter().position(|number| *number == word) {
        return Some(at + 1);
    }
    word.trim_matches('x').parse().ok()
}

/// The value of a text such as "Piece Name: front", where it has this key.
pub(super) fn value<'t>(text: &'t str, key: &str) -> Option<&'t str> {
    let (name, value) = text.split_once(':')?;
    let same = words(name).concat() == words(key).concat();
    (same && !value.trim().is_empty()).then(|| value.trim())
}

/// A piece's name out of lettering on it: its first line up to what says how to cut it; none where that is no name.
pub(super) fn name(text: &str) -> Option<String> {
    let line = text.lines().map(str::trim).find(|line| !line.is_empty())?;
    let lower = line.to_lowercase();
    let end = [" cut ", ",", ";", ":", " - "].iter().filter_map(|mark| lower.find(mark)).min().unwrap_or(line.len());
    let name = clean(line.get(..end)?);
    let is_name = name.chars().any(char::is_alphabetic)
        && !lower.starts_with("cut")
        && role(&name).is_none()
        && !is_test_square(line)
        && name.chars().count() <= 40;
    is_name.then_some(name)
}

/// Whether a name was made up by a program: "path12", "rect-3-4", "g5", "Layer_1".
pub(super) fn is_generated(name: &str) -> bool {
    let stem: String = name.chars().filter(|c| c.is_alphabetic()).flat_map(char::to_lowercase).collect();
    let made_up = [
        "", "path", "rect", "polygon", "polyline", "circle", "ellipse", "line", "g", "group", "use", "shape", "object",
        "layer", "svg", "surface", "glyph", "patch", "axes", "figure", "clip", "image", "xmlid", "id", "text", "tspan",
    ];
    made_up.contains(&stem.as_str())
}

/// A name as the project file takes it: one line without dots, not too long.
pub(super) fn clean(name: &str) -> String {
    let plain: String = name.chars().map(|c| if c == '.' || c.is_control() { ' ' } else { c }).collect();
    let plain = plain.split_whitespace().collect::<Vec<_>>().join(" ");
    let trimmed = plain.trim_matches(|c: char| !c.is_alphanumeric() && c != ')' && c != '(');
    trimmed.chars().take(60).collect::<String>().trim_end().to_owned()
}

/// A text as it is repeated in a message.
pub(super) fn short(text: &str) -> String {
    let mut short: String = text.chars().take(60).map(|c| if c.is_control() { ' ' } else { c }).collect();
    if text.chars().nth(60).is_some() {
        short.push_str("...");
    }
    short
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cutting_texts() {
        let said = |count, on_fold, mirrored| Some(CutText { count, on_fold, mirrored });
        assert_eq!(cut("Cut 2"), said(2, false, true));
        assert_eq!(cut("FRONT, cut one on fold"), said(1, true, false));
        assert_eq!(cut("Cut 2 alike"), said(2, false, false));
        assert_eq!(cut("cut 1 pair"), said(2, false, true));
        assert_eq!(cut("Quantity: 3"), said(3, false, false));
        assert_eq!(cut("cut 2x main"), said(2, false, true));
        for text in ["cut on fold", "cutting line", "front", "cut 0", "cut 100000", "2"] {
            assert_eq!(cut(text), None, "{text}");
        }
    }

    #[test]
    fn names_and_roles() {
        assert_eq!(name("Apron front, cut 1 on fold").as_deref(), Some("Apron front"));
        assert_eq!(name("Pocket cut 2").as_deref(), Some("Pocket"));
        for text in ["Cut 2", "grain", "place on fold", "5", "", "test square 5 cm", "12.5"] {
            assert_eq!(name(text), None, "{text}");
        }
        assert_eq!(role("back-grain"), Some(Role::Grain));
        assert_eq!(layer_role("grain lines"), Some(Role::Grain));
        assert_eq!(layer_role("bodice on fold"), None);
        assert!(is_generated("path4432-7") && is_generated("g12") && !is_generated("front"));
        assert_eq!(clean(" a.b\nc. "), "a b c");
        assert_eq!(value("Piece Name: front", "piece name"), Some("front"));
    }
}
