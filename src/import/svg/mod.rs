//! Reads SVG as drawing programs and converters write it (W3C SVG 1.1 and 2).
//!
//! Nested groups, transforms, `use` and `symbol`, style sheets and style attributes, all basic shapes, view boxes and
//! units are followed. A clip path hides lines on the screen but does not cut them, so clip paths are passed over, as are
//! masks, patterns, markers and pictures. Coordinates come out in millimetres with y upwards.

mod shapes;
mod style;
mod units;

use std::collections::BTreeMap;

use indexmap::IndexMap;
use kurbo::{Affine, BezPath};
use roxmltree::{Document, Node, NodeId, ParsingOptions};
use simplecss::StyleSheet;

use super::drawing::{Block, Drawing, Element, Known, MOST_LINES, Role, Text, sheet};
use super::{FileUnit, words};
use crate::error::{Place, Problem};
use crate::geometry::{Point, path_data};
use style::Style;
pub(super) use style::colour;

/// More elements than this are no pattern.
const MOST_NODES: u32 = 1_000_000;

/// Elements met while following `use`, each time over.
const MOST_VISITS: usize = 1_000_000;

/// Groups in groups.
const DEEPEST: usize = 150;

/// What the entities of a document may come to when written out, in bytes.
const MOST_EXPANDED: usize = 64 << 20;

/// Reads a drawing; `asked` is the unit to take where the file names none.
pub(super) fn read(text: &str, asked: Option<FileUnit>) -> Result<Drawing, Problem> {
    if entities_come_to(text) > MOST_EXPANDED {
        let cause = "The drawing's abbreviations (entities) come to more than can be worked on when written out.";
        return Err(Problem::at("", cause, "get the drawing from someone you trust, or save it anew as plain SVG"));
    }
    let options = ParsingOptions { allow_dtd: true, nodes_limit: MOST_NODES, ..ParsingOptions::default() };
    let document = Document::parse_with_options(text, options).map_err(|error| not_read(&error))?;
    let root = document.root_element();
    if root.tag_name().name() != "svg" {
        let cause = format!("The file is XML, but no drawing: it begins with <{}>.", root.tag_name().name());
        return Err(Problem::at("", cause, "give an SVG or a DXF file"));
    }
    let page = units::sheet(root, asked)?;
    let mut drawing = Drawing { page: Some(sheet(page.width, page.height)), ..Drawing::default() };
    drawing.blocks.push(Block::default());
    let styles = style::sheet(&document).unwrap_or_else(|| {
        drawing.note("The drawing's style sheet is too long; it was passed over.");
        StyleSheet::new()
    });
    let mut ids = BTreeMap::new();
    for node in document.descendants() {
        if let Some(id) = node.attribute("id") {
            ids.entry(id).or_insert(node.id());
        }
    }
    let flip = Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, page.height]);
    let mut walk = Walk { document: &document, styles, ids, drawing: &mut drawing, visits: 0, used: Vec::new() };
    let state = State {
        to_mm: flip * page.to_mm,
        style: Style::default().of(root, &walk.styles),
        layers: Vec::new(),
        role: None,
        viewport: page.viewport,
        borrowed: None,
    };
    walk.children(root, &state, 0).map_err(|TooMuch| too_much())?;
    Ok(drawing)
}

fn not_read(error: &roxmltree::Error) -> Problem {
    let place = error.pos();
    let (cause, hint) = match error {
        roxmltree::Error::EntityReferenceLoop(_) => (
            "The drawing's abbreviations (entities) refer to each other without end.".to_owned(),
            "get the drawing from someone you trust, or save it anew as plain SVG",
        ),
        roxmltree::Error::NodesLimitReached => {
            (format!("The drawing has more than {MOST_NODES} parts."), "save only the pattern pieces")
        }
        _ => (
            format!("The drawing cannot be read as SVG: {error}."),
            "the file may be damaged or cut short: save or fetch it again",
        ),
    };
    Problem {
        place: Place { line_column: Some((place.row as usize, place.col as usize)), ..Place::default() },
        ..Problem::at("", cause, hint)
    }
}

fn too_much() -> Problem {
    let cause = format!("The drawing has more than {MOST_LINES} lines, or more points than can be worked on.");
    Problem::at("", cause, "save only the pattern pieces, or only the sizes you need")
}

/// The most that the entities of a document may come to. The reader itself ends loops, but lets plain repetition pass.
fn entities_come_to(text: &str) -> usize {
    let declared = || text.split("<!ENTITY").skip(1).map(|rest| rest.split('>').next().unwrap_or(rest));
    let longest = declared().map(str::len).max().unwrap_or(0);
    // The reader follows at most 255 references from one.
    let nested = if declared().any(|entity| entity.contains('&')) { 255 } else { 1 };
    let references = if longest == 0 { 0 } else { text.matches('&').count() };
    longest.saturating_mul(nested).saturating_mul(references)
}

