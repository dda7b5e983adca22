//! The project's own checks, run by `./dev test` and CI: the structure of the workspace against
//! the table in `xtask/structure.toml`, and the documents against what is there.

mod calls;
mod citations;
mod edges;
mod finding;
mod guide;
mod links;
mod manifests;
mod names;
mod table;
mod tree;

use finding::Finding;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode};
use std::{env, fs};
use table::Table;

/// Something that keeps the checks from being made.
type Fault = Box<dyn std::error::Error>;

const USAGE: &str = "usage: cargo xtask structure | docs | table

  structure   edges between crates and calls in sources against xtask/structure.toml, names and
              lengths of files, lints
  docs        links, paths and commands named in documents, the guide's chapters and pictures, the
              bibliography, the table of crates
  table       print the table of crates for docs/architecture.md";

const TABLE: &str = "xtask/structure.toml";
const ARCHITECTURE: &str = "docs/architecture.md";
const BIBLIOGRAPHY: &str = "docs/bibliography/sources.toml";

fn main() -> ExitCode {
    let command = env::args().nth(1).unwrap_or_default();
    let findings = match command.as_str() {
        "structure" => structure(&root()),
        "docs" => docs(&root()),
        "table" => table(&root()).map(|table| {
            print!("{}", table.to_markdown());
            Vec::new()
        }),
        _ => {
            eprintln!("{USAGE}");
            return ExitCode::from(2);
        }
    };
    match findings {
        Ok(findings) => {
            for finding in &findings {
                eprintln!("{finding}");
            }
            if findings.is_empty() { ExitCode::SUCCESS } else { ExitCode::FAILURE }
        }
        Err(fault) => {
            eprintln!("{fault}");
            ExitCode::from(2)
        }
    }
}

/// Root of the workspace: the folder above this crate's, as cargo says when it runs this program.
/// Where it was built would be wrong as soon as two checkouts share a build folder.
fn root() -> PathBuf {
    let here = env::var_os("CARGO_MANIFEST_DIR")
        .map_or_else(|| PathBuf::from(env!("CARGO_MANIFEST_DIR")), PathBuf::from);
    here.parent().map_or_else(|| here.clone(), Path::to_path_buf)
}

fn read(root: &Path, file: &str) -> Result<String, Fault> {
    fs::read_to_string(root.join(file)).map_err(|e| format!("{file}: {e}").into())
}

fn table(root: &Path) -> Result<Table, Fault> {
    Table::parse(&read(root, TABLE)?)
}

fn structure(root: &Path) -> Result<Vec<Finding>, Fault> {
    let table = table(root)?;
    let packages = edges::packages(&cargo_metadata(root)?, root)?;
    let files = tree::files(root)?;
    let sources = tree::pages(root, &files, &[".rs"])?;
    let mut findings = edges::check(&table, &packages);
    for package in &packages {
        let manifest = format!("{}/Cargo.toml", package.folder);
        findings.extend(manifests::check(&manifest, &read(root, &manifest)?)?);
    }
    let mut scanned = 0;
    for row in &table.rows {
        let inside = format!("{}/src/", row.folder);
        let own: Vec<&tree::Page> =
            sources.iter().filter(|page| page.place.starts_with(&inside)).collect();
        scanned += own.len();
        findings.extend(check_calls(&table, row, &own)?);
    }
    findings.extend(names::check_names(&files));
    findings.extend(names::check_lengths(&sources));
    if findings.is_empty() {
        println!("{} crates keep to the table; {scanned} sources read", packages.len());
    }
    Ok(findings)
}

/// Calls in one crate's sources; files that hold nothing but test modules are left out.
fn check_calls(
    table: &Table,
    row: &table::Row,
    pages: &[&tree::Page],
) -> Result<Vec<Finding>, Fault> {
    let rules = table.rules_of(row);
    let mut found = Vec::new();
    let mut test_places = Vec::new();
    for page in pages {
        let source =
            calls::check_source(&rules, (row.short(), &row.never), &page.place, &page.text)?;
        for name in &source.test_modules {
            test_places.extend(tree::module_places(&page.place, name));
        }
        found.push((&page.place, source.findings));
    }
    let under_test = |place: &str| test_places.iter().any(|test| place.starts_with(test.as_str()));
    Ok(found
        .into_iter()
        .filter(|(place, _)| !under_test(place))
        .flat_map(|(_, findings)| findings)
        .collect())
}

