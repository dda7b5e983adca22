//! Tests whose limits are the workshop's own. Common practice, no published source.

use super::judged::{Judged, Number, Reason, Sign};
use super::running::{RunSeen, running};
use crate::rate_sheet::{Bounded, spread_of};
use quantities::Measured;

/// What was read over positions, by the sheet.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct RateSeen {
    /// Mean over the positions, s/d.
    pub mean_s_per_d: Option<Measured>,
    /// Greatest less least, s/d.
    pub spread_s_per_d: Option<Measured>,
    /// In how many positions.
    pub positions: usize,
    /// Lowest amplitude, degrees.
    pub amplitude_deg: Option<Measured>,
}

/// What is asked of the rate; what is not asked is `None`.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct RateLimits {
    /// Lowest mean rate, s/d.
    pub from_s_per_d: Option<f64>,
    /// Highest mean rate, s/d.
    pub to_s_per_d: Option<f64>,
    /// Greatest difference between positions, s/d.
    pub most_spread_s_per_d: Option<f64>,
    /// Lowest amplitude, degrees.
    pub least_amplitude_deg: Option<f64>,
}

/// A number against its limits, where one is set.
fn asked(
    of: Number,
    found: Option<Bounded>,
    low: Option<f64>,
    high: Option<f64>,
) -> Option<Reason> {
    if low.is_none() && high.is_none() {
        return None;
    }
    Some(found.map_or(Reason::Missing(of), |found| Reason::limit(of, found, low, high)))
}

fn of_limits(reasons: Vec<Reason>) -> Judged {
    let reasons = if reasons.is_empty() { vec![Reason::NoLimit] } else { reasons };
    Judged::from_reasons(reasons, None)
}

/// Whether the rate over positions keeps to the limits.
#[must_use]
pub fn rate(seen: &RateSeen, limits: &RateLimits) -> Judged {
    let spread = seen.spread_s_per_d.map(|spread| spread_of(spread, seen.positions));
    let reasons = [
        asked(
            Number::MeanRate,
            seen.mean_s_per_d.map(Bounded::from),
            limits.from_s_per_d,
            limits.to_s_per_d,
        ),
        asked(Number::Spread, spread, None, limits.most_spread_s_per_d),
        asked(
            Number::Amplitude,
            seen.amplitude_deg.map(Bounded::from),
            limits.least_amplitude_deg,
            None,
        ),
    ];
    of_limits(reasons.into_iter().flatten().collect())
}

fn ran(seen: Option<RunSeen>, wanted_hours: f64) -> Reason {
    seen.map_or(Reason::Missing(Number::RunningTime), |seen| Reason::Run {
        seen,
        wanted_hours,
        verdict: running(seen, wanted_hours),
    })
}

/// Whether a watch that was wound fully ran as long as is wanted.
#[must_use]
pub fn running_time(seen: Option<RunSeen>, wanted_hours: Option<f64>) -> Judged {
    of_limits(wanted_hours.map(|wanted| ran(seen, wanted)).into_iter().collect())
}

/// A watch that was wound by wearing or turning it alone.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct WindingSeen {
    /// How long it ran afterwards.
    pub run: Option<RunSeen>,
    /// Amplitude afterwards, degrees.
    pub amplitude_deg: Option<Measured>,
    /// Whether the rotor turns without touching.
    pub rotor_free: Option<bool>,
}

/// Whether wearing winds it: it runs as long afterwards, or swings as far, as is wanted, and its rotor
/// is free.
#[must_use]
pub fn automatic_winding(
    seen: &WindingSeen,
    wanted_hours: Option<f64>,
    least_amplitude_deg: Option<f64>,
) -> Judged {
    let amplitude = seen.amplitude_deg.map(Bounded::from);
    let numbers = [
        wanted_hours.map(|wanted| ran(seen.run, wanted)),
        asked(Number::Amplitude, amplitude, least_amplitude_deg, None),
    ];
    let mut reasons: Vec<Reason> = numbers.into_iter().flatten().collect();
    if reasons.is_empty() {
        reasons.push(Reason::NoLimit);
    }
    // A rotor that nobody listened to is no reason against what the watch did.
    if seen.rotor_free.is_some() {
        reasons.push(Reason::Sign(Sign::RotorFree, seen.rotor_free));
    }
    Judged::from_reasons(reasons, None)
}

/// What can be seen of the watch from outside. What nobody looked at is `None`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct LookSeen {
    /// No marks that were not there at intake.
    pub no_new_marks: Option<bool>,
    /// No dust, fibres or prints under the glass.
    pub clean: Option<bool>,
    /// Crown, back, screws and strap are tight.
    pub tight: Option<bool>,
}

