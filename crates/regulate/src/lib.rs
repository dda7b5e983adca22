//! From the readings and moves that are kept with a job to what they mean: the rate sheet of each
//! balance since it was last touched, how it stands to a target and a class of tolerance, its heavy
//! spot, the next move of the hand, and how two balances stand to each other.
//!
//! What is worked out is `horology`'s; here is only which readings belong together. `docs/design/
//! regulating.md` says how.

mod before_after;
mod earlier;
mod final_test;
mod moves;
mod pair;
mod poise;
mod rounds;
mod sheet;
mod trial;
mod water_whole;
mod waves;
mod wind;
mod wrist;

pub use before_after::means_before_and_after;
pub use earlier::{Visit, earlier, is_touched_by};
pub use final_test::{from_sheet, judged, water_means, water_standard};
pub use moves::{advice, log_of_moves, move_words, stud_moves};
pub use pair::{Pair, USUAL_STEADINESS, pair, rates_of_two};
pub use poise::heavy_spot;
pub use rounds::{Boundary, boundaries};
pub use sheet::{Kept, Placed, Sheet, WindColumn, clock_sd_s_per_d};
pub use trial::{known, movement_size, readings_of_days, standing};
pub use water_whole::{StillAsked, came_to, water_still_asked};
pub use waves::{Wave, waves};
pub use wind::hours_since_wound;
pub use wrist::usual_wearing;
