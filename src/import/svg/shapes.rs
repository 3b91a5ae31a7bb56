//! SVG's basic shapes as path data (SVG 2, chapter 10).

use std::fmt::Write as _;

use std::str::FromStr;

use roxmltree::Node;

use super::units::length;

/// The path data of a shape in user units; none for an element that draws nothing.
pub(super) fn data(node: Node, viewport: (f64, f64)) -> Option<String> {
    let diagonal = libm::sqrt(f64::midpoint(viewport.0 * viewport.0, viewport.1 * viewport.1));
    let across = |name| length(node, name, viewport.0);
    let down = |name| length(node, name, viewport.1);
    let radius = |name| length(node, name, diagonal);
    match node.tag_name().name() {
        "path" => node.attribute("d").map(str::to_owned),
        "line" => {
            let [x1, x2] = ["x1", "x2"].map(|name| across(name).unwrap_or(0.0));
            let [y1, y2] = ["y1", "y2"].map(|name| down(name).unwrap_or(0.0));
            Some(format!("M {x1} {y1} L {x2} {y2}"))
        }
        "polyline" => points(node, ""),
        "polygon" => points(node, "Z"),
        "circle" => {
            let r = radius("r")?;
            ellipse(across("cx").unwrap_or(0.0), down("cy").unwrap_or(0.0), r, r)
        }
        "ellipse" => {
            let (rx, ry) = (across("rx"), down("ry"));
            ellipse(across("cx").unwrap_or(0.0), down("cy").unwrap_or(0.0), rx.or(ry)?, ry.or(rx)?)
        }
        "rect" => rectangle(
            [across("x").unwrap_or(0.0), down("y").unwrap_or(0.0), across("width")?, down("height")?],
            across("rx"),
            down("ry"),
        ),
        _ => None,
    }
}

fn points(node: Node, end: &str) -> Option<String> {
    let mut numbers = svgtypes::NumberListParser::from(node.attribute("points")?);
    let mut data = String::new();
    while let (Some(Ok(x)), Some(Ok(y))) = (numbers.next(), numbers.next()) {
        let letter = if data.is_empty() { 'M' } else { 'L' };
        let _ = write!(data, "{letter} {x} {y} ");
    }
    (!data.is_empty()).then(|| data + end)
}

fn ellipse(cx: f64, cy: f64, rx: f64, ry: f64) -> Option<String> {
    let (left, right) = (cx - rx, cx + rx);
    (rx > 0.0 && ry > 0.0)
        .then(|| format!("M {right} {cy} A {rx} {ry} 0 0 1 {left} {cy} A {rx} {ry} 0 0 1 {right} {cy} Z"))
}

fn rectangle([x, y, width, height]: [f64; 4], rx: Option<f64>, ry: Option<f64>) -> Option<String> {
    if width <= 0.0 || height <= 0.0 {
        return None;
    }
    let rx = rx.or(ry).unwrap_or(0.0).clamp(0.0, width / 2.0);
    let ry = ry.or(Some(rx)).unwrap_or(0.0).clamp(0.0, height / 2.0);
    let (right, bottom) = (x + width, y + height);
    if rx == 0.0 || ry == 0.0 {
        return Some(format!("M {x} {y} H {right} V {bottom} H {x} Z"));
    }
    let arc = |x: f64, y: f64| format!("A {rx} {ry} 0 0 1 {x} {y}");
    Some(format!(
        "M {} {y} H {} {} V {} {} H {} {} V {} {} Z",
        x + rx,
        right - rx,
        arc(right, y + ry),
        bottom - ry,
        arc(right - rx, bottom),
        x + rx,
        arc(x, bottom - ry),
        y + ry,
        arc(x + rx, y)
    ))
}

/// The transform attribute of an element.
pub(super) fn transform(node: Node, name: &str) -> kurbo::Affine {
    let parsed = node.attribute(name).and_then(|text| svgtypes::Transform::from_str(text).ok());
    parsed.map_or(kurbo::Affine::IDENTITY, |t| kurbo::Affine::new([t.a, t.b, t.c, t.d, t.e, t.f]))
}
