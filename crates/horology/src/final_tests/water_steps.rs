use super::{Known, LEAST_DIVER_BAR};

/// Once the test under full pressure is over a diver's watch is held under this, bar (bib:iso6425, from
/// memory).
pub const LOW_BAR: f64 = 0.3;

/// The most that still counts as low, bar: gauges of pressure pots are read to a tenth or two. Our own
/// choice.
pub const MOST_LOW_BAR: f64 = 0.5;

/// By what a watch is tested.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WaterStandard {
    /// Ordinary watches that are called water-resistant (bib:iso22810).
    Iso22810,
    /// Divers' watches (bib:iso6425).
    Iso6425,
}

/// How it is tested. No standard has the same means twice: a test that is kept says by its means which
/// step it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Means {
    /// Dry: air pressed on the case or drawn from it, and how much leaks, or how the case bends.
    Air,
    /// Wet: water under pressure.
    Water,
    /// Wet, straight after the full pressure: water under a little of it. Seals that are pressed shut
    /// by a high pressure may let water in at a low one.
    LowPressure,
    /// Lying in still water, a hand's breadth deep.
    Immersion,
    /// The crown pressed sideways in water.
    CrownPressed,
    /// A drop of cool water on the warmed glass: fog on its inside shows that water got in.
    Condensation,
    /// From warm water into cold and back.
    Warmth,
    /// In salt water.
    Salt,
}

/// What a temperature is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TemperatureOf {
    /// The watch, warmed on a plate.
    WarmedWatch,
    /// The drop on its glass.
    Drop,
    /// The warm water, where there is a cold one too.
    WarmWater,
    /// The cold water.
    ColdWater,
    /// The water, where there is one.
    Water,
}

impl TemperatureOf {
    /// Whether it is the warm one of a test; the other is the cold one, or that of the only water.
    #[must_use]
    pub const fn is_warm(self) -> bool {
        matches!(self, Self::WarmedWatch | Self::WarmWater)
    }
}

/// A temperature that a step asks for, both ends included.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Temperature {
    /// What it is of.
    pub of: TemperatureOf,
    /// From, °C.
    pub from_deg_c: f64,
    /// To, °C.
    pub to_deg_c: f64,
}

const fn between(of: TemperatureOf, from_deg_c: f64, to_deg_c: f64) -> Temperature {
    Temperature { of, from_deg_c, to_deg_c }
}

/// The watch on its plate, the drop on its glass (bib:iso6425, from excerpts; the same in bib:iso2281).
const PLATE_AND_DROP: &[Temperature] =
    &[between(TemperatureOf::WarmedWatch, 40.0, 45.0), between(TemperatureOf::Drop, 18.0, 25.0)];

/// Still and salt water (bib:iso6425, from excerpts).
const STILL: &[Temperature] = &[between(TemperatureOf::Water, 18.0, 25.0)];

/// 40 and 20 °C, each give or take 2 (bib:iso2281, from memory).
const WARM_AND_COOL: &[Temperature] =
    &[between(TemperatureOf::WarmWater, 38.0, 42.0), between(TemperatureOf::ColdWater, 18.0, 22.0)];

/// 40 and 5 °C, each give or take 2 (bib:iso6425, from memory).
const WARM_AND_COLD: &[Temperature] =
    &[between(TemperatureOf::WarmWater, 38.0, 42.0), between(TemperatureOf::ColdWater, 3.0, 7.0)];

/// A step of a test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaterStep {
    /// How.
    pub means: Means,
    /// Pressure over that of the air, bar.
    pub bar: Option<f64>,
    /// How long, minutes.
    pub minutes: Option<f64>,
    /// At which temperatures; none where none is asked.
    pub temperatures: &'static [Temperature],
    /// How much of what it rests on was seen.
    pub known: Known,
}

