use super::observation::{Course, Observation, PairCourse};

/// What can make a rate change with the amplitude.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum IsochronismCause {
    /// Unlocking and impulse themselves.
    Escapement,
    /// The hairspring plays between regulator pins that stand too far apart.
    PinsOpen,
    /// The hairspring lies on a regulator pin, or the pins hold it tight in short arcs only.
    SpringOnAPin,
    /// Where the hairspring is pinned to the collet.
    PinningPoint,
    /// A heavy spot on the balance.
    Poise,
    /// Rims of a cut balance that open in long arcs.
    RimsOpening,
}

/// Whether what is seen is what a cause would do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Match {
    /// Every sign that was seen is the one that it would have.
    Fits,
    /// A sign is against it.
    Against,
    /// What would speak for or against it was not seen.
    Open,
}

/// A cause, whether it fits, and why.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Candidate {
    /// Which.
    pub cause: IsochronismCause,
    /// Whether it fits.
    pub matches: Match,
    /// The sign that it has, in words.
    pub would: &'static str,
    /// What would tell it from the others.
    pub test: &'static str,
    /// Who says so.
    pub source: &'static str,
}

/// Every cause with whether the signs fit it: those that fit first, those that are open next. Never
/// a verdict: causes add up, and one may hide another.
#[must_use]
pub fn candidates(seen: &Observation) -> Vec<Candidate> {
    let mut all = [
        escapement(seen),
        pins_open(seen),
        spring_on_a_pin(seen),
        pinning_point(seen),
        poise(seen),
        rims_opening(seen),
    ];
    all.sort_by_key(|candidate| match candidate.matches {
        Match::Fits => 0,
        Match::Open => 1,
        Match::Against => 2,
    });
    all.into()
}

/// The match of a cause that wants one course in flat and upright positions.
fn both(seen: &Observation, wanted: Course) -> Match {
    let courses = [seen.flat(), seen.upright()];
    let other = match wanted {
        Course::GainsInShortArcs => Course::LosesInShortArcs,
        Course::LosesInShortArcs | Course::NotSeen => Course::GainsInShortArcs,
    };
    if courses.contains(&other) {
        Match::Against
    } else if courses.contains(&wanted) {
        Match::Fits
    } else {
        Match::Open
    }
}

fn escapement(seen: &Observation) -> Candidate {
    Candidate {
        cause: IsochronismCause::Escapement,
        matches: both(seen, Course::LosesInShortArcs),
        would: "loses in short arcs, flat and upright alike: what resists before the line of \
                centres, and impulse after it, lose, and weigh more the less the balance swings",
        test: "look at lock and draw; lighten a deep lock and read both states of wind again",
        source: "bib:airy1830; bib:kleinlein1920, example 2",
    }
}

fn pins_open(seen: &Observation) -> Candidate {
    let by_course = both(seen, Course::LosesInShortArcs);
    // Upright the arcs are shorter, so upright must not be fast.
    let upright_fast = seen.upright_less_flat_s_per_d.is_some_and(|d| d.value > 1.96 * d.sd);
    Candidate {
        cause: IsochronismCause::PinsOpen,
        matches: if upright_fast { Match::Against } else { by_course },
        would: "loses in short arcs, and so upright against flat: the spring is longer for the part \
                of each swing in which it touches no pin",
        test: "close the pins until the spring just has play, and read flat and upright again",
        source: "bib:kleinlein1920, Nos. 37-39, example 3",
    }
}

fn spring_on_a_pin(seen: &Observation) -> Candidate {
    let by_course = both(seen, Course::GainsInShortArcs);
    let upright_slow = seen.upright_less_flat_s_per_d.is_some_and(|d| d.value < -1.96 * d.sd);
    Candidate {
        cause: IsochronismCause::SpringOnAPin,
        matches: if upright_slow { Match::Against } else { by_course },
        would: "gains in short arcs, and so upright against flat: the pin holds the spring through \
                all of a short swing and lets go in a long one",
        test: "see whether the spring stands in the middle between the pins at rest; open them a \
               little and read again",
        source: "bib:kleinlein1920, Nos. 37-39 and 79",
    }
}

