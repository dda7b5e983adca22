//! Where the lines of a text begin.

pub(crate) struct Lines(Vec<usize>);

impl Lines {
    pub(crate) fn of(text: &str) -> Self {
        Self(text.match_indices('\n').map(|(at, _)| at + 1).collect())
    }

    /// The line, counted from 1, in which a byte stands.
    pub(crate) fn of_byte(&self, at: usize) -> usize {
        1 + self.0.partition_point(|start| *start <= at)
    }
}
