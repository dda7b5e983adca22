//! How a balance sounds: the shape of its five bursts.
//!
//! The case and the movement ring in a few modes of their own; every shock strikes the same
//! modes, but each at another place, so with other weights and phases. Tick and tock strike
//! different stones, so they differ too. Measured and modelled modes of one watch lie between
//! 0.5 and 21 kHz (finite-element table of Q. He, S. Su, R. Du, ACTA Press paper 33268, A1);
//! drop, impulse and unlocking are the loudest shocks, in this order (horlogerie-suisse.com,
//! "Les chocs de l'échappement à ancre").

use crate::burst::{Burst, Partial};
use crate::draws::{Draws, Purpose};

/// What kind of sound a voice is drawn from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum VoiceFamily {
    /// A contact pickup on the case: few modes from 2.5 to 15 kHz, quickly gone.
    Bright,
    /// A case that rings on: modes from 1.5 to 9 kHz that last for milliseconds.
    Ringing,
    /// Noise-like: many modes from 1.5 to 18 kHz.
    Rasping,
    /// Through a case or a table, on a phone: modes from 0.4 to 3 kHz, soft onset.
    Dull,
}

impl VoiceFamily {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Bright, Self::Ringing, Self::Rasping, Self::Dull];
}

/// A voice: the same family and seed sound the same in every scenario.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Voice {
    /// Its kind.
    pub family: VoiceFamily,
    /// Which one of that kind.
    pub seed: u64,
}

impl Default for Voice {
    fn default() -> Self {
        Self { family: VoiceFamily::Bright, seed: 1 }
    }
}

/// Where in the swing the lesser shocks fall.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Angles {
    /// The tooth meets the impulse face, as a part of the lift angle from unlocking.
    pub(crate) recoil: f64,
    /// The impulse sets in, as a part of the lift angle from unlocking.
    pub(crate) impulse: f64,
    /// The fork reaches its banking, degrees of balance after drop.
    pub(crate) banking_deg: f64,
}

/// The five bursts of each side and how much they vary.
#[derive(Debug, Clone)]
pub(crate) struct Timbre {
    /// Tick and tock, each unlocking, recoil, impulse, drop, banking.
    pub(crate) bursts: [[Burst; 5]; 2],
    /// Spread of a burst's loudness from beat to beat, as a part of it.
    pub(crate) burst_sd: f64,
    /// Spread of a partial's phase from beat to beat, radians.
    pub(crate) phase_sd: f64,
}

/// Ranges that a family's voices are drawn from.
struct Palette {
    modes: usize,
    frequency_hz: (f64, f64),
    decay_s: (f64, f64),
    rise_s: (f64, f64),
    /// Amplitudes go as the frequency to a power from this range.
    tilt: (f64, f64),
    phase_sd: f64,
}

impl VoiceFamily {
    fn palette(self) -> Palette {
        match self {
            Self::Bright => Palette {
                modes: 6,
                frequency_hz: (2_500.0, 15_000.0),
                decay_s: (0.25e-3, 0.8e-3),
                rise_s: (12e-6, 30e-6),
                tilt: (0.2, 0.9),
                phase_sd: 0.10,
            },
            Self::Ringing => Palette {
                modes: 6,
                frequency_hz: (1_500.0, 9_000.0),
                decay_s: (0.6e-3, 2.5e-3),
                rise_s: (15e-6, 40e-6),
                tilt: (0.0, 0.6),
                phase_sd: 0.10,
            },
            Self::Rasping => Palette {
                modes: 32,
                frequency_hz: (1_500.0, 18_000.0),
                decay_s: (0.2e-3, 0.9e-3),
                rise_s: (15e-6, 60e-6),
                tilt: (0.1, 0.6),
                phase_sd: 0.25,
            },
            Self::Dull => Palette {
                modes: 6,
                frequency_hz: (400.0, 3_000.0),
                decay_s: (0.7e-3, 3.0e-3),
                rise_s: (40e-6, 120e-6),
                tilt: (-0.5, 0.3),
                phase_sd: 0.08,
            },
        }
    }
}

