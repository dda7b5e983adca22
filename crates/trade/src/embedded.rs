//! What comes with the program.

use crate::read::parse;
use crate::sheet::Sheet;
use std::sync::OnceLock;

/// Files of the library by their paths below `data/`, embedded.
macro_rules! files {
    ($($path:literal)+) => {
        &[$(($path, include_str!(concat!("../data/", $path)))),+]
    };
}

/// Every file of the library.
pub(crate) const FILES: &[(&str, &str)] = files! {
    "rules/automatic_work.toml"
    "rules/balance.toml"
    "rules/calendar.toml"
    "rules/case.toml"
    "rules/chronograph.toml"
    "rules/escapement.toml"
    "rules/going_train.toml"
    "rules/motion_work.toml"
    "rules/old_escapements.toml"
    "rules/power.toml"
    "rules/striking.toml"
    "rules/whole_movement.toml"
    "rules/winding_setting.toml"
    "vocabulary/automatic_work.toml"
    "vocabulary/balance.toml"
    "vocabulary/calendar.toml"
    "vocabulary/case.toml"
    "vocabulary/chronograph.toml"
    "vocabulary/escapement.toml"
    "vocabulary/frame.toml"
    "vocabulary/going_train.toml"
    "vocabulary/motion_work.toml"
    "vocabulary/power.toml"
    "vocabulary/striking.toml"
    "vocabulary/traits.toml"
    "vocabulary/winding_setting.toml"
};

/// The words and rules that come with the program. A test holds that there is nothing wrong with
/// them.
#[must_use]
pub fn library() -> &'static Sheet {
    static LIBRARY: OnceLock<Sheet> = OnceLock::new();
    LIBRARY.get_or_init(|| {
        let mut all = Sheet::default();
        for (path, text) in FILES {
            all.append(parse(path, text).sheet);
        }
        all
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::check;
    use std::collections::BTreeSet;
    use std::path::Path;

    #[test]
    fn nothing_is_wrong_with_the_library() {
        let mut problems: Vec<String> = Vec::new();
        for (path, text) in FILES {
            problems.extend(parse(path, text).problems.iter().map(ToString::to_string));
        }
        let found = check(&Sheet::default(), library());
        problems.extend(found.iter().map(|(_, problem)| problem.to_string()));
        assert!(problems.is_empty(), "{}", problems.join("\n"));
    }

    #[test]
    fn every_file_of_the_library_is_embedded() {
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("data");
        let mut there = BTreeSet::new();
        for folder in ["vocabulary", "rules"] {
            for entry in std::fs::read_dir(root.join(folder)).unwrap() {
                let name = entry.unwrap().file_name().into_string().unwrap();
                there.insert(format!("{folder}/{name}"));
            }
        }
        let embedded: BTreeSet<String> = FILES.iter().map(|(path, _)| (*path).to_owned()).collect();
        assert_eq!(embedded, there);
    }
}
