//! Emphasis, on a terminal only: `NO_COLOR` and a dumb terminal turn it off (no-color.org; `console` looks at them).

use console::Style;

/// Headings in bold: the first line, and every line above a rule.
pub(super) fn report(text: &str) -> String {
    if !console::colors_enabled() {
        return text.to_owned();
    }
    let bold = Style::new().bold().force_styling(true);
    let lines: Vec<&str> = text.lines().collect();
    let is_heading = |place: usize| place == 0 || lines.get(place + 1).is_some_and(|below| is_rule(below));
    let shown = |(place, line): (usize, &&str)| {
        if is_heading(place) && !line.is_empty() { bold.apply_to(line).to_string() } else { (*line).to_owned() }
    };
    let mut shown: String = lines.iter().enumerate().map(shown).collect::<Vec<_>>().join("\n");
    if text.ends_with('\n') {
        shown.push('\n');
    }
    shown
}

fn is_rule(line: &str) -> bool {
    line.contains("---") && line.chars().all(|c| c == '-' || c == ' ')
}

/// A problem's first line in red: its place, or what is wrong where it has none.
pub(super) fn problem(text: &str) -> String {
    if !console::colors_enabled_stderr() {
        return text.to_owned();
    }
    let red = Style::new().red().bold().force_styling(true);
    match text.split_once('\n') {
        Some((first, rest)) => format!("{}\n{rest}", red.apply_to(first)),
        None => red.apply_to(text).to_string(),
    }
}
