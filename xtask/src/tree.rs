use crate::Fault;
use std::fs;
use std::path::{Path, PathBuf};

/// Folders that hold no sources of ours.
const SKIPPED: [&str; 6] = [".git", "node_modules", "target", "artifacts", "coverage", "dist"];

/// A text file of the project.
pub(crate) struct Page {
    /// Path from the root, with `/` between the parts.
    pub(crate) place: String,
    pub(crate) text: String,
}

/// Every file of the project, as paths from the root, in order. Build folders are left out, known
/// by their name or by the tag that cargo leaves in them.
pub(crate) fn files(root: &Path) -> Result<Vec<String>, Fault> {
    let mut found = Vec::new();
    walk(root, root, &mut found)?;
    found.sort();
    Ok(found)
}

fn walk(root: &Path, folder: &Path, found: &mut Vec<String>) -> Result<(), Fault> {
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        let path = entry.path();
        let name = entry.file_name();
        if entry.file_type()?.is_dir() {
            let skipped = SKIPPED.iter().any(|s| name == *s) || path.join("CACHEDIR.TAG").exists();
            if !skipped {
                walk(root, &path, found)?;
            }
        } else {
            found.push(place(root, &path)?);
        }
    }
    Ok(())
}

/// A path from the root, as shown to people.
fn place(root: &Path, path: &Path) -> Result<String, Fault> {
    Ok(path.strip_prefix(root)?.to_string_lossy().replace('\\', "/"))
}

/// Reads those of `files` that end in one of `endings`; a file that is not text is left out.
pub(crate) fn pages(root: &Path, files: &[String], endings: &[&str]) -> Result<Vec<Page>, Fault> {
    let mut pages = Vec::new();
    for file in files.iter().filter(|f| endings.iter().any(|e| f.ends_with(e))) {
        let bytes = fs::read(root.join(file))?;
        if let Ok(text) = String::from_utf8(bytes) {
            pages.push(Page { place: file.clone(), text });
        }
    }
    Ok(pages)
}

/// Where the file of a module lives that `file` declares as `mod name;` (or with a `path`
/// attribute): every place that Rust would look, as prefixes of paths from the root.
pub(crate) fn module_places(file: &str, name: &str) -> Vec<String> {
    let file = PathBuf::from(file);
    let folder = file.parent().unwrap_or(Path::new("")).to_path_buf();
    if name.ends_with(".rs") {
        return vec![folder.join(name).to_string_lossy().replace('\\', "/")];
    }
    let stem = file.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    let inside =
        if ["lib", "main", "mod"].contains(&stem.as_str()) { folder } else { folder.join(stem) };
    let base = inside.join(name).to_string_lossy().replace('\\', "/");
    vec![format!("{base}.rs"), format!("{base}/")]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn modules_live_where_rust_looks_for_them() {
        assert_eq!(module_places("a/src/lib.rs", "tests"), ["a/src/tests.rs", "a/src/tests/"]);
        assert_eq!(module_places("a/src/x.rs", "tests"), ["a/src/x/tests.rs", "a/src/x/tests/"]);
        assert_eq!(module_places("a/src/x/mod.rs", "t"), ["a/src/x/t.rs", "a/src/x/t/"]);
        assert_eq!(module_places("a/src/x.rs", "x_checks.rs"), ["a/src/x_checks.rs"]);
    }

    #[test]
    fn build_folders_are_no_sources() {
        let root = std::env::temp_dir().join(format!("xtask-tree-{}", std::process::id()));
        for folder in ["src", "target/debug", "elsewhere", "node_modules/x"] {
            fs::create_dir_all(root.join(folder)).unwrap();
        }
        for file in
            ["src/lib.rs", "target/debug/a.rs", "elsewhere/CACHEDIR.TAG", "node_modules/x/i"]
        {
            fs::write(root.join(file), "x").unwrap();
        }
        let found = files(&root);
        fs::remove_dir_all(&root).unwrap();
        assert_eq!(found.unwrap(), ["src/lib.rs"]);
    }
}