fn cargo_metadata(root: &Path) -> Result<String, Fault> {
    let cargo = env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let output = Command::new(cargo)
        .args(["metadata", "--format-version=1", "--no-deps"])
        .current_dir(root)
        .output()?;
    if !output.status.success() {
        let error = String::from_utf8_lossy(&output.stderr).into_owned();
        return Err(format!("cargo metadata failed: {error}").into());
    }
    Ok(String::from_utf8(output.stdout)?)
}

fn docs(root: &Path) -> Result<Vec<Finding>, Fault> {
    let files = tree::files(root)?;
    let documents = tree::pages(root, &files, &[".md"])?;
    let sources = tree::pages(root, &files, &[".rs"])?;
    // These checks' own tests hold bad examples.
    let (_, sources): (Vec<_>, Vec<_>) =
        sources.into_iter().partition(|page| page.place.starts_with("xtask/"));
    let mut findings = links::check(&files, &documents, &sources, &read(root, "dev")?);
    findings.extend(guide::check(&files, &documents));
    findings.extend(check_architecture(&table(root)?, &read(root, ARCHITECTURE)?));

    let mut citing = tree::pages(root, &files, &[".md", ".rs", ".toml", ".py", ".svg", ".csv"])?;
    citing.retain(|page| !page.place.starts_with("xtask/") && page.place != BIBLIOGRAPHY);
    findings.extend(citations::check(BIBLIOGRAPHY, &read(root, BIBLIOGRAPHY)?, &citing)?);
    if findings.is_empty() {
        println!("{} documents and {} sources agree", documents.len(), sources.len());
    }
    Ok(findings)
}

/// The architecture page shows the table as it is.
fn check_architecture(table: &Table, page: &str) -> Option<Finding> {
    (!page.contains(&table.to_markdown())).then(|| {
        Finding::new(
            ARCHITECTURE,
            format!(
                "its table of crates differs from {TABLE}; paste what `cargo xtask table` prints"
            ),
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use finding::says;
    use tree::Page;

    fn small_table() -> Table {
        Table::parse(
            "[[crate]]\ncrate = \"crates/ground\"\nknows = \"stones\"\nnever = \"the roof\"\n\
             uses = []\nexternal = []\nforbids = [\"files\"]\n\
             [rule.files]\nreason = \"because\"\npaths = [\"std::fs\"]\n",
        )
        .unwrap()
    }

    #[test]
    fn the_architecture_page_must_show_the_table() {
        let table = small_table();
        let page = format!("# Map\n\n{}\nMore.\n", table.to_markdown());
        assert_eq!(check_architecture(&table, &page), None);
        let drifted = page.replace("stones", "bricks");
        let found: Vec<_> = check_architecture(&table, &drifted).into_iter().collect();
        assert!(says(&found, ARCHITECTURE, &["differs", "cargo xtask table"]));
    }

    #[test]
    fn files_of_test_modules_are_left_out() {
        let table = small_table();
        let page =
            |place: &str, text: &str| Page { place: place.to_owned(), text: text.to_owned() };
        let pages = [
            page("crates/ground/src/lib.rs", "mod a;\nmod b;"),
            page("crates/ground/src/a.rs", "#[cfg(test)]\nmod tests;"),
            page("crates/ground/src/a/tests.rs", "use std::fs;"),
            page("crates/ground/src/b.rs", "\nuse std::fs;"),
        ];
        let pages: Vec<&Page> = pages.iter().collect();
        let found = check_calls(&table, &table.rows[0], &pages).unwrap();
        assert!(says(&found, "crates/ground/src/b.rs:2", &["`std::fs`: because", "the roof"]));
        assert_eq!(found.len(), 1);
    }
}