struct TooMuch;

struct Walk<'d, 'i> {
    document: &'d Document<'i>,
    styles: StyleSheet<'d>,
    ids: BTreeMap<&'d str, NodeId>,
    drawing: &'d mut Drawing,
    visits: usize,
    /// What is being used just now: nothing may use itself.
    used: Vec<NodeId>,
}

#[derive(Clone)]
struct State {
    to_mm: Affine,
    style: Style,
    layers: Vec<String>,
    role: Option<Role>,
    viewport: (f64, f64),
    /// The names of the `use` that led here.
    borrowed: Option<Vec<String>>,
}

impl<'d> Walk<'d, '_> {
    fn children(&mut self, node: Node<'d, '_>, state: &State, depth: usize) -> Result<(), TooMuch> {
        for child in node.children().filter(Node::is_element) {
            self.element(child.id(), state, depth)?;
        }
        Ok(())
    }

    fn element(&mut self, id: NodeId, state: &State, depth: usize) -> Result<(), TooMuch> {
        let document = self.document;
        let Some(node) = document.get_node(id) else { return Ok(()) };
        self.visits += 1;
        if self.visits > MOST_VISITS {
            return Err(TooMuch);
        }
        if depth > DEEPEST {
            self.drawing.note("Some parts are grouped too deeply; they were passed over.");
            return Ok(());
        }
        let style = state.style.of(node, &self.styles);
        if !style.is_displayed {
            return Ok(());
        }
        let transform = state.to_mm * shapes::transform(node, "transform");
        let mut inner = State { to_mm: transform, style, ..state.clone() };
        match node.tag_name().name() {
            "g" | "a" | "switch" => {
                let names = names(node);
                inner.role = names.iter().find_map(|name| words::layer_role(name)).or(inner.role);
                inner.layers.extend(names.into_iter().next_back());
                self.children(node, &inner, depth + 1)
            }
            "svg" => self.nested(node, &inner, (None, None), depth),
            "use" => self.reference(node, &inner, depth),
            "text" => {
                self.text(node, &inner);
                Ok(())
            }
            _ => self.shape(node, inner),
        }
    }

    /// An `svg` within the drawing, or a `symbol` that is used: a view box of its own.
    fn nested(
        &mut self,
        node: Node<'d, '_>,
        state: &State,
        (width, height): (Option<f64>, Option<f64>),
        depth: usize,
    ) -> Result<(), TooMuch> {
        let mut inner = state.clone();
        let (whole_x, whole_y) = state.viewport;
        if node.tag_name().name() == "svg" {
            let x = units::length(node, "x", whole_x).unwrap_or(0.0);
            let y = units::length(node, "y", whole_y).unwrap_or(0.0);
            inner.to_mm *= Affine::translate((x, y));
        }
        let width = width.or_else(|| units::length(node, "width", whole_x)).unwrap_or(whole_x);
        let height = height.or_else(|| units::length(node, "height", whole_y)).unwrap_or(whole_y);
        inner.viewport = (width, height);
        let view = node.attribute("viewBox").and_then(|text| text.parse::<svgtypes::ViewBox>().ok());
        if let Some(view) = view.filter(|view| view.w > 0.0 && view.h > 0.0) {
            inner.to_mm *= units::fitted(&view, units::aspect(node), width, height);
            inner.viewport = (view.w, view.h);
        }
        self.children(node, &inner, depth + 1)
    }

    fn reference(&mut self, node: Node<'d, '_>, state: &State, depth: usize) -> Result<(), TooMuch> {
        let link = node.attributes().find(|a| a.name() == "href").map(|a| a.value().trim());
        let Some(target) = link.and_then(|link| self.ids.get(link.strip_prefix('#')?).copied()) else {
            return Ok(());
        };
        if self.used.contains(&target) || self.used.len() > 32 {
            self.drawing.note("A part of the drawing uses itself; it was passed over.");
            return Ok(());
        }
        let (whole_x, whole_y) = state.viewport;
        let x = units::length(node, "x", whole_x).unwrap_or(0.0);
        let y = units::length(node, "y", whole_y).unwrap_or(0.0);
        let mut inner = state.clone();
        inner.to_mm *= Affine::translate((x, y));
        let own = names(node);
        if self.used.is_empty() || !own.is_empty() {
            inner.borrowed = Some(own);
        }
        self.used.push(target);
        let document = self.document;
        let result = match document.get_node(target) {
            Some(symbol) if matches!(symbol.tag_name().name(), "symbol" | "svg") => {
                inner.style = inner.style.of(symbol, &self.styles);
                let size = (units::length(node, "width", whole_x), units::length(node, "height", whole_y));
                self.nested(symbol, &inner, size, depth)
            }
            _ => self.element(target, &inner, depth + 1),
        };
        self.used.pop();
        result
    }

    fn shape(&mut self, node: Node, state: State) -> Result<(), TooMuch> {
        let is_drawn = state.style.is_visible && (state.style.has_fill || state.style.stroke.is_some());
        if !is_drawn {
            return Ok(());
        }
        let Some(data) = shapes::data(node, state.viewport) else { return Ok(()) };
        let own = names(node);
        let role = words::role(node.attribute("class").unwrap_or_default())
            .or_else(|| own.iter().find_map(|name| words::role(name)))
            .or(state.role);
        // What is used time and again has no name of its own: each use has.
        let names = if self.used.is_empty() { own } else { state.borrowed.unwrap_or_default() };
        let name = names.last().cloned().unwrap_or_default();
        // Read at its size on the paper, so that arcs are as close as they have to be there.
        let [a, b, c, d, ..] = state.to_mm.as_coeffs();
        let size = libm::sqrt((a * a + b * b).max(c * c + d * d));
        if !(size > 1e-9 && size < 1e9) {
            return Ok(());
        }
        let path: BezPath = match path_data(&data, size) {
            Ok(path) => state.to_mm * Affine::scale(1.0 / size) * path,
            Err(fault) => {
                let what =
                    if name.is_empty() { "A line".to_owned() } else { format!("The line \"{}\"", words::short(&name)) };
                self.drawing.note(format!("{what} was passed over: {fault}."));
                return Ok(());
            }
        };
        let known = node.attribute("data-ellwand").and_then(|text| known(text, state.to_mm));
        let element = Element { names, layers: state.layers, stroke: state.style.stroke, role, block: 0, known };
        if self.drawing.add(&path, element) { Ok(()) } else { Err(TooMuch) }
    }

    fn text(&mut self, node: Node, state: &State) {
        if !state.style.is_visible || self.drawing.texts.len() >= MOST_LINES {
            return;
        }
        let place = |node: Node, name: &str| -> Option<f64> {
            svgtypes::LengthListParser::from(node.attribute(name)?).next()?.ok().map(|length| length.number)
        };
        let placed = node.descendants().find(|n| n.has_attribute("x") || n.has_attribute("y")).unwrap_or(node);
        let at = state.to_mm * kurbo::Point::new(place(placed, "x").unwrap_or(0.0), place(placed, "y").unwrap_or(0.0));
        let mut content = String::new();
        for part in node.descendants() {
            let begins_a_line =
                part.tag_name().name() == "tspan" && (part.has_attribute("y") || part.has_attribute("dy"));
            if begins_a_line && !content.is_empty() {
                content.push('\n');
            }
            if part.is_text() {
                content.push_str(part.text().unwrap_or_default());
            }
        }
        let block = 0;
        let content = content.chars().take(2000).collect();
        self.drawing.texts.push(Text { content, at: Point { x: at.x, y: at.y }, block });
    }
}