fn pinning_point(seen: &Observation) -> Candidate {
    let stays = |wanted: bool| {
        seen.pairs
            .iter()
            .any(|pair| pair.course == PairCourse::Stays && (!wanted || pair.spans_neutral))
    };
    let all_reverse = !seen.pairs.is_empty()
        && seen.pairs.iter().all(|pair| pair.course == PairCourse::Reverses && pair.spans_neutral);
    let matches = if stays(true) {
        Match::Fits
    } else if all_reverse && seen.flat() == Course::NotSeen {
        Match::Against
    } else {
        Match::Open
    };
    Candidate {
        cause: IsochronismCause::PinningPoint,
        matches,
        would: "of two opposite upright positions the same one stays faster in long and short arcs; \
                the isochronism may go either way",
        test: "read opposite upright positions above and below 219.54 degrees; moving the collet's \
               pinning point half a turn exchanges them",
        source: "bib:kleinlein1920, No. 34, example 10; bib:excelsior1876, par. 138",
    }
}

fn poise(seen: &Observation) -> Candidate {
    let reverses =
        seen.pairs.iter().any(|pair| pair.course == PairCourse::Reverses && pair.spans_neutral);
    let stays_all = !seen.pairs.is_empty()
        && seen.pairs.iter().all(|pair| pair.course == PairCourse::Stays && pair.spans_neutral);
    Candidate {
        cause: IsochronismCause::Poise,
        matches: if reverses {
            Match::Fits
        } else if stays_all {
            Match::Against
        } else {
            Match::Open
        },
        would: "nothing flat; of two opposite upright positions the faster one above 219.54 degrees \
                is the slower one below",
        test: "read four upright positions above and below 219.54 degrees and let the heavy spot be \
               found",
        source: "bib:kleinlein1920, No. 28",
    }
}

