use crate::Fault;
use crate::finding::Finding;
use crate::table::{Row, Table};
use serde_json::Value;
use std::path::Path;

/// A member of the workspace as `cargo metadata` describes it.
#[derive(Debug, Clone)]
pub(crate) struct Package {
    pub(crate) name: String,
    /// Folder, relative to the root of the workspace.
    pub(crate) folder: String,
    pub(crate) dependencies: Vec<Dependency>,
}

/// A dependency as written in a package's manifest, features off or on.
#[derive(Debug, Clone)]
pub(crate) struct Dependency {
    pub(crate) name: String,
    pub(crate) kind: Kind,
}

/// When a dependency is used.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    Normal,
    Dev,
    Build,
}

/// Reads the output of `cargo metadata --no-deps`.
pub(crate) fn packages(metadata: &str, root: &Path) -> Result<Vec<Package>, Fault> {
    let metadata: Value = serde_json::from_str(metadata)?;
    let list = metadata["packages"].as_array().ok_or("cargo metadata lists no packages")?;
    list.iter().map(|package| read_package(package, root)).collect()
}

fn read_package(package: &Value, root: &Path) -> Result<Package, Fault> {
    let text = |value: &Value, what: &str| {
        value.as_str().map(str::to_owned).ok_or_else(|| format!("cargo metadata has no {what}"))
    };
    let manifest = text(&package["manifest_path"], "manifest_path")?;
    let folder = Path::new(&manifest).parent().ok_or("a manifest without a folder")?;
    let folder = folder.strip_prefix(root)?.to_string_lossy().replace('\\', "/");
    let dependencies =
        package["dependencies"].as_array().ok_or("cargo metadata has no dependencies")?;
    let dependencies = dependencies
        .iter()
        .map(|dependency| {
            let kind = match dependency["kind"].as_str() {
                Some("dev") => Kind::Dev,
                Some("build") => Kind::Build,
                _ => Kind::Normal,
            };
            Ok(Dependency { name: text(&dependency["name"], "name")?, kind })
        })
        .collect::<Result<_, Fault>>()?;
    Ok(Package { name: text(&package["name"], "name")?, folder, dependencies })
}

/// Compares the edges between crates, and to crates from outside, with the table.
pub(crate) fn check(table: &Table, packages: &[Package]) -> Vec<Finding> {
    let mut findings = Vec::new();
    for row in &table.rows {
        if !packages.iter().any(|package| package.folder == row.folder) {
            findings.push(Finding::new(
                "xtask/structure.toml",
                format!("{} is in the table but not in the workspace", row.folder),
            ));
        }
    }
    for package in packages {
        let Some(row) = table.rows.iter().find(|row| row.folder == package.folder) else {
            findings.push(Finding::new(
                format!("{}/Cargo.toml", package.folder),
                "this crate has no row in xtask/structure.toml; say there what it knows and what \
                 it must never know",
            ));
            continue;
        };
        for dependency in &package.dependencies {
            let inside = packages.iter().find(|other| other.name == dependency.name);
            findings.extend(match inside {
                Some(other) => check_inside(row, other, dependency.kind),
                None => check_outside(row, dependency),
            });
        }
    }
    findings
}

fn check_inside(row: &Row, other: &Package, kind: Kind) -> Option<Finding> {
    let allowed = row.uses.contains(&other.folder)
        || kind == Kind::Dev && row.tests_use.contains(&other.folder);
    if allowed {
        return None;
    }
    let tests = if kind == Kind::Dev { ", not even in its tests" } else { "" };
    Some(Finding::new(
        format!("{}/Cargo.toml", row.folder),
        format!(
            "`{}` must not use `{}`{tests}: it must never know {}",
            row.short(),
            other.name,
            row.never
        ),
    ))
}

