use crate::Fault;
use serde::Deserialize;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

/// The table of `structure.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Table {
    #[serde(rename = "crate")]
    pub(crate) rows: Vec<Row>,
    #[serde(rename = "rule")]
    rules: BTreeMap<String, Rule>,
}

/// One crate of the workspace.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Row {
    /// Folder, relative to the root of the workspace.
    #[serde(rename = "crate")]
    pub(crate) folder: String,
    pub(crate) knows: String,
    pub(crate) never: String,
    pub(crate) uses: Vec<String>,
    #[serde(default)]
    pub(crate) tests_use: Vec<String>,
    pub(crate) external: Vec<String>,
    forbids: Vec<String>,
}

/// Something that sources must not do.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Rule {
    pub(crate) reason: String,
    /// Paths that must not be named, nor anything below them.
    pub(crate) paths: Vec<String>,
    /// Macros that must not be called.
    #[serde(default)]
    pub(crate) macros: Vec<String>,
    /// Methods that must not be called.
    #[serde(default)]
    pub(crate) methods: Vec<String>,
    /// Numbers that must not be written.
    #[serde(default)]
    pub(crate) numbers: Vec<u64>,
}

impl Row {
    /// Last part of the folder, as people call the crate.
    pub(crate) fn short(&self) -> &str {
        short(&self.folder)
    }
}

fn short(folder: &str) -> &str {
    folder.rsplit('/').next().unwrap_or(folder)
}

impl Table {
    /// Reads the table and checks that it is sound in itself: every crate once, every rule known,
    /// and no crate using one that stands below it.
    pub(crate) fn parse(text: &str) -> Result<Self, Fault> {
        let table: Self = toml::from_str(text)?;
        let mut above = BTreeSet::new();
        for row in &table.rows {
            for used in &row.uses {
                if !above.contains(used.as_str()) {
                    return Err(format!(
                        "structure.toml: {} uses {used}, which does not stand above it",
                        row.folder
                    )
                    .into());
                }
            }
            for rule in &row.forbids {
                if !table.rules.contains_key(rule) {
                    return Err(format!(
                        "structure.toml: {}: no rule is called {rule}",
                        row.folder
                    )
                    .into());
                }
            }
            if !above.insert(row.folder.as_str()) {
                return Err(format!("structure.toml: {} stands there twice", row.folder).into());
            }
        }
        Ok(table)
    }

    /// The rules that hold for a crate's sources.
    pub(crate) fn rules_of<'a>(&'a self, row: &'a Row) -> Vec<&'a Rule> {
        row.forbids.iter().filter_map(|name| self.rules.get(name)).collect()
    }

    /// The table as it stands in `docs/architecture.md`.
    pub(crate) fn to_markdown(&self) -> String {
        let mut text =
            String::from("| crate | knows | may use | must never know |\n|---|---|---|---|\n");
        for row in &self.rows {
            let mut uses: Vec<String> =
                row.uses.iter().map(|used| format!("`{}`", short(used))).collect();
            uses.extend(row.tests_use.iter().map(|used| format!("in tests `{}`", short(used))));
            let uses = if uses.is_empty() { "none".to_owned() } else { uses.join(", ") };
            let (name, knows, never) = (row.short(), &row.knows, &row.never);
            // Writing to a String cannot fail.
            let _ = writeln!(text, "| `{name}` | {knows} | {uses} | {never} |");
        }
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SOUND: &str = r#"
        [[crate]]
        crate = "crates/ground"
        knows = "stones"
        never = "the roof"
        uses = []
        external = []
        forbids = ["files"]
        [[crate]]
        crate = "crates/roof"
        knows = "tiles"
        never = "rain"
        uses = ["crates/ground"]
        tests_use = ["crates/weather"]
        external = []
        forbids = []
        [rule.files]
        reason = "because"
        paths = ["std::fs"]
    "#;

    fn refusal(text: &str) -> String {
        Table::parse(text).unwrap_err().to_string()
    }

    #[test]
    fn prints_as_markdown() {
        assert_eq!(
            Table::parse(SOUND).unwrap().to_markdown(),
            "| crate | knows | may use | must never know |\n|---|---|---|---|\n\
             | `ground` | stones | none | the roof |\n\
             | `roof` | tiles | `ground`, in tests `weather` | rain |\n"
        );
    }

    #[test]
    fn refuses_a_table_that_contradicts_itself() {
        let upward = SOUND.replacen("uses = []", "uses = [\"crates/roof\"]", 1);
        assert!(refusal(&upward).contains("crates/ground uses crates/roof"));
        let unknown = SOUND.replace("forbids = [\"files\"]", "forbids = [\"flies\"]");
        assert!(refusal(&unknown).contains("no rule is called flies"));
        let twice = SOUND.replace("crate = \"crates/roof\"", "crate = \"crates/ground\"");
        assert!(refusal(&twice).contains("stands there twice"));
        let misspelt = SOUND.replace("forbids = []", "forbid = []");
        assert!(refusal(&misspelt).contains("forbid"));
    }
}
