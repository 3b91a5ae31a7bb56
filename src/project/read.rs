//! Reading typed values from the tree: every problem is noted, none ends the reading.
//!
//! One trait and one macro serve both the reader and the JSON Schema, so that the two cannot drift apart.

use indexmap::IndexMap;
use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde_json::{Map, json};

use super::findings::{Findings, Path, shortened};
use super::tree::{Node, Value};
use crate::units::Unit;

/// A value of the project file: how it is read, and (by its supertrait) what the schema says of it.
pub(super) trait Read: JsonSchema + Sized {
    /// The value, or none where the problem has been reported.
    fn read(node: &Node, path: &Path, reader: &mut Reader) -> Option<Self>;
}

/// What reading needs besides the tree.
pub(super) struct Reader<'f, 'l> {
    /// The unit of bare numbers.
    pub(super) unit: Unit,
    pub(super) findings: &'f mut Findings<'l>,
}

impl Reader<'_, '_> {
    /// Notes a problem with a value; always none, so that it can end a reading.
    pub(super) fn refuse<T>(
        &mut self,
        node: &Node,
        path: &Path,
        cause: impl Into<String>,
        hint: impl Into<String>,
    ) -> Option<T> {
        self.findings.report(path, node.at, cause, hint);
        None
    }

    /// Notes that a value is of the wrong kind.
    pub(super) fn wrong_kind<T>(&mut self, node: &Node, path: &Path, wanted: &str) -> Option<T> {
        let cause = format!("{} is {}; it has to be {wanted}.", path.subject(), kind(node));
        self.refuse(node, path, cause, "")
    }

    /// The members of an object, its unknown keys noted.
    pub(super) fn members<'n>(
        &mut self,
        node: &'n Node,
        path: &Path,
        known: &[&str],
    ) -> Option<&'n IndexMap<String, Node>> {
        let Some(members) = node.object() else {
            let cause = format!("{} is {}; it has to be an object: {{ ... }}.", path.subject(), kind(node));
            let hint = format!("write {{ ... }} with some of these keys: {}.", known.join(", "));
            return self.refuse(node, path, cause, hint);
        };
        for (key, value) in members {
            if !known.contains(&key.as_str()) {
                let hint = match nearest(key, known.iter().copied()) {
                    Some(near) => format!("write \"{near}\", if that is what you mean."),
                    None => format!("the keys known here are {}.", known.join(", ")),
                };
                self.findings.report(
                    &path.key(key),
                    value.at,
                    format!("\"{}\" is not a known key here.", shortened(key)),
                    hint,
                );
            }
        }
        Some(members)
    }

    /// A member that has to be there.
    pub(super) fn required<T: Read>(&mut self, (node, path): (&Node, &Path), key: &str, about: &str) -> Option<T> {
        if node.get(key).is_none() {
            self.findings.report(
                &path.key(key),
                node.at,
                format!("\"{key}\" is missing."),
                format!("add \"{key}\": {}", demand(about)),
            );
        }
        self.optional((node, path), key, about)
    }

    /// A member that has to be there unless the object is given by its measures, which bring their own.
    pub(super) fn required_unless_measured<T: Read>(
        &mut self,
        (node, path): (&Node, &Path),
        key: &str,
        about: &str,
    ) -> Option<T> {
        if node.get("measured").is_none() {
            return self.required((node, path), key, about);
        }
        self.optional_unless_measured((node, path), key, about)
    }

    /// A member that may be left out, and has to be where the object is given by its measures.
    pub(super) fn optional_unless_measured<T: Read>(
        &mut self,
        (node, path): (&Node, &Path),
        key: &str,
        about: &str,
    ) -> Option<T> {
        if node.get("measured").is_none() {
            return self.optional((node, path), key, about);
        }
        if let Some(value) = node.get(key) {
            let cause = format!("\"{key}\" is given, but a piece that is measured has its own.");
            let hint = format!("leave \"{key}\" out, or draw the piece and leave \"measured\" out.");
            self.findings.report(&path.key(key), value.at, cause, hint);
        }
        None
    }

    /// A member that may be left out. Problems with the value itself get the schema's description as what to do.
    pub(super) fn optional<T: Read>(&mut self, (node, path): (&Node, &Path), key: &str, about: &str) -> Option<T> {
        let value = node.get(key)?;
        let path = path.key(key);
        let before = self.findings.count();
        let read = T::read(value, &path, self);
        for problem in self.findings.since(before) {
            if problem.hint.is_empty() {
                problem.hint = format!("give {}", demand(about));
            }
        }
        read
    }
}

