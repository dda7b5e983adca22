//! Tables as Markdown.

use std::fmt::Write;

/// A table that is filled row by row. The first column stands left, the others right.
#[derive(Debug, Clone, Default)]
pub(crate) struct Table {
    head: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Table {
    pub(crate) fn new<S: Into<String>>(head: impl IntoIterator<Item = S>) -> Self {
        Self { head: head.into_iter().map(Into::into).collect(), rows: Vec::new() }
    }

    pub(crate) fn row<S: Into<String>>(&mut self, cells: impl IntoIterator<Item = S>) {
        self.rows.push(cells.into_iter().map(Into::into).collect());
    }
}

impl std::fmt::Display for Table {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let mut text = String::new();
        let mut line = |cells: &[String]| writeln!(text, "| {} |", cells.join(" | "));
        line(&self.head)?;
        let rule = |n: usize| if n == 0 { "---".to_owned() } else { "---:".to_owned() };
        line(&(0..self.head.len()).map(rule).collect::<Vec<_>>())?;
        for row in &self.rows {
            line(row)?;
        }
        f.write_str(&text)
    }
}

/// A share of a whole in per cent, or a dash where there is no whole.
pub(crate) fn percent(part: u64, whole: u64) -> String {
    if whole == 0 {
        "–".to_owned()
    } else {
        format!("{:.1} %", 100.0 * part as f64 / whole as f64)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_small_table() {
        let mut table = Table::new(["a", "b"]);
        table.row(["1", "2"]);
        assert_eq!(table.to_string(), "| a | b |\n| --- | ---: |\n| 1 | 2 |\n");
        assert_eq!((percent(1, 8), percent(0, 0)), ("12.5 %".to_owned(), "–".to_owned()));
    }
}
