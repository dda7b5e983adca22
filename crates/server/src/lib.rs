//! HTTP and live routes over jobs, storage and listening, and the wire types between the program
//! and its pages.
//!
//! [`serve`] opens a door to this machine alone. Another, to the local network, opens when somebody
//! at the bench lets a phone join; what comes through it must show that it has. On either, only the
//! program's own page may ask: see `access`. What may be asked is in `routes`, one file a subject,
//! and is described at `/api/v1/openapi.json`.

mod access;
mod archive_desk;
mod convert;
mod desk;
mod extract;
mod failure;
mod final_tests;
#[cfg(any(test, feature = "fuzzing"))]
pub mod fuzzed;
mod live_desk;
mod movement;
mod nameless;
mod network;
mod noted;
mod papers;
mod photos;
mod reckoning;
mod regulating;
mod rehearing;
mod routes;
mod serving;
mod surroundings;
mod wheels;
mod whole_file;
pub mod wire;

pub use convert::{Circumstances, kept_reading};
pub use desk::Bench;
pub use live_desk::Simulated;
pub use movement::to_keep;
pub use papers::{PaperAsked, PaperMade, paper};
pub use photos::{TakenIn, take_in_photo};
pub use rehearing::{hear_again, hear_file};
pub use routes::{stock, today};
pub use serving::{Options, Serving, StartFailure, serve};
pub use surroundings::{Asked, gather};

/// The description of the API, OpenAPI as JSON.
#[must_use]
pub fn description() -> String {
    routes::description().to_pretty_json().unwrap_or_default()
}
