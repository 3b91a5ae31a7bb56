//! Who may import whom: every `crate::` path in `src` is held against the table in DEVELOPERS.md.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// Modules that anyone may use.
const GROUND: [&str; 2] = ["units", "error"];

/// The table's rows: module, and what it may import; none for a module that may import everything.
fn table() -> BTreeMap<String, Option<BTreeSet<String>>> {
    let text = fs::read_to_string(root().join("DEVELOPERS.md")).expect("DEVELOPERS.md can be read");
    let mut rows = BTreeMap::new();
    for line in text.lines().filter(|line| line.starts_with("| `")) {
        let cells: Vec<&str> = line.trim_matches('|').split('|').map(str::trim).collect();
        let [module, _, imports] = cells[..] else {
            panic!("a row of the import table has three cells: {line}");
        };
        let allowed = (imports != "everything").then(|| {
            imports
                .split(',')
                .map(|name| name.trim().to_owned())
                .filter(|name| name != "-" && !name.is_empty())
                .collect()
        });
        rows.insert(module.trim_matches('`').to_owned(), allowed);
    }
    rows
}

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).expect("a folder can be listed") {
        let path = entry.expect("an entry can be read").path();
        if path.is_dir() {
            found.extend(sources(&path));
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            found.push(path);
        }
    }
    found.sort();
    found
}

/// The module that a file belongs to: the first part of its path below `src`.
fn module_of(path: &Path) -> String {
    let below = path.strip_prefix(root().join("src")).expect("a source lies below src");
    let first = below.iter().next().expect("a path has a first part");
    first.to_string_lossy().trim_end_matches(".rs").to_owned()
}

/// The modules named after `crate::`, also in `use crate::{a, b::c}`. Unit tests are left out: they may look anywhere.
fn imports(source: &str) -> BTreeSet<String> {
    let code = source.split("#[cfg(test)]\nmod tests").next().unwrap_or_default();
    let code: String = code.lines().filter(|line| !line.trim_start().starts_with("//")).collect::<Vec<_>>().join(" ");
    let mut found = BTreeSet::new();
    for after in code.split("crate::").skip(1) {
        let names = match after.strip_prefix('{') {
            Some(list) => top_level_names(list),
            None => vec![leading_name(after)],
        };
        found.extend(names.into_iter().filter(|name| !name.is_empty()));
    }
    found
}

fn leading_name(text: &str) -> String {
    text.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect()
}

fn top_level_names(list: &str) -> Vec<String> {
    let (mut depth, mut names, mut begin) = (0, Vec::new(), 0);
    for (at, c) in list.char_indices() {
        match c {
            '{' => depth += 1,
            '}' if depth == 0 => {
                names.push(leading_name(list[begin..at].trim()));
                break;
            }
            '}' => depth -= 1,
            ',' if depth == 0 => {
                names.push(leading_name(list[begin..at].trim()));
                begin = at + 1;
            }
            _ => {}
        }
    }
    names
}

#[test]
fn modules_import_only_what_the_table_allows() {
    let table = table();
    let mut wrong = Vec::new();
    for path in sources(&root().join("src")) {
        let module = module_of(&path);
        if module == "lib" || module == "main" {
            continue;
        }
        let Some(allowed) = table.get(&module) else {
            wrong.push(format!("{module} is not in the table"));
            continue;
        };
        let Some(allowed) = allowed else { continue };
        for import in imports(&fs::read_to_string(&path).expect("a source can be read")) {
            if import != module && !GROUND.contains(&import.as_str()) && !allowed.contains(&import) {
                wrong.push(format!("{}: {module} imports {import}", path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn the_table_names_no_module_that_is_gone() {
    let modules: BTreeSet<String> = sources(&root().join("src")).iter().map(|path| module_of(path)).collect();
    for (module, imports) in table() {
        assert!(modules.contains(&module), "{module}");
        for import in imports.into_iter().flatten() {
            assert!(modules.contains(&import), "{module} may import {import}, which is gone");
        }
    }
}

#[test]
fn imports_are_read_as_they_are_written() {
    let source = "use crate::geometry::{Point, ring};\nuse crate::{draw, report::summary};\n// crate::nothing\nlet x = crate::lay::y();\n#[cfg(test)]\nmod tests { use crate::nest; }";
    let expected: BTreeSet<String> = ["geometry", "draw", "report", "lay"].map(str::to_owned).into();
    assert_eq!(imports(source), expected);
}