/// The names of an element, the one meant for people last: id, label, title.
fn names(node: Node) -> Vec<String> {
    let id = node.attribute("id");
    let label = node.attributes().find(|a| a.namespace().is_some() && a.name() == "label").map(|a| a.value());
    let title = node.children().find(|child| child.tag_name().name() == "title").and_then(|title| title.text());
    let tidy = |name: &str| name.split_whitespace().collect::<Vec<_>>().join(" ");
    [id, label, title].into_iter().flatten().map(tidy).filter(|name| !name.is_empty()).collect()
}

/// What this program's own export says of a piece beside its lines; points are in the element's own coordinates.
fn known(text: &str, to_mm: Affine) -> Option<Known> {
    #[derive(serde::Deserialize, Default)]
    #[serde(default)]
    struct Written {
        points: IndexMap<String, [f64; 2]>,
        edges: IndexMap<String, Vec<String>>,
        fold: Option<String>,
        included: f64,
        allowances: IndexMap<String, f64>,
    }
    let Written { points, edges, fold, included, allowances } = serde_json::from_str(text).ok()?;
    let is_sound = |mm: f64| (0.0..1000.0).contains(&mm);
    let place = |[x, y]: [f64; 2]| {
        let at = to_mm * kurbo::Point::new(x, y);
        Point { x: at.x, y: at.y }
    };
    let points: IndexMap<String, Point> = points.into_iter().map(|(name, p)| (name, place(p))).collect();
    let all_sound = is_sound(included)
        && allowances.values().all(|&mm| is_sound(mm))
        && points.values().all(|p| p.x.abs() < 1e7 && p.y.abs() < 1e7);
    all_sound.then_some(Known { points, edges, fold, included, allowances })
}
