use super::{Family, draws, own_seed};
use crate::noise::{Clicks, Hum, Knocks, Music, Noise, Speech};
use crate::room::Room;
use crate::scenario::Scenario;

/// What is heard where there is no watch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum NoWatch {
    /// White and pink noise, perhaps a knock.
    Noise,
    /// Speech-like sound.
    Speech,
    /// Music-like sound, drums on a steady tempo included.
    Music,
    /// Mains hum.
    Hum,
    /// Clicks at random times.
    Clicks,
    /// Digital silence but for the recorder's noise, far down.
    Silence,
}

impl NoWatch {
    /// All of them.
    pub const ALL: [Self; 6] =
        [Self::Noise, Self::Speech, Self::Music, Self::Hum, Self::Clicks, Self::Silence];
}

/// A recording of 20 to 40 s with no watch in it.
///
/// The music of half the seeds keeps time like a machine, that of the others like people
/// (2 to 8 ms). A machine's sixteenths at 120 quarters a minute are 28,800 an hour, so some of it
/// keeps the very time of a watch; only the pattern, length and sound of its strokes tell it
/// from one. Half of all speech and music is heard in a room that rings.
#[must_use]
pub fn no_watch(kind: NoWatch, seed: u64) -> Scenario {
    let mut d = draws(Family::NoWatch, kind as u64, seed);
    let mut scenario = Scenario::new(own_seed(&mut d))
        .with_duration_s(d.between(20.0, 40.0).round())
        .with_sample_rate_hz(d.pick(&[44_100, 48_000]))
        .with_noise(Noise::White { rms_db: d.between(-70.0, -50.0) });
    let in_a_room = d.chance(0.5);
    let noise = match kind {
        NoWatch::Silence => {
            scenario.noises = vec![Noise::White { rms_db: d.between(-110.0, -90.0) }];
            return scenario;
        }
        NoWatch::Noise => {
            if d.chance(0.5) {
                let peak_db = d.between(-20.0, -3.0);
                scenario = scenario.with_noise(Noise::Knocks(Knocks {
                    per_minute: d.between(2.0, 20.0),
                    peak_db,
                }));
            }
            return scenario.with_noise(Noise::Pink { rms_db: d.between(-45.0, -15.0) });
        }
        NoWatch::Speech => Noise::Speech(Speech {
            rms_db: d.between(-38.0, -22.0),
            pitch_hz: d.between_by_ratio(85.0, 260.0),
        }),
        NoWatch::Music => Noise::Music(Music {
            tempo_per_minute: d.between(66.0, 172.0),
            timing_sd_ms: if d.chance(0.5) { 0.0 } else { d.between(2.0, 8.0) },
            notes_peak_db: d.between(-24.0, -12.0),
            drums_peak_db: d.between(-24.0, -6.0),
        }),
        NoWatch::Hum => Noise::Hum(Hum {
            mains_hz: d.pick(&[50.0, 60.0]),
            rms_db: d.between(-30.0, -8.0),
            harmonics: 1 + d.below(20) as u32,
        }),
        NoWatch::Clicks => Noise::Clicks(Clicks {
            per_minute: d.between_by_ratio(20.0, 900.0),
            peak_db: d.between(-18.0, -6.0),
        }),
    };
    if in_a_room && matches!(kind, NoWatch::Speech | NoWatch::Music) {
        scenario =
            scenario.with_room(Room { tail_s: d.between(0.2, 1.2), wet_db: d.between(-10.0, 2.0) });
    }
    scenario.with_noise(noise)
}
