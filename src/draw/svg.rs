//! Writes a display list as SVG (W3C SVG 1.1), in millimetres.

use ::svg::Document;
use ::svg::node::element::{Group, Path as PathElement, Rectangle, Text as TextElement, Title};

use super::list::{Anchor, DisplayList, Line, Mark, Path, Sheet, Text};
use super::text::{clean, is_measured};

/// Blank space between two sheets, in mm.
const BETWEEN: f64 = 6.0;

/// The whole drawing as one SVG document, its sheets one below the other.
pub fn write(list: &DisplayList) -> String {
    document(list, &list.sheets.iter().collect::<Vec<_>>())
}

/// One SVG document for each sheet, to be printed by itself.
pub fn write_sheets(list: &DisplayList) -> Vec<String> {
    list.sheets.iter().map(|sheet| document(list, &[sheet])).collect()
}

fn document(list: &DisplayList, sheets: &[&Sheet]) -> String {
    let width = sheets.iter().map(|sheet| sheet.width).fold(0.0, f64::max);
    let between = BETWEEN * sheets.len().saturating_sub(1) as f64;
    let height = sheets.iter().map(|sheet| sheet.height).sum::<f64>() + between;
    let mut document = Document::new()
        .set("width", format!("{}mm", number(width)))
        .set("height", format!("{}mm", number(height)))
        .set("viewBox", format!("0 0 {} {}", number(width), number(height)))
        .set("font-family", "sans-serif")
        .add(Title::new(clean(&list.title)));
    let mut top = 0.0;
    for sheet in sheets {
        document = document.add(group(sheet).set("transform", format!("translate(0 {})", number(top))));
        top += sheet.height + BETWEEN;
    }
    format!("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{document}\n")
}

fn group(sheet: &Sheet) -> Group {
    let paper =
        Rectangle::new().set("width", number(sheet.width)).set("height", number(sheet.height)).set("fill", "#ffffff");
    sheet.marks.iter().fold(Group::new().add(paper), |group, mark| match mark {
        Mark::Path(path) => group.add(path_element(path)),
        Mark::Text(text) => match &text.full {
            Some(full) => group.add(Group::new().add(Title::new(clean(full))).add(text_element(text))),
            None => group.add(text_element(text)),
        },
    })
}

fn path_element(path: &Path) -> PathElement {
    let data = path.lines.iter().map(data).collect::<Vec<_>>().join(" ");
    let mut element = PathElement::new().set("d", data).set("fill", path.fill.map_or("none".to_owned(), grey));
    if path.fill.is_some() {
        element = element.set("fill-rule", "evenodd");
    }
    if let Some(stroke) = path.stroke {
        element = element
            .set("stroke", grey(stroke.tone))
            .set("stroke-width", number(stroke.width))
            .set("stroke-linejoin", "round");
        if let Some([dash, gap]) = stroke.dash {
            element = element.set("stroke-dasharray", format!("{} {}", number(dash), number(gap)));
        }
    }
    match &path.title {
        Some(title) => element.add(Title::new(clean(title))),
        None => element,
    }
}

fn data(line: &Line) -> String {
    let mut out = String::new();
    for (i, p) in line.points.iter().enumerate() {
        let letter = if i == 0 { "M" } else { "L" };
        out.extend([letter, number(p.x).as_str(), " ", number(p.y).as_str()]);
    }
    if line.closed {
        out.push('Z');
    }
    out
}

fn text_element(text: &Text) -> TextElement {
    let (anchor, along) = match text.anchor {
        Anchor::Start => ("start", -text.frame.half_width),
        Anchor::Middle => ("middle", 0.0),
        Anchor::End => ("end", text.frame.half_width),
    };
    // Half way between the top of the ascenders and the foot of the descenders lies about a quarter em over the baseline.
    let base = text.frame.at(along, text.size * 0.27);
    let mut element = TextElement::new(clean(&text.content))
        .set("x", number(base.x))
        .set("y", number(base.y))
        .set("font-size", number(text.size))
        .set("text-anchor", anchor);
    if text.bold {
        element = element.set("font-weight", "bold");
    }
    if text.frame.turn != 0.0 {
        let turn = format!("rotate({} {} {})", number(text.frame.turn), number(base.x), number(base.y));
        element = element.set("transform", turn);
    }
    if !is_measured(&text.content) {
        // The widths of these letters are only guessed: have the reader's program keep to the box.
        element =
            element.set("textLength", number(2.0 * text.frame.half_width)).set("lengthAdjust", "spacingAndGlyphs");
    }
    element
}

/// A number to the thousandth without needless digits; the same on every machine.
fn number(value: f64) -> String {
    let text = format!("{value:.3}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

fn grey(tone: f64) -> String {
    let level = (tone.clamp(0.0, 1.0) * 255.0).round() as u8;
    format!("#{level:02x}{level:02x}{level:02x}")
}