/// What the standard asks for a watch that is marked with so many bar.
///
/// For ordinary watches either the dry or the wet step under pressure; for divers' watches every watch
/// goes through all of them, under 125 per cent of what it is marked with. See [`water_needed`].
#[must_use]
pub fn water_steps(standard: WaterStandard, marked_bar: f64) -> Vec<WaterStep> {
    use Known::{FromMemory, Read};
    let step = |means, bar, minutes, known| WaterStep {
        means,
        bar,
        minutes: Some(minutes),
        temperatures: &[],
        known,
    };
    let at = |temperatures, step| WaterStep { temperatures, ..step };
    let fog = at(PLATE_AND_DROP, step(Means::Condensation, None, 1.0, Read));
    match standard {
        // bib:iso2281, whose tests its successor bib:iso22810 took over in the main.
        WaterStandard::Iso22810 => vec![
            WaterStep { minutes: None, ..step(Means::Air, Some(2.0), 0.0, FromMemory) },
            step(Means::Water, Some(marked_bar.max(2.0)), 10.0, FromMemory),
            step(Means::Immersion, None, 60.0, FromMemory),
            step(Means::CrownPressed, None, 10.0, FromMemory),
            at(WARM_AND_COOL, step(Means::Warmth, None, 5.0, FromMemory)),
            fog,
        ],
        WaterStandard::Iso6425 => vec![
            at(STILL, step(Means::Immersion, None, 50.0 * 60.0, Read)),
            step(Means::Water, Some(1.25 * marked_bar), 120.0, FromMemory),
            step(Means::LowPressure, Some(LOW_BAR), 60.0, FromMemory),
            step(Means::CrownPressed, Some(1.25 * marked_bar), 10.0, Read),
            at(WARM_AND_COLD, step(Means::Warmth, None, 10.0, FromMemory)),
            // The water is from an excerpt, what to look for afterwards from memory.
            at(STILL, step(Means::Salt, None, 24.0 * 60.0, FromMemory)),
            fog,
        ],
    }
}

/// The step of a standard that is done by this means; none where it has none.
#[must_use]
pub fn water_step(standard: WaterStandard, marked_bar: f64, means: Means) -> Option<WaterStep> {
    water_steps(standard, marked_bar).into_iter().find(|step| step.means == means)
}

/// By which means a watch is tested before it has been through all of a standard, in its order. Where
/// several stand in one place one of them is enough: an ordinary watch is pressed by air or by water
/// (bib:iso2281).
#[must_use]
pub fn water_needed(standard: WaterStandard) -> Vec<Vec<Means>> {
    let either =
        |means| standard == WaterStandard::Iso22810 && matches!(means, Means::Air | Means::Water);
    let all = water_steps(standard, LEAST_DIVER_BAR).into_iter().map(|step| step.means);
    let all: Vec<Means> = all.collect();
    all.chunk_by(|one, next| either(*one) && either(*next)).map(<[Means]>::to_vec).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bar_of(standard: WaterStandard, marked_bar: f64, means: Means) -> Option<f64> {
        water_step(standard, marked_bar, means).and_then(|step| step.bar)
    }

    /// bib:iso6425: under 125 per cent, 200 m under 250 m and 300 m under 375 m (ten metres a bar).
    #[test]
    fn divers_watches_are_tested_under_a_quarter_more() {
        assert_eq!(bar_of(WaterStandard::Iso6425, 20.0, Means::Water), Some(25.0));
        assert_eq!(bar_of(WaterStandard::Iso6425, 30.0, Means::Water), Some(37.5));
        assert_eq!(bar_of(WaterStandard::Iso6425, 20.0, Means::CrownPressed), Some(25.0));
    }

    /// bib:iso6425, from memory: after two hours under 125 per cent an hour under 0.3 bar, whatever the
    /// watch is marked with.
    #[test]
    fn a_low_pressure_follows_the_high_one() {
        let steps = water_steps(WaterStandard::Iso6425, 20.0);
        let high = steps.iter().position(|step| step.means == Means::Water).unwrap();
        let (high, low) = (steps[high], steps[high + 1]);
        assert_eq!((high.bar, high.minutes), (Some(25.0), Some(120.0)));
        assert_eq!((low.means, low.bar, low.minutes), (Means::LowPressure, Some(0.3), Some(60.0)));
        assert_eq!(bar_of(WaterStandard::Iso6425, 30.0, Means::LowPressure), Some(0.3));
        assert_eq!(water_step(WaterStandard::Iso22810, 20.0, Means::LowPressure), None);
    }

    #[test]
    fn no_standard_has_the_same_means_twice() {
        for standard in [WaterStandard::Iso22810, WaterStandard::Iso6425] {
            let all: Vec<Means> =
                water_steps(standard, 20.0).into_iter().map(|step| step.means).collect();
            for (n, means) in all.iter().enumerate() {
                assert!(!all[..n].contains(means), "{standard:?} {means:?}");
            }
        }
    }

    /// bib:iso2281: air or water, and the other tests; bib:iso6425: every watch through all of them.
    #[test]
    fn one_of_two_is_enough_for_an_ordinary_watch_and_a_diver_goes_through_all() {
        use Means::{Air, Condensation, CrownPressed, Immersion, Warmth, Water};
        assert_eq!(
            water_needed(WaterStandard::Iso22810),
            [
                vec![Air, Water],
                vec![Immersion],
                vec![CrownPressed],
                vec![Warmth],
                vec![Condensation]
            ]
        );
        let diver = water_needed(WaterStandard::Iso6425);
        assert_eq!(diver.len(), 7);
        assert!(diver.iter().all(|one| one.len() == 1));
        assert!(diver.contains(&vec![Means::LowPressure]));
    }
}
