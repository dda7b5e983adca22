//! A small table: what stands at the left, one column a balance, the unit at the right. Numbers end,
//! and uncertainties begin, below each other.

/// What stands in one place of the table.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Cell {
    /// Set flush right: "+5.10".
    pub(crate) number: String,
    /// Set flush left behind it: "± 0.04".
    pub(crate) behind: String,
}

impl Cell {
    pub(crate) fn new(number: impl Into<String>, behind: impl Into<String>) -> Self {
        Self { number: number.into(), behind: behind.into() }
    }
}

/// One line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Row {
    pub(crate) name: String,
    pub(crate) cells: Vec<Cell>,
    pub(crate) unit: &'static str,
}

const BETWEEN: &str = "    ";

/// Sets the table, line by line, without spaces at the ends of lines.
pub(crate) fn set(rows: &[Row]) -> Vec<String> {
    let columns = rows.iter().map(|r| r.cells.len()).max().unwrap_or(0);
    let names = rows.iter().map(|r| width(&r.name)).max().unwrap_or(0);
    let widest = |column: usize, part: fn(&Cell) -> &str| {
        rows.iter().filter_map(|r| r.cells.get(column)).map(|c| width(part(c))).max().unwrap_or(0)
    };
    let widths: Vec<(usize, usize)> =
        (0..columns).map(|c| (widest(c, |c| &c.number), widest(c, |c| &c.behind))).collect();
    rows.iter()
        .map(|row| {
            let mut line = padded(&row.name, names);
            for (cell, &(number, behind)) in row.cells.iter().zip(&widths) {
                line.push_str(BETWEEN);
                line.push_str(&" ".repeat(number - width(&cell.number)));
                line.push_str(&cell.number);
                if behind > 0 {
                    line.push(' ');
                }
                line.push_str(&padded(&cell.behind, behind));
            }
            line.push_str("  ");
            line.push_str(row.unit);
            line.truncate(line.trim_end().len());
            line
        })
        .collect()
}

fn padded(words: &str, to: usize) -> String {
    format!("{words}{}", " ".repeat(to.saturating_sub(width(words))))
}

/// Columns that words take; all that we set is one column a character.
fn width(words: &str) -> usize {
    words.chars().count()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_end_and_uncertainties_begin_below_each_other() {
        let rows = [
            Row {
                name: String::new(),
                cells: vec![Cell::new("A", ""), Cell::new("B", "")],
                unit: "",
            },
            Row {
                name: "rate".into(),
                cells: vec![Cell::new("+5.10", "± 0.04"), Cell::new("−12.0", "± 1.2")],
                unit: "s/d",
            },
            Row {
                name: "beats used".into(),
                cells: vec![Cell::new("158", "of 160"), Cell::new("–", "")],
                unit: "",
            },
        ];
        assert_eq!(
            set(&rows),
            [
                "                  A               B",
                "rate          +5.10 ± 0.04    −12.0 ± 1.2  s/d",
                "beats used      158 of 160        –",
            ]
        );
    }

    #[test]
    fn no_columns_no_trouble() {
        assert_eq!(set(&[]), Vec::<String>::new());
    }
}
