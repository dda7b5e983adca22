//! Trains of wheels as a graph: arbors that carry wheels and pinions, what meshes with what, and the
//! balances, hands and barrels on them.
//!
//! There may be any number of each. Differentials are left out. All ratios are exact.

mod cycles;
pub mod depth;
pub mod disturbed;
mod gearing;
mod impossible;
pub mod missing;
mod movement;
mod problem;
mod ratio;
mod row;
mod running;

pub use cycles::{Cycle, CycleKind};
pub use impossible::Impossible;
pub use movement::{
    Arbor, Balance, Barrel, Hand, MOST_TEETH, Mesh, Movement, Parts, Toothed, ToothedAt,
};
pub use problem::Problem;
pub use ratio::Ratio;
pub use row::Row;
pub use running::{ArborRuns, BalanceRuns, BarrelRuns, HandRuns, MeshRuns, Running, Sense};