fn check_outside(row: &Row, dependency: &Dependency) -> Option<Finding> {
    // Tests may use what they like: nothing of it reaches a user.
    if dependency.kind == Kind::Dev || row.external.contains(&dependency.name) {
        return None;
    }
    Some(Finding::new(
        format!("{}/Cargo.toml", row.folder),
        format!(
            "xtask/structure.toml does not let `{}` use the crate `{}` from outside; add it there \
             if it belongs: this crate must never know {}",
            row.short(),
            dependency.name,
            row.never
        ),
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::says;

    const TABLE: &str = r#"
        [[crate]]
        crate = "crates/signal"
        knows = "slices"
        never = "watches"
        uses = []
        external = ["realfft"]
        forbids = []
        [[crate]]
        crate = "crates/beats"
        knows = "samples"
        never = "files; `truth` outside tests"
        uses = ["crates/signal"]
        tests_use = ["crates/truth"]
        external = []
        forbids = []
        [[crate]]
        crate = "crates/truth"
        knows = "the physics"
        never = "`signal`, `beats`"
        uses = []
        external = []
        forbids = []
        [rule]
    "#;

    /// Each crate depends on what stands beside it: (name, kind).
    fn findings(edges: &[(&str, &[(&str, Kind)])]) -> Vec<Finding> {
        let packages: Vec<Package> = edges
            .iter()
            .map(|(name, dependencies)| Package {
                name: (*name).to_owned(),
                folder: format!("crates/{name}"),
                dependencies: dependencies
                    .iter()
                    .map(|&(name, kind)| Dependency { name: name.to_owned(), kind })
                    .collect(),
            })
            .collect();
        check(&Table::parse(TABLE).unwrap(), &packages)
    }

    #[test]
    fn lets_the_table_through() {
        let sound = findings(&[
            ("signal", &[("realfft", Kind::Normal), ("proptest", Kind::Dev)]),
            ("beats", &[("signal", Kind::Normal), ("truth", Kind::Dev)]),
            ("truth", &[]),
        ]);
        assert_eq!(sound, []);
    }

    #[test]
    fn truth_is_for_the_tests_of_beats_alone() {
        let found =
            findings(&[("signal", &[]), ("beats", &[("truth", Kind::Normal)]), ("truth", &[])]);
        assert!(says(&found, "crates/beats/Cargo.toml", &["`beats` must not use `truth`: it"]));
        assert_eq!(found.len(), 1);
    }

    #[test]
    fn truth_shares_nothing_with_the_engine_even_in_tests() {
        let found =
            findings(&[("signal", &[]), ("beats", &[]), ("truth", &[("signal", Kind::Dev)])]);
        assert!(says(
            &found,
            "crates/truth/Cargo.toml",
            &["`truth` must not use `signal`, not even in its tests", "`signal`, `beats`"]
        ));
    }

    #[test]
    fn a_crate_from_outside_wants_a_line() {
        for kind in [Kind::Normal, Kind::Build] {
            let found =
                findings(&[("signal", &[]), ("beats", &[("serde_json", kind)]), ("truth", &[])]);
            assert!(says(&found, "crates/beats/Cargo.toml", &["`serde_json`", "must never know"]));
        }
    }

    #[test]
    fn table_and_workspace_list_the_same_crates() {
        let found = findings(&[("signal", &[]), ("beats", &[]), ("shed", &[])]);
        assert!(says(&found, "xtask/structure.toml", &["crates/truth", "not in the workspace"]));
        assert!(says(&found, "crates/shed/Cargo.toml", &["no row"]));
    }

    #[test]
    fn reads_what_cargo_prints() {
        let metadata = r#"{"packages": [{"name": "endshake",
            "manifest_path": "/some where/crates/cli/Cargo.toml",
            "dependencies": [{"name": "beats", "kind": null}, {"name": "insta", "kind": "dev"},
                             {"name": "cc", "kind": "build"}]}]}"#;
        let read = packages(metadata, Path::new("/some where")).unwrap();
        assert_eq!((read[0].name.as_str(), read[0].folder.as_str()), ("endshake", "crates/cli"));
        let kinds: Vec<Kind> = read[0].dependencies.iter().map(|d| d.kind).collect();
        assert_eq!(kinds, [Kind::Normal, Kind::Dev, Kind::Build]);
        assert!(packages("{}", Path::new("/")).is_err());
    }
}
