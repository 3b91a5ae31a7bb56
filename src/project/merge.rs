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