fn rims_opening(seen: &Observation) -> Candidate {
    Candidate {
        cause: IsochronismCause::RimsOpening,
        matches: both(seen, Course::GainsInShortArcs),
        would: "loses in long arcs, so it gains in short ones, flat and upright; only a balance with \
                cut rims can",
        test: "see whether the rims are cut; compare with the same amplitude reached at less wind",
        source: "bib:kleinlein1920, No. 73",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::isochronism::{IsochronismError, observe};
    use crate::poise::rate_from_heavy_spot_s_per_d;
    use crate::rate_sheet::{Cell, RateSheet, Wind};
    use crate::stance::{Stance, Upright};
    use quantities::Measured;

    const AMPLITUDES_DEG: [(u16, f64, f64); 2] = [(0, 300.0, 265.0), (30, 215.0, 185.0)];

    /// A sheet whose rates are what `rate` makes of a position and an amplitude, to 0.3 s/d.
    fn sheet(rate: impl Fn(Stance, f64) -> f64) -> RateSheet {
        let mut sheet = RateSheet::new(1.7).unwrap();
        for (hours, flat_deg, upright_deg) in AMPLITUDES_DEG {
            let flat = [Stance::DialUp, Stance::DialDown].map(|s| (s, flat_deg));
            let upright = Upright::FOUR.map(|u| (Stance::Upright(u), upright_deg));
            for (stance, deg) in flat.into_iter().chain(upright) {
                sheet
                    .put(Cell {
                        balance: 0,
                        wind: Wind::after_hours(hours),
                        stance,
                        rate_s_per_d: Measured::new(rate(stance, deg), 0.3),
                        amplitude_deg: Some(Measured::new(deg, 1.0)),
                        beat_error_ms: None,
                    })
                    .unwrap();
            }
        }
        sheet
    }

    fn matches(sheet: &RateSheet, cause: IsochronismCause) -> Match {
        let seen = observe(sheet, 0).unwrap();
        candidates(&seen).into_iter().find(|c| c.cause == cause).unwrap().matches
    }

    use IsochronismCause as Cause;

    /// Loses a tenth of a second per degree, everywhere alike.
    #[test]
    fn losing_in_short_arcs() {
        let sheet = sheet(|_, deg| 0.1 * (deg - 270.0));
        let seen = observe(&sheet, 0).unwrap();
        let flat = seen.flat_s_per_d_per_deg.unwrap();
        // By hand: two positions 85 degrees apart; 0.3 s/d, half a second and 0.1 x 1 degree each.
        assert!((flat.value - 0.1).abs() < 1e-9, "{flat:?}");
        assert!((flat.sd - 0.35_f64.sqrt() / 85.0).abs() < 1e-6, "{flat:?}");
        assert_eq!(seen.amplitude_deg_per_h.unwrap().value.signum(), -1.0);
        assert!(seen.rate_s_per_d_per_h.unwrap().value < 0.0);
        assert_eq!(matches(&sheet, Cause::Escapement), Match::Fits);
        assert_eq!(matches(&sheet, Cause::PinsOpen), Match::Fits);
        assert_eq!(matches(&sheet, Cause::SpringOnAPin), Match::Against);
        assert_eq!(matches(&sheet, Cause::RimsOpening), Match::Against);
        assert_eq!(matches(&sheet, Cause::Poise), Match::Open);
        let order: Vec<Match> = candidates(&seen).iter().map(|c| c.matches).collect();
        assert!(order.is_sorted_by_key(|m| match m {
            Match::Fits => 0,
            Match::Open => 1,
            Match::Against => 2,
        }));
    }

    #[test]
    fn gaining_in_short_arcs() {
        let sheet = sheet(|_, deg| -0.1 * (deg - 270.0));
        assert_eq!(matches(&sheet, Cause::SpringOnAPin), Match::Fits);
        assert_eq!(matches(&sheet, Cause::RimsOpening), Match::Fits);
        assert_eq!(matches(&sheet, Cause::Escapement), Match::Against);
    }

    /// bib:kleinlein1920, No. 28: a heavy spot reverses from long to short arcs and does nothing
    /// flat.
    #[test]
    fn a_heavy_spot_reverses() {
        let sheet = sheet(|stance, deg| {
            stance.upright().map_or(0.0, |u| rate_from_heavy_spot_s_per_d(1.5e-3, 180.0, u, deg))
        });
        let seen = observe(&sheet, 0).unwrap();
        assert_eq!(seen.pairs[0].course, PairCourse::Reverses);
        assert_eq!(seen.pairs[1].course, PairCourse::NotSeen);
        assert_eq!(matches(&sheet, Cause::Poise), Match::Fits);
        assert_eq!(matches(&sheet, Cause::Escapement), Match::Open);
    }

    /// bib:kleinlein1920, example 10: pendant up 12 fast and down 4 slow, by the pinning point,
    /// which does not change with the arcs.
    #[test]
    fn a_pinning_point_stays() {
        let sheet = sheet(|stance, _| match stance.upright().map(Upright::uppermost_deg) {
            Some(0.0) => 12.0,
            Some(180.0) => -4.0,
            _ => 0.0,
        });
        assert_eq!(matches(&sheet, Cause::PinningPoint), Match::Fits);
        assert_ne!(matches(&sheet, Cause::Poise), Match::Fits);
    }

    /// bib:kleinlein1920, example 3: upright 28 slow against 9 slow flat, by pins that were too
    /// open.
    #[test]
    fn upright_slow_speaks_against_a_spring_on_a_pin() {
        let sheet = sheet(|stance, _| if stance.is_flat() { -9.0 } else { -28.0 });
        assert_eq!(matches(&sheet, Cause::SpringOnAPin), Match::Against);
        assert_ne!(matches(&sheet, Cause::PinsOpen), Match::Against);
    }

    /// Rates that jump about by ten seconds are no slope, though the line through them leans by
    /// eleven of the standard deviations that the readings claim (by hand: 0.0875 s/d per degree,
    /// 0.58 s/d over 80 degrees).
    #[test]
    fn jumping_rates_are_no_slope() {
        let mut jumping = RateSheet::new(0.0).unwrap();
        for (hours, deg, up, down) in
            [(0, 300.0, 10.0, 2.0), (12, 260.0, -10.0, -8.0), (24, 220.0, 4.0, -6.0)]
        {
            for (stance, rate) in [(Stance::DialUp, up), (Stance::DialDown, down)] {
                jumping
                    .put(Cell {
                        balance: 0,
                        wind: Wind::after_hours(hours),
                        stance,
                        rate_s_per_d: Measured::new(rate, 0.3),
                        amplitude_deg: Some(Measured::new(deg, 1.0)),
                        beat_error_ms: None,
                    })
                    .unwrap();
            }
        }
        let seen = observe(&jumping, 0).unwrap();
        assert!((seen.flat_s_per_d_per_deg.unwrap().value - 0.0875).abs() < 1e-9);
        assert_eq!(seen.flat(), crate::isochronism::Course::NotSeen);
    }

    #[test]
    fn says_what_is_missing() {
        let mut one = RateSheet::new(0.0).unwrap();
        assert_eq!(observe(&one, 0), Err(IsochronismError::NoAmplitude { balance: 0 }));
        one.put(sheet(|_, _| 0.0).cells()[0]).unwrap();
        assert_eq!(observe(&one, 0), Err(IsochronismError::OneWind));
    }
}
