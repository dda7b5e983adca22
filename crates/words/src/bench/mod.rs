//! Taking down and putting together in words: work, rules and who says so, screws, contradictions,
//! what differs between twins, entries of the log.

mod entries;
mod rules;
mod things;
mod troubles;
mod work;

pub use entries::change;
pub use rules::{choice, saying, sources};
pub use things::{part, screws, step};
pub use troubles::{graph_warning, relation, twin_difference, way_out, work_warning};
pub use work::{THE_MOVEMENT, WorkWords, said, together, work};
