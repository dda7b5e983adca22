//! Watch sound with known truth, and a scorer for what was found in it.
//!
//! # What this crate must never know
//!
//! - **`signal` and `beats`.** This crate exists to catch their mistakes. If it shared a filter,
//!   a formula or a convention in code with them, a mistake in the shared piece would be made
//!   once when the sound is laid down and once when it is read, and would cancel out unseen. So
//!   the physics is written here a second time, from the same published sources.
//! - **Files, devices, threads, JSON, the clock.** A scenario and its seed are the whole input.
//!   The same scenario gives the same bytes on every platform, whatever the size of the blocks
//!   in which they are fetched; so all transcendental functions come from `libm`, never from the
//!   platform, and the random streams are xoshiro256++, whose stream is fixed.
//!
//! # What the words mean here
//!
//! - **Time of a beat**: the instant at which the balance passes the line of centres, that is
//!   the middle of the lift angle. Unlocking is half a lift angle before it, drop half a lift
//!   angle after it. Timing jitter moves the whole beat: all its shocks shift together.
//! - **True time** is in seconds, zero at the first sample. A recorder with a clock error of
//!   `p` ppm takes `nominal (1 + p/1e6)` samples in a true second, so sample `i` is taken at
//!   `i / (nominal (1 + p/1e6))`.
//! - **Time of a shock**: the instant at which its burst of sound sets in, before the delay of
//!   a channel. The burst peaks some tens of microseconds later, as its voice will have it.
//! - **Rate** is against true time; gaining is positive. **Beat error** is half the difference
//!   between the two kinds of interval; it is positive here where the interval from tick to
//!   tock is the longer one.
//! - **Amplitude** is that of the swing about the rest position. A balance that is out of beat
//!   passes the lift angle off the middle of its swing, so `lift / (2 sin(π f dt))` reads it
//!   a little low: by 0.2 % at 170 degrees, 28,800 beats per hour and 5 ms of beat error,
//!   far less in ordinary cases. That is physics, and so it is in the sound.
//! - **Levels**: loudness is the peak of the loudest burst, 1.0 being full scale; noise is
//!   given in decibels against full scale, `20 log10(rms)` or `20 log10(peak)` as named.
//!
//! Beside the sound stands one piece of bare mechanics, [`Unpoised`]: the swing of a balance with a
//! heavy spot, integrated from its equation of motion, for whoever says what that does to the rate.
//! [`Balance::with_heavy_spot`] lets a balance sound so.
//!
//! # Example
//!
//! ```
//! use truth::{Balance, Noise, Scenario, Sound};
//!
//! let scenario = Scenario::new(7)
//!     .with_duration_s(2.0)
//!     .with_balance(Balance { rate_s_per_d: 4.0, ..Balance::default() })
//!     .with_noise(Noise::White { rms_db: -60.0 });
//! let mut sound = Sound::new(&scenario)?;
//! let mut block = vec![0.0_f32; 4096];
//! let mut samples = 0;
//! loop {
//!     let filled = sound.fill(&mut block);
//!     if filled == 0 {
//!         break;
//!     }
//!     samples += filled;
//! }
//! assert_eq!(samples, 96_000);
//! assert_eq!(sound.truth().balances[0].beats, 16);
//! # Ok::<(), truth::ScenarioError>(())
//! ```

mod balance;
mod burst;
mod check;
mod draws;
mod error;
mod heavy;
mod laid_down;
mod mix;
mod noise;
mod reference;
mod room;
mod scenario;
pub mod scenarios;
pub mod score;
mod sound;
mod swing;
mod unpoised;
mod voice;
mod watch_time;

pub use balance::{Balance, Path, Ripple};
pub use error::ScenarioError;
pub use heavy::HeavySpot;
pub use laid_down::{BalanceTruth, ReferenceTruth, Truth};
pub use noise::{Clicks, Hum, Knocks, Music, Noise, Speech};
pub use reference::SteppingReference;
pub use room::Room;
pub use scenario::Scenario;
pub use sound::Sound;
pub use swing::{LaidBeat, LaidBeats, Side};
pub use unpoised::{Unpoised, UnpoisedSwing};
pub use voice::{Voice, VoiceFamily};
