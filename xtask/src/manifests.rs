use crate::Fault;
use crate::finding::Finding;
use toml::Value;

/// Every crate takes the workspace's lints (no `unsafe` among them), and no dependency is open to
/// any version at all.
pub(crate) fn check(place: &str, manifest: &str) -> Result<Vec<Finding>, Fault> {
    let manifest: Value = toml::from_str(manifest).map_err(|e| format!("{place}: {e}"))?;
    let mut findings = Vec::new();
    let lints = manifest.get("lints").and_then(|lints| lints.get("workspace"));
    if lints.and_then(Value::as_bool) != Some(true) {
        findings.push(Finding::new(
            place,
            "does not take the workspace's lints; add `[lints]` with `workspace = true`",
        ));
    }
    for section in ["dependencies", "dev-dependencies", "build-dependencies"] {
        let Some(dependencies) = manifest.get(section).and_then(Value::as_table) else { continue };
        for (name, wanted) in dependencies {
            let version = wanted.get("version").unwrap_or(wanted);
            if version.as_str() == Some("*") {
                findings.push(Finding::new(place, format!("`{name}` names no version")));
            }
        }
    }
    Ok(findings)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::says;

    fn findings(manifest: &str) -> Vec<Finding> {
        check("a/Cargo.toml", manifest).unwrap()
    }

    #[test]
    fn lints_and_versions() {
        let sound = "[lints]\nworkspace = true\n[dependencies]\na = \"1\"\nb.workspace = true\n";
        assert_eq!(findings(sound), []);
        assert!(says(&findings("[dependencies]\n"), "a/Cargo.toml", &["lints"]));
        assert!(says(
            &findings("[lints.rust]\nunsafe_code = \"allow\"\n"),
            "a/Cargo.toml",
            &["lints"]
        ));
        for open in ["a = \"*\"", "a = { version = \"*\", optional = true }"] {
            let text = format!("[lints]\nworkspace = true\n[dev-dependencies]\n{open}\n");
            assert!(says(&findings(&text), "a/Cargo.toml", &["`a` names no version"]));
        }
    }
}