/// The known word nearest to a mistyped one, if any is near.
pub(super) fn nearest<'k>(word: &str, known: impl IntoIterator<Item = &'k str>) -> Option<&'k str> {
    // Comparing takes time in the product of the lengths: an absurdly long word is near to none.
    if word.len() > 200 {
        return None;
    }
    let lower = word.to_lowercase();
    known
        .into_iter()
        .filter(|known| known.len() <= 200)
        .map(|known| (strsim::damerau_levenshtein(&lower, &known.to_lowercase()), known))
        .filter(|&(distance, known)| distance <= 1 + word.chars().count().min(known.len()) / 4)
        .min_by_key(|&(distance, _)| distance)
        .map(|(_, known)| known)
}

/// What to do about a name that is not among the known ones.
pub(super) fn name_hint<'k>(word: &str, known: impl Iterator<Item = &'k str> + Clone) -> String {
    if let Some(near) = nearest(word, known.clone()) {
        return format!("write \"{}\", if that is what you mean.", shortened(near));
    }
    match listed(known) {
        Some(list) => format!("write one of these: {list}."),
        None => "there are none yet: add it first.".to_owned(),
    }
}

/// The first dozen of some names; none where there are none.
pub(super) fn listed<'k>(names: impl Iterator<Item = &'k str>) -> Option<String> {
    let mut names = names.map(shortened);
    let mut list: Vec<String> = names.by_ref().take(12).collect();
    if names.next().is_some() {
        list.push("...".to_owned());
    }
    (!list.is_empty()).then(|| list.join(", "))
}

/// What kind of value this is, and the value itself where it is short.
pub(super) fn kind(node: &Node) -> String {
    match &node.value {
        Value::Null => "null".to_owned(),
        Value::Bool(value) => value.to_string(),
        Value::Number(number) => format!("the number {}", shown_number(*number)),
        Value::Text(text) => format!("the text \"{}\"", shortened(text)),
        Value::List(_) => "a list".to_owned(),
        Value::Object(_) => "an object".to_owned(),
    }
}

/// A number as a person would write it.
pub(super) fn shown_number(number: f64) -> String {
    if number.is_infinite() {
        "too large to compute with".to_owned()
    } else if number != 0.0 && !(1.0e-6..1.0e9).contains(&number.abs()) {
        format!("{number:e}")
    } else {
        number.to_string()
    }
}

/// A description as the end of a sentence, without what it says of leaving the key out.
fn demand(about: &str) -> String {
    let about = about.split(" Left out:").next().unwrap_or(about);
    let mut characters = about.trim().chars();
    characters.next().map(|first| first.to_lowercase().chain(characters).collect()).unwrap_or_default()
}

