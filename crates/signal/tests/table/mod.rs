//! Reads the tables of `reference/`: `name: number number ...`, `#` starts a comment.

use std::collections::HashMap;
use std::path::Path;

#[allow(dead_code, reason = "not every test file needs it")]
pub(crate) struct Table(HashMap<String, Vec<f64>>);

#[allow(dead_code, reason = "not every test file needs it")]
impl Table {
    /// Reads `reference/NAME.txt`.
    pub(crate) fn read(name: &str) -> Self {
        let path =
            Path::new(env!("CARGO_MANIFEST_DIR")).join("reference").join(format!("{name}.txt"));
        let text = std::fs::read_to_string(&path).unwrap();
        let rows = text.lines().filter(|line| !line.starts_with('#')).map(|line| {
            let (name, numbers) = line.split_once(':').unwrap();
            let numbers = numbers.split_whitespace().map(|n| n.parse().unwrap()).collect();
            (name.to_owned(), numbers)
        });
        Self(rows.collect())
    }

    /// The numbers under a name.
    pub(crate) fn row(&self, name: &str) -> &[f64] {
        self.0.get(name).unwrap_or_else(|| panic!("the table has no row {name}"))
    }

    /// The one number under a name.
    pub(crate) fn number(&self, name: &str) -> f64 {
        let [number] = self.row(name) else { panic!("row {name} is not one number") };
        *number
    }
}

/// Fails where two numbers differ by more than both tolerances allow.
#[track_caller]
#[allow(dead_code, reason = "not every test file needs it")]
pub(crate) fn assert_close(what: &str, got: f64, expected: f64, relative: f64, absolute: f64) {
    let allowed = absolute.max(relative * expected.abs());
    assert!(
        (got - expected).abs() <= allowed || (got == expected),
        "{what}: {got:e} is not within {allowed:e} of {expected:e}"
    );
}
