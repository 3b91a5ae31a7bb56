//! JSON Merge Patch (RFC 7396) on trees whose values know their place.

use indexmap::IndexMap;

use super::tree::{Node, Value};

/// `target` as changed by `patch`. Values that come from the patch keep the patch's place in the file.
///
/// Recursion ends at the depth of the patch, which reading the file has limited.
pub(super) fn merge(target: Option<Node>, patch: &Node) -> Node {
    let Value::Object(changes) = &patch.value else {
        return patch.clone();
    };
    let (at, mut members) = match target {
        Some(Node { at, value: Value::Object(members) }) => (at, members),
        _ => (patch.at, IndexMap::new()),
    };
    for (key, change) in changes {
        if matches!(change.value, Value::Null) {
            members.shift_remove(key);
        } else if let Some(old) = members.get_mut(key) {
            let empty = Node { at: 0, value: Value::Null };
            let target = std::mem::replace(old, empty);
            *old = merge(Some(target), change);
        } else {
            members.insert(key.clone(), merge(None, change));
        }
    }
    let value = Value::Object(members);
    Node { at, value }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::findings::{Findings, Lines};
    use crate::project::tree::parse;
    use proptest::prelude::*;
    use serde_json::json;

    fn node(text: &str) -> Node {
        let lines = Lines::of(text);
        let mut findings = Findings::new(&lines);
        let node = parse(text, &mut findings).unwrap();
        assert_eq!(findings.count(), 0, "{text}");
        node
    }

    fn json_of(node: &Node) -> serde_json::Value {
        match &node.value {
            Value::Null => json!(null),
            Value::Bool(value) => json!(value),
            Value::Number(number) => json!(number),
            Value::Text(text) => json!(text),
            Value::List(items) => items.iter().map(json_of).collect(),
            Value::Object(members) => {
                json!(members.iter().map(|(key, node)| (key.clone(), json_of(node))).collect::<serde_json::Map<_, _>>())
            }
        }
    }

    /// RFC 7396, appendix A, "Example Test Cases": all fifteen.
    #[test]
    fn the_examples_of_the_standard_come_out() {
        for (original, patch, result) in [
            (r#"{"a":"b"}"#, r#"{"a":"c"}"#, r#"{"a":"c"}"#),
            (r#"{"a":"b"}"#, r#"{"b":"c"}"#, r#"{"a":"b","b":"c"}"#),
            (r#"{"a":"b"}"#, r#"{"a":null}"#, "{}"),
            (r#"{"a":"b","b":"c"}"#, r#"{"a":null}"#, r#"{"b":"c"}"#),
            (r#"{"a":["b"]}"#, r#"{"a":"c"}"#, r#"{"a":"c"}"#),
            (r#"{"a":"c"}"#, r#"{"a":["b"]}"#, r#"{"a":["b"]}"#),
            (r#"{"a":{"b":"c"}}"#, r#"{"a":{"b":"d","c":null}}"#, r#"{"a":{"b":"d"}}"#),
            (r#"{"a":[{"b":"c"}]}"#, r#"{"a":[1]}"#, r#"{"a":[1]}"#),
            (r#"["a","b"]"#, r#"["c","d"]"#, r#"["c","d"]"#),
            (r#"{"a":"b"}"#, r#"["c"]"#, r#"["c"]"#),
            (r#"{"a":"foo"}"#, "null", "null"),
            (r#"{"a":"foo"}"#, r#""bar""#, r#""bar""#),
            (r#"{"e":null}"#, r#"{"a":1}"#, r#"{"e":null,"a":1}"#),
            ("[1,2]", r#"{"a":"b","c":null}"#, r#"{"a":"b"}"#),
            ("{}", r#"{"a":{"bb":{"ccc":null}}}"#, r#"{"a":{"bb":{}}}"#),
        ] {
            let merged = merge(Some(node(original)), &node(patch));
            assert_eq!(json_of(&merged), json_of(&node(result)), "{original} with {patch}");
        }
    }

    fn any_json() -> impl Strategy<Value = serde_json::Value> {
        let leaf = prop_oneof![
            Just(json!(null)),
            any::<bool>().prop_map(|value| json!(value)),
            (-1.0e6..1.0e6).prop_map(|number| json!(number)),
            "[a-c\u{e9}\\\\\"]{0,3}".prop_map(|text| json!(text)),
        ];
        leaf.prop_recursive(4, 40, 5, |inner| {
            prop_oneof![
                prop::collection::vec(inner.clone(), 0..4).prop_map(|items| json!(items)),
                prop::collection::btree_map("[a-d]", inner, 0..5).prop_map(|members| json!(members)),
            ]
        })
    }

    proptest! {
        /// The same result as the json-patch crate's, and every plain value still knows where it stands.
        #[test]
        fn random_merges_agree_with_json_patch(target in any_json(), patch in any_json()) {
            let text = json!({ "target": target, "patch": patch }).to_string();
            let both = node(&text);
            let merged = merge(both.get("target").cloned(), both.get("patch").unwrap());
            let mut expected = target;
            json_patch::merge(&mut expected, &patch);
            prop_assert_eq!(json_of(&merged), expected);
            assert_places(&merged, &text);
        }
    }

    fn assert_places(node: &Node, text: &str) {
        let source = &text[node.at..];
        match &node.value {
            Value::List(items) => {
                assert!(source.starts_with('['));
                for item in items {
                    assert_places(item, text);
                }
            }
            Value::Object(members) => {
                assert!(source.starts_with('{'));
                for member in members.values() {
                    assert_places(member, text);
                }
            }
            _ => {
                let mut values = serde_json::Deserializer::from_str(source).into_iter::<serde_json::Value>();
                assert_eq!(values.next().unwrap().unwrap(), json_of(node));
            }
        }
    }
}
