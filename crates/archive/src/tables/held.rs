//! Rows of tables that wait until they fill a file.

use super::set::{self, Cell, Of, Unset};

/// A table: its name, and its columns.
pub(crate) struct Layout {
    pub(crate) name: &'static str,
    pub(crate) columns: &'static [(&'static str, Of)],
}

/// The name of a file, and what is in it.
pub(crate) type Files = Vec<(String, Vec<u8>)>;

/// The rows of some tables, each with the number of its last file.
pub(crate) struct Held<const N: usize> {
    layouts: [&'static Layout; N],
    rows: [(u32, Vec<Vec<Cell>>); N],
    /// How many rows fill a file.
    full: usize,
}

impl<const N: usize> Held<N> {
    pub(crate) fn new(layouts: [&'static Layout; N], full: usize) -> Self {
        Self { layouts, rows: std::array::from_fn(|_| (0, Vec::new())), full }
    }

    /// Adds rows to the table at this place, and gives the files that are full now.
    pub(crate) fn add(&mut self, table: usize, rows: Vec<Vec<Cell>>) -> Result<Files, Unset> {
        let (_, held) = &mut self.rows[table];
        held.extend(rows);
        if held.len() >= self.full { self.take(table) } else { Ok(Vec::new()) }
    }

    fn take(&mut self, table: usize) -> Result<Files, Unset> {
        let Layout { name, columns } = self.layouts[table];
        let (number, held) = &mut self.rows[table];
        let rows = std::mem::take(held);
        if rows.is_empty() {
            return Ok(Vec::new());
        }
        *number += 1;
        Ok(vec![
            (format!("{name}-{number:04}.csv"), set::csv(columns, &rows)?),
            (format!("{name}-{number:04}.parquet"), set::parquet(columns, &rows)?),
        ])
    }

    /// What is still held.
    pub(crate) fn finish(&mut self) -> Result<Files, Unset> {
        let mut files = Vec::new();
        for table in 0..N {
            files.extend(self.take(table)?);
        }
        Ok(files)
    }
}