/// Whether it looks as it should.
#[must_use]
pub fn look(seen: LookSeen) -> Judged {
    let signs = [
        (Sign::NoNewMarks, seen.no_new_marks),
        (Sign::Clean, seen.clean),
        (Sign::Tight, seen.tight),
    ];
    Judged::from_reasons(signs.map(|(of, right)| Reason::Sign(of, right)).into(), None)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rate_sheet::Verdict;

    fn rate_seen(mean: f64, spread: f64, amplitude: f64) -> RateSeen {
        RateSeen {
            mean_s_per_d: Some(Measured::new(mean, 0.5)),
            spread_s_per_d: Some(Measured::new(spread, 0.0)),
            positions: 6,
            amplitude_deg: Some(Measured::new(amplitude, 2.0)),
        }
    }

    /// 1.645 times 0.5 s/d are 0.82, times 2 degrees 3.3 (one-sided 95 in 100 of the normal
    /// distribution).
    #[test]
    fn a_rate_is_judged_no_sharper_than_it_is_known() {
        let limits = RateLimits {
            from_s_per_d: Some(-4.0),
            to_s_per_d: Some(6.0),
            most_spread_s_per_d: Some(10.0),
            least_amplitude_deg: Some(250.0),
        };
        let verdict =
            |mean, spread, amplitude| rate(&rate_seen(mean, spread, amplitude), &limits).verdict;
        assert_eq!(verdict(5.1, 9.0, 254.0), Verdict::Pass);
        assert_eq!(verdict(5.3, 9.0, 254.0), Verdict::CannotTell);
        assert_eq!(verdict(6.9, 9.0, 254.0), Verdict::Fail);
        assert_eq!(verdict(5.1, 10.5, 254.0), Verdict::Fail);
        assert_eq!(verdict(5.1, 9.0, 253.0), Verdict::CannotTell);
        assert_eq!(verdict(5.1, 9.0, 246.0), Verdict::Fail);
        let unread = RateSeen { amplitude_deg: None, ..rate_seen(5.1, 9.0, 0.0) };
        let judged = rate(&unread, &limits);
        assert_eq!(judged.verdict, Verdict::CannotTell);
        assert_eq!(judged.reasons[2], Reason::Missing(Number::Amplitude));
        let free = rate(&unread, &RateLimits::default());
        assert_eq!((free.verdict, free.reasons), (Verdict::CannotTell, vec![Reason::NoLimit]));
    }

    /// By the meaning of the words.
    #[test]
    fn winding_is_judged_by_what_the_watch_did_afterwards() {
        let run = RunSeen { hours: 36.0, still_ran: true, looked_every_hours: 0.0 };
        let seen = WindingSeen { run: Some(run), ..WindingSeen::default() };
        let verdict = |seen: &WindingSeen, hours, deg| automatic_winding(seen, hours, deg).verdict;
        assert_eq!(verdict(&seen, Some(36.0), None), Verdict::Pass);
        assert_eq!(verdict(&seen, Some(40.0), None), Verdict::CannotTell);
        assert_eq!(verdict(&seen, Some(36.0), Some(260.0)), Verdict::CannotTell);
        assert_eq!(verdict(&seen, None, None), Verdict::CannotTell);
        let scrapes = WindingSeen { rotor_free: Some(false), ..seen };
        assert_eq!(verdict(&scrapes, Some(36.0), None), Verdict::Fail);
        let strong = WindingSeen { amplitude_deg: Some(Measured::new(280.0, 2.0)), ..seen };
        assert_eq!(verdict(&strong, Some(36.0), Some(260.0)), Verdict::Pass);
        let stopped = RunSeen { hours: 20.0, still_ran: false, looked_every_hours: 1.0 };
        assert_eq!(running_time(Some(stopped), Some(36.0)).verdict, Verdict::Fail);
        assert_eq!(running_time(None, Some(36.0)).verdict, Verdict::CannotTell);
        assert_eq!(running_time(Some(run), None).reasons, [Reason::NoLimit]);
    }

    #[test]
    fn a_look_is_whole_or_open() {
        let whole = LookSeen { no_new_marks: Some(true), clean: Some(true), tight: Some(true) };
        assert_eq!(look(whole).verdict, Verdict::Pass);
        assert_eq!(look(LookSeen { clean: None, ..whole }).verdict, Verdict::CannotTell);
        assert_eq!(
            look(LookSeen { clean: Some(false), tight: None, ..whole }).verdict,
            Verdict::Fail
        );
    }
}
