use quantities::Rate;

/// What a watch at a constant rate has gained after `elapsed_s` seconds of true time, in seconds;
/// negative where it has lost.
#[must_use]
pub fn gain_s_after(rate: Rate, elapsed_s: f64) -> f64 {
    rate.fraction() * elapsed_s
}

/// When a beat of balance A and a beat of balance B, both of the same nominal beat, next fall
/// together: seconds from now, or `None` where they never will.
///
/// `lag_s` is how long after a beat of A the next beat of B comes, `beat_s` the time of one beat
/// (any lag is taken modulo it), `a_minus_b` A's rate less B's. Where A is the faster, the lag
/// grows until B's beat meets the next one of A; where it is the slower, it shrinks to nothing.
/// `None` too where a value is not finite or `beat_s` is not positive.
#[must_use]
pub fn next_coincidence_s(lag_s: f64, beat_s: f64, a_minus_b: Rate) -> Option<f64> {
    let slip = a_minus_b.fraction();
    if ![lag_s, beat_s, slip].iter().all(|v| v.is_finite()) || beat_s <= 0.0 {
        return None;
    }
    let lag = lag_s.rem_euclid(beat_s);
    if lag == 0.0 {
        return Some(0.0);
    }
    if slip == 0.0 {
        return None;
    }
    let to_go = if slip > 0.0 { beat_s - lag } else { lag };
    Some(to_go / slip.abs())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By definition a rate of +8.64 s/d is a ten-thousandth: 0.1 s in 1,000 s; and 7 days at
    /// 8.57 s/d are the minute that bib:poincon-geneve allows in a week (8.5714 x 7 = 60).
    #[test]
    fn gain_accumulates() {
        assert!((gain_s_after(Rate::from_s_per_d(8.64), 1_000.0) - 0.1).abs() < 1e-12);
        let week = gain_s_after(Rate::from_s_per_d(-60.0 / 7.0), 7.0 * 86_400.0);
        assert!((week + 60.0).abs() < 1e-9);
    }

    /// 9 s/d apart is 104.17 microseconds a second; a lag of 25 ms closes in 240 s, and the 100 ms
    /// up to the next beat of 125 ms take 960 s.
    #[test]
    fn coincidence_from_either_side() {
        let of = |s_per_d| next_coincidence_s(0.025, 0.125, Rate::from_s_per_d(s_per_d)).unwrap();
        assert!((of(-9.0) - 240.0).abs() < 1e-6);
        assert!((of(9.0) - 960.0).abs() < 1e-6);
    }

    /// Counted beat by beat: A and B beat on, and the first pair closer than half a beat's slip is
    /// found without the formula.
    #[test]
    fn coincidence_counted_beat_by_beat() {
        let (lag, beat) = (0.040, 0.125);
        let rate = Rate::from_s_per_d(60.0);
        let (beat_a, beat_b) = (beat / (1.0 + rate.fraction()), beat);
        let closest = (0..2_000_u32).find(|&n| {
            let b = lag + f64::from(n) * beat_b;
            let a = (b / beat_a).round() * beat_a;
            (a - b).abs() <= 0.5 * beat * rate.fraction()
        });
        let counted = f64::from(closest.unwrap()) * beat_b;
        let got = next_coincidence_s(lag, beat, rate).unwrap();
        // One beat of counting, the lag itself, and the rate's square are the difference.
        assert!((got - counted).abs() < 2.0 * beat, "{got} {counted}");
    }

    #[test]
    fn balances_of_one_rate_never_meet() {
        assert_eq!(next_coincidence_s(0.03, 0.125, Rate::from_s_per_d(0.0)), None);
        assert_eq!(next_coincidence_s(0.0, 0.125, Rate::from_s_per_d(0.0)), Some(0.0));
        assert_eq!(next_coincidence_s(0.03, 0.0, Rate::from_s_per_d(1.0)), None);
        assert_eq!(next_coincidence_s(f64::NAN, 0.125, Rate::from_s_per_d(1.0)), None);
        assert_eq!(next_coincidence_s(0.03, 0.125, Rate::from_s_per_d(f64::NAN)), None);
    }
}
