//! Reading and writing files: whole or not at all.

use std::fs;
use std::io::{Read, Write};
use std::path::{Path, PathBuf};

use tempfile::NamedTempFile;

use super::one_problem;
use crate::error::Problems;

/// More than this is no project of one garment, in bytes.
const MOST_BYTES: u64 = 32 * 1024 * 1024;

/// Reads a whole file.
pub(super) fn read(path: &Path) -> Result<Vec<u8>, Problems> {
    let failed = |error: std::io::Error| {
        let cause = format!("The file \"{}\" cannot be read: {error}.", path.display());
        one_problem(cause, "check its name and that you may read it")
    };
    let mut bytes = Vec::new();
    let file = fs::File::open(path).map_err(failed)?;
    file.take(MOST_BYTES + 1).read_to_end(&mut bytes).map_err(failed)?;
    if bytes.len() as u64 > MOST_BYTES {
        let cause = format!("The file \"{}\" is larger than {} MB.", path.display(), MOST_BYTES / 1024 / 1024);
        return Err(one_problem(
            cause,
            "projects and drawings of patterns are far smaller: check that this is the file you meant",
        ));
    }
    Ok(bytes)
}

/// Makes sure that files can be written into a folder that may not exist yet, without leaving a trace.
pub(super) fn check_writable(folder: &Path) -> Result<(), Problems> {
    let existing = folder.ancestors().find(|ancestor| ancestor.exists() || ancestor.as_os_str().is_empty());
    let place = match existing {
        Some(ancestor) if !ancestor.as_os_str().is_empty() => ancestor,
        _ => Path::new("."),
    };
    if !place.is_dir() {
        let cause = format!("\"{}\" is not a folder.", place.display());
        return Err(one_problem(cause, "give --out the name of a folder"));
    }
    NamedTempFile::new_in(place).map(drop).map_err(|error| not_writable(folder, &error))
}

fn not_writable(folder: &Path, error: &std::io::Error) -> Problems {
    let cause = format!("The folder \"{}\" cannot be written to: {error}.", folder.display());
    one_problem(cause, "give --out a folder of your own")
}

/// Writes files into a folder: each to a temporary name first, renamed only when all of them are complete.
pub(super) fn write_all<T: AsRef<[u8]>>(folder: &Path, files: &[(String, T)]) -> Result<Vec<PathBuf>, Problems> {
    let failed = |error: std::io::Error| not_writable(folder, &error);
    fs::create_dir_all(folder).map_err(failed)?;
    let mut ready = Vec::new();
    for (name, content) in files {
        let mut file = NamedTempFile::new_in(folder).map_err(failed)?;
        file.write_all(content.as_ref()).and_then(|()| file.as_file().sync_all()).map_err(failed)?;
        readable_by_others(file.path()).map_err(failed)?;
        ready.push((file, folder.join(name)));
    }
    // Renaming fails on a folder of that name: found out before the first file is renamed, not between two.
    if let Some((_, path)) = ready.iter().find(|(_, path)| path.is_dir()) {
        let cause = format!("\"{}\" is a folder; a drawing is to be written there.", path.display());
        return Err(one_problem(cause, "move that folder away, or give --out another one"));
    }
    let mut written = Vec::new();
    for (file, path) in ready {
        file.persist(&path).map_err(|error| not_writable(folder, &error.error))?;
        written.push(path);
    }
    Ok(written)
}

/// Makes sure that a file can be written that does not exist yet: nothing is overwritten.
pub(super) fn check_new(path: &Path) -> Result<(), Problems> {
    if path.symlink_metadata().is_ok() {
        return Err(in_the_way(path));
    }
    check_writable(folder_of(path))
}

/// Writes a new file: to a temporary name first, then renamed, unless a file of that name has come up meanwhile.
pub(super) fn write_new(path: &Path, content: impl AsRef<[u8]>) -> Result<(), Problems> {
    let folder = folder_of(path);
    let failed = |error: std::io::Error| not_writable(folder, &error);
    fs::create_dir_all(folder).map_err(failed)?;
    let mut file = NamedTempFile::new_in(folder).map_err(failed)?;
    file.write_all(content.as_ref()).and_then(|()| file.as_file().sync_all()).map_err(failed)?;
    readable_by_others(file.path()).map_err(failed)?;
    match file.persist_noclobber(path) {
        Ok(_) => Ok(()),
        Err(error) if error.error.kind() == std::io::ErrorKind::AlreadyExists => Err(in_the_way(path)),
        Err(error) => Err(failed(error.error)),
    }
}

fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

fn in_the_way(path: &Path) -> Problems {
    let cause = format!("\"{}\" exists already; it is not overwritten.", path.display());
    one_problem(cause, "give --out another name, or remove the old file yourself")
}

/// Temporary files are private; a drawing is not.
#[cfg(unix)]
fn readable_by_others(path: &Path) -> std::io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    fs::set_permissions(path, fs::Permissions::from_mode(0o644))
}

#[cfg(not(unix))]
fn readable_by_others(_: &Path) -> std::io::Result<()> {
    Ok(())
}

/// File names for keys: letters, digits, - and _ kept, anything else a -, and no name twice, whatever its case.
pub(super) fn file_names(keys: &[&str], ending: &str) -> Vec<String> {
    let mut taken = Vec::new();
    for key in keys {
        let plain: String =
            key.chars().take(60).map(|c| if c.is_alphanumeric() || c == '-' || c == '_' { c } else { '-' }).collect();
        let stem = if plain.is_empty() { "cloth".to_owned() } else { plain };
        let mut name = format!("{stem}.{ending}");
        let mut number = 2;
        while taken.iter().any(|other: &String| other.to_lowercase() == name.to_lowercase()) {
            name = format!("{stem}-{number}.{ending}");
            number += 1;
        }
        taken.push(name);
    }
    taken
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_plain_and_differ() {
        let names = file_names(&["main", "a/b", "A b", "a?b", ""], "svg");
        assert_eq!(names, ["main.svg", "a-b.svg", "A-b-2.svg", "a-b-3.svg", "cloth.svg"]);
    }
}
