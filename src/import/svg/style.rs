//! What style sheets and style attributes say of an element (CSS 2, as far as SVG's lines need it).

use std::str::FromStr;

use roxmltree::Node;
use simplecss::{AttributeOperator, Declaration, DeclarationTokenizer, PseudoClass, StyleSheet};

/// Elements times rules may come to this much; beyond it the style sheet is passed over.
const MOST_MATCHES: usize = 20_000_000;

/// The properties that matter, as they are inherited.
#[derive(Debug, Clone)]
pub(super) struct Style {
    pub(super) stroke: Option<String>,
    pub(super) has_fill: bool,
    pub(super) is_visible: bool,
    /// False where the element and all in it is not drawn; not inherited, but what is in it is never reached.
    pub(super) is_displayed: bool,
}

impl Default for Style {
    fn default() -> Self {
        Self { stroke: None, has_fill: true, is_visible: true, is_displayed: true }
    }
}

/// All the style sheets of a document in one; none where they are more than can be worked on.
pub(super) fn sheet<'d>(document: &'d roxmltree::Document) -> Option<StyleSheet<'d>> {
    let mut sheet = StyleSheet::new();
    let mut count = 0;
    for node in document.descendants() {
        count += 1;
        if node.has_tag_name("style") || node.tag_name().name() == "style" {
            for text in node.children().filter_map(|child| child.text()) {
                sheet.parse_more(text);
            }
        }
    }
    (sheet.rules.len().saturating_mul(count) <= MOST_MATCHES).then_some(sheet)
}

impl Style {
    /// The style of an element: presentation attributes, then style sheets, then its own `style`.
    pub(super) fn of(&self, node: Node, sheet: &StyleSheet) -> Self {
        let mut style = Self { is_displayed: true, ..self.clone() };
        for name in ["stroke", "fill", "visibility", "display"] {
            if let Some(value) = node.attribute(name) {
                style.take(name, value);
            }
        }
        for rule in &sheet.rules {
            if rule.selector.matches(&Matched(node)) {
                rule.declarations.iter().for_each(|Declaration { name, value, .. }| style.take(name, value));
            }
        }
        if let Some(own) = node.attribute("style") {
            DeclarationTokenizer::from(own).for_each(|Declaration { name, value, .. }| style.take(name, value));
        }
        style
    }

    fn take(&mut self, name: &str, value: &str) {
        let value = value.trim();
        match (name, value) {
            (_, "inherit") => {}
            ("stroke", "none" | "transparent") => self.stroke = None,
            ("stroke", _) => self.stroke = colour(value),
            ("fill", _) => self.has_fill = !matches!(value, "none" | "transparent"),
            ("visibility", _) => self.is_visible = value == "visible",
            ("display", _) => self.is_displayed = value != "none",
            _ => {}
        }
    }
}

/// A colour as `#rrggbb`, whatever way it is written.
pub(in super::super) fn colour(text: &str) -> Option<String> {
    let colour = svgtypes::Color::from_str(text.trim()).ok()?;
    Some(format!("#{:02x}{:02x}{:02x}", colour.red, colour.green, colour.blue))
}

struct Matched<'a, 'i>(Node<'a, 'i>);

impl simplecss::Element for Matched<'_, '_> {
    fn parent_element(&self) -> Option<Self> {
        self.0.parent_element().map(Matched)
    }

    fn prev_sibling_element(&self) -> Option<Self> {
        self.0.prev_sibling_element().map(Matched)
    }

    fn has_local_name(&self, name: &str) -> bool {
        self.0.tag_name().name() == name
    }

    fn attribute_matches(&self, name: &str, operator: AttributeOperator) -> bool {
        self.0.attribute(name).is_some_and(|value| operator.matches(value))
    }

    fn pseudo_class_matches(&self, class: PseudoClass) -> bool {
        matches!(class, PseudoClass::FirstChild) && self.0.prev_sibling_element().is_none()
    }
}