/// Objects of the file: a struct whose fields are all optional once read (none: left out, or wrong and reported),
/// its reader, and its schema, from one list of fields with their descriptions.
macro_rules! record {
    (
        $(#[doc = $about:literal])+
        $name:ident {
            $( $(#[doc = $doc:literal])+ $need:ident $field:ident: $type:ty, )+
        }
    ) => {
        $(#[doc = $about])+
        #[derive(Debug, Default)]
        pub(super) struct $name {
            $( $(#[doc = $doc])+ pub(super) $field: Option<$type>, )+
        }

        impl Read for $name {
            fn read(node: &Node, path: &Path, reader: &mut Reader) -> Option<Self> {
                let known = [$(stringify!($field)),+];
                reader.members(node, path, &known)?;
                Some(Self {
                    $( $field: reader.$need((node, path), stringify!($field), concat!($($doc),+)), )+
                })
            }
        }

        impl schemars::JsonSchema for $name {
            fn schema_name() -> std::borrow::Cow<'static, str> {
                stringify!($name).trim_end_matches("File").into()
            }

            fn json_schema(generator: &mut schemars::SchemaGenerator) -> schemars::Schema {
                let fields = [
                    $( $crate::project::read::Field {
                        name: stringify!($field),
                        need: stringify!($need),
                        about: concat!($($doc),+),
                        schema: generator.subschema_for::<$type>(),
                    } ),+
                ];
                $crate::project::read::object_schema(concat!($($about),+), fields)
            }
        }
    };
}
pub(super) use record;

/// A field as the schema lists it.
pub(super) struct Field {
    pub(super) name: &'static str,
    pub(super) need: &'static str,
    pub(super) about: &'static str,
    pub(super) schema: Schema,
}

/// The schema of an object with these fields and no others.
pub(super) fn object_schema(about: &str, fields: impl IntoIterator<Item = Field>) -> Schema {
    let mut properties = Map::new();
    let (mut required, mut unless_measured) = (Vec::new(), Vec::new());
    for mut field in fields {
        field.schema.insert("description".to_owned(), json!(field.about.trim()));
        match field.need {
            "required" => required.push(field.name),
            "required_unless_measured" => unless_measured.push(field.name),
            _ => {}
        }
        properties.insert(field.name.to_owned(), field.schema.to_value());
    }
    let mut schema = schemars::json_schema!({
        "type": "object",
        "description": about.trim(),
        "properties": properties,
        "additionalProperties": false,
    });
    if !required.is_empty() {
        schema.insert("required".to_owned(), json!(required));
    }
    if !unless_measured.is_empty() {
        let either = json!([{ "required": unless_measured }, { "required": ["measured"] }]);
        schema.insert("oneOf".to_owned(), either);
    }
    schema
}

/// The schema of a type that is written out wherever it is used.
macro_rules! inline_schema {
    ($type:ty, $($schema:tt)+) => {
        impl schemars::JsonSchema for $type {
            fn inline_schema() -> bool {
                true
            }

            fn schema_name() -> std::borrow::Cow<'static, str> {
                stringify!($type).into()
            }

            fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
                schemars::json_schema!($($schema)+)
            }
        }
    };
}
pub(super) use inline_schema;

/// Values under names that the user gives.
#[derive(Debug)]
pub(super) struct Named<T>(pub(super) IndexMap<String, Option<T>>);

impl<T: Read> Read for Named<T> {
    fn read(node: &Node, path: &Path, reader: &mut Reader) -> Option<Self> {
        let Some(members) = node.object() else {
            return reader.wrong_kind(node, path, "an object: { \"name\": ... }");
        };
        let mut named = IndexMap::with_capacity(members.len());
        for (name, value) in members {
            let path = path.name(name);
            if let Some(fault) = name_fault(name) {
                reader.findings.report(
                    &path,
                    value.at,
                    format!("The name \"{}\" {fault}.", shortened(name)),
                    "give it a short plain name.",
                );
            }
            named.insert(name.clone(), T::read(value, &path, reader));
        }
        Some(Self(named))
    }
}

/// What is wrong with a name, if anything. Names end up in labels, messages and file names.
fn name_fault(name: &str) -> Option<&'static str> {
    if name.trim().is_empty() {
        Some("is empty")
    } else if name.trim() != name {
        Some("begins or ends with a blank")
    } else if name.chars().any(char::is_control) {
        Some("has a line break or control character in it")
    } else if name.chars().count() > 80 {
        Some("is longer than 80 characters")
    } else {
        None
    }
}

impl<T: JsonSchema> JsonSchema for Named<T> {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> std::borrow::Cow<'static, str> {
        format!("Named{}", T::schema_name()).into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        schemars::json_schema!({
            "type": "object",
            "propertyNames": { "type": "string", "minLength": 1, "maxLength": 80 },
            "additionalProperties": generator.subschema_for::<T>(),
        })
    }
}

/// A list of at least `LEAST` and at most `MOST` values.
#[derive(Debug)]
pub(super) struct List<T, const LEAST: usize, const MOST: usize>(pub(super) Vec<Option<T>>);

impl<T: Read, const LEAST: usize, const MOST: usize> Read for List<T, LEAST, MOST> {
    fn read(node: &Node, path: &Path, reader: &mut Reader) -> Option<Self> {
        let wanted = match (LEAST, MOST) {
            (2, 2) => "a list of two: [ ..., ... ]".to_owned(),
            (0, _) => "a list: [ ... ]".to_owned(),
            _ => format!("a list of {LEAST} or more: [ ... ]"),
        };
        let Value::List(items) = &node.value else {
            return reader.wrong_kind(node, path, &wanted);
        };
        if items.len() < LEAST || items.len() > MOST {
            let wanted = if items.len() > MOST && MOST > 2 { format!("at most {MOST}") } else { wanted };
            let cause = format!("{} is a list of {}; it has to be {wanted}.", path.subject(), items.len());
            return reader.refuse(node, path, cause, "");
        }
        let read = |(number, item)| T::read(item, &path.item(number), reader);
        Some(Self(items.iter().enumerate().map(read).collect()))
    }
}

impl<T, const LEAST: usize, const MOST: usize> List<T, LEAST, MOST> {
    /// The values, where none of them was wrong.
    pub(super) fn whole(self) -> Option<Vec<T>> {
        self.0.into_iter().collect()
    }
}

impl<T: JsonSchema, const LEAST: usize, const MOST: usize> JsonSchema for List<T, LEAST, MOST> {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> std::borrow::Cow<'static, str> {
        format!("List{LEAST}To{MOST}Of{}", T::schema_name()).into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        schemars::json_schema!({
            "type": "array",
            "items": generator.subschema_for::<T>(),
            "minItems": LEAST,
            "maxItems": MOST,
        })
    }
}