impl Voice {
    /// A voice of this family.
    #[must_use]
    pub fn new(family: VoiceFamily, seed: u64) -> Self {
        Self { family, seed }
    }

    fn draws(self, part: u64) -> Draws {
        Draws::keyed(self.seed, Purpose::Voice, self.family as u64, part)
    }

    /// Angles of the lesser shocks for tick and tock. Unlocking takes about 5 degrees of
    /// balance (H. R. Playtner, *An Analysis of the Lever Escapement*, 1910: 4.78), so of a lift
    /// angle near 50 about a tenth; the fork's run to the banking, some 1/4 to 3/4 of a degree of
    /// fork, is 1 to 3 degrees of balance.
    pub(crate) fn angles(self) -> [Angles; 2] {
        let mut draws = self.draws(0);
        let (recoil, impulse, banking) =
            (draws.between(0.09, 0.14), draws.between(0.18, 0.30), draws.between(1.2, 3.2));
        [(); 2].map(|()| Angles {
            recoil: recoil * draws.between(0.92, 1.08),
            impulse: impulse * draws.between(0.94, 1.06),
            banking_deg: banking * draws.between(0.85, 1.15),
        })
    }

    /// The bursts, drawn and brought to the loudness 1.
    pub(crate) fn timbre(self) -> Timbre {
        let palette = self.family.palette();
        let mut draws = self.draws(1);
        let modes: Vec<(f64, f64)> = (0..palette.modes)
            .map(|i| {
                // One mode in each equal part of the band's logarithm, so that no voice has all
                // its modes in one place. High modes die sooner.
                let (low, high) = palette.frequency_hz;
                let part = (i as f64 + draws.unit()) / palette.modes as f64;
                let frequency = low * libm::exp(libm::log(high / low) * part);
                let (short, long) = palette.decay_s;
                let decay =
                    long * libm::exp(libm::log(short / long) * (0.75 * part + 0.25 * draws.unit()));
                (frequency, decay)
            })
            .collect();
        let rise_s = draws.between_by_ratio(palette.rise_s.0, palette.rise_s.1);
        let tilt = draws.between(palette.tilt.0, palette.tilt.1);

        // Loudness of unlocking, recoil, impulse, drop, banking; drop is the loudest.
        let loudness = [
            draws.between(0.18, 0.45),
            draws.between(0.05, 0.14),
            draws.between(0.35, 0.75),
            1.0,
            draws.between(0.08, 0.28),
        ];
        let mut bursts = [(); 2].map(|()| {
            let side = draws.between(0.75, 1.0);
            loudness.map(|loud| {
                let partials = modes
                    .iter()
                    .map(|&(frequency_hz, decay_s)| Partial {
                        frequency_hz,
                        decay_s,
                        amplitude: libm::pow(frequency_hz / modes[0].0, tilt)
                            * draws.between(0.15, 1.0),
                        phase: blow_phase(&mut draws),
                    })
                    .collect();
                let mut burst = Burst { rise_s, partials };
                let peak = burst.peak();
                burst.scale(side * loud * draws.between(0.85, 1.0) / peak);
                burst
            })
        });
        let loudest = bursts.iter().flatten().map(Burst::peak).fold(0.0, f64::max);
        bursts.iter_mut().flatten().for_each(|b| b.scale(1.0 / loudest));
        Timbre { bursts, burst_sd: draws.between(0.04, 0.10), phase_sd: palette.phase_sd }
    }
}

/// A mode that is struck is heard through its acceleration or its pressure, which begin at their
/// height: phases lie about a quarter turn. This also keeps the burst free of a slow part far
/// below its modes, which no pickup passes on.
fn blow_phase(draws: &mut Draws) -> f64 {
    let about = if draws.chance(0.5) { 1.0 } else { -1.0 } * std::f64::consts::FRAC_PI_2;
    about + draws.between(-1.0, 1.0)
}
