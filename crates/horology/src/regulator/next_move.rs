use super::effect::{Effect, HAND_SHARE, Prior, PriorSource, RestsOn, effect_of_moves};
use super::error::{RegulatorError, finite, positive};
use super::moves::{Means, Move};
use quantities::Measured;

/// Where the rate is to be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Target {
    /// s/d.
    pub s_per_d: f64,
    /// Near enough, s/d.
    pub tolerance_s_per_d: f64,
}

/// How far a means can still go, in its unit, both positive.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reach {
    /// Towards slower.
    pub slower: f64,
    /// Towards faster.
    pub faster: f64,
}

impl Reach {
    /// Nothing is known of an end.
    pub const UNKNOWN: Self = Self { slower: f64::INFINITY, faster: f64::INFINITY };
}

/// What to do next.
#[derive(Debug, Clone, PartialEq)]
pub enum Advice {
    /// It is there.
    Leave {
        /// Rate less target, s/d.
        off_s_per_d: Measured,
    },
    /// The reading is too uncertain to say whether it is there.
    ReadLonger {
        /// Rate less target, s/d.
        off_s_per_d: Measured,
        /// Standard uncertainty that would settle it, s/d.
        wanted_sd_s_per_d: f64,
    },
    /// Move.
    Move(NextMove),
    /// This means ends before the target.
    OutOfReach {
        /// The move as far as it goes.
        as_far_as_it_goes: NextMove,
        /// What is then still missing, target less rate, s/d: another means has to bring it.
        missing_s_per_d: Measured,
    },
}

/// A move.
#[derive(Debug, Clone, PartialEq)]
pub struct NextMove {
    /// By what.
    pub means: Means,
    /// How far, towards faster positive.
    pub amount: f64,
    /// Rate that is expected after it, s/d: from the reading, the effect and the hand.
    pub expected_s_per_d: Measured,
    /// The effect of a unit that it was found with.
    pub effect: Effect,
}

impl NextMove {
    /// Whether it makes the watch faster.
    #[must_use]
    pub fn is_faster(&self) -> bool {
        self.amount > 0.0
    }

    /// Whether it rests on a first guess alone, one that nothing of this balance went into.
    #[must_use]
    pub fn is_a_guess(&self) -> bool {
        matches!(self.effect.rests_on, RestsOn::PriorAlone(_)) && !self.is_computed()
    }

    /// Whether it rests on what was computed from the balance's masses and radii alone.
    #[must_use]
    pub fn is_computed(&self) -> bool {
        self.effect.rests_on == RestsOn::PriorAlone(PriorSource::Computed)
    }
}

/// A reading within the tolerance by less than this share of it is not worth a longer one: the
/// largest error that it leaves is that share.
const WORTH_READING_SHARE: f64 = 0.5;

/// The next move of a means towards a target, from the rate read now and the moves made so far.
///
/// The amount is the one that leaves the least mean square of the distance from the target,
/// `(target - rate) E[g] / (E[g^2] (1 + h^2))` with `g` the effect of a unit and `h` the hand's
/// share (calculus): where the effect is known it goes all the way, where it is a guess it stops
/// short, and what it does then makes the next one sure.
///
/// # Errors
/// [`RegulatorError`] for numbers that cannot be.
///
/// # Examples
/// Half a degree of the index brought 10 s/d; 15 s/d are wanting.
/// ```
/// use horology::regulator::{Advice, Means, Move, Prior, Reach, Target, next_move};
/// use quantities::Measured;
///
/// let now = Measured::new(-12.0, 0.3);
/// let done = Move {
///     balance: 0,
///     means: Means::Index,
///     amount: 0.5,
///     before_s_per_d: Measured::new(-22.0, 0.3),
///     after_s_per_d: now,
/// };
/// let target = Target { s_per_d: 3.0, tolerance_s_per_d: 1.0 };
/// let prior = Prior::INDEX_DEGREE;
/// let advice = next_move(target, now, Means::Index, &prior, &[done], Reach::UNKNOWN)?;
/// let Advice::Move(advised) = advice else { panic!() };
/// assert!((advised.amount - 0.75).abs() < 0.05);
/// # Ok::<(), horology::regulator::RegulatorError>(())
/// ```
pub fn next_move(
    target: Target,
    now_s_per_d: Measured,
    means: Means,
    prior: &Prior,
    moves: &[Move],
    reach: Reach,
) -> Result<Advice, RegulatorError> {
    let tolerance = positive("tolerance", target.tolerance_s_per_d)?;
    let off = finite("rate", now_s_per_d.value)? - finite("target", target.s_per_d)?;
    let sd = finite("rate's uncertainty", now_s_per_d.sd)?;
    let off_s_per_d = Measured::new(off, sd);
    if off.abs() <= tolerance {
        let wanted_sd_s_per_d = WORTH_READING_SHARE * tolerance;
        return Ok(if sd > wanted_sd_s_per_d {
            Advice::ReadLonger { off_s_per_d, wanted_sd_s_per_d }
        } else {
            Advice::Leave { off_s_per_d }
        });
    }
    let effect = effect_of_moves(prior, moves)?;
    let Measured { value: g, sd: g_sd } = effect.per_unit_s_per_d;
    let square = (g * g + g_sd * g_sd) * (1.0 + HAND_SHARE * HAND_SHARE);
    let wanted = finite("amount of the move", -off * g / square)?;
    let amount = wanted.clamp(-reach.slower.max(0.0), reach.faster.max(0.0));
    let expected = Measured::new(
        now_s_per_d.value + g * amount,
        sd.hypot(g_sd * amount).hypot(HAND_SHARE * g * amount),
    );
    let advised = NextMove { means, amount, expected_s_per_d: expected, effect };
    let ends_before = (amount - wanted).abs() > 1e-12 * wanted.abs();
    Ok(if ends_before {
        let missing_s_per_d = Measured::new(target.s_per_d - expected.value, expected.sd);
        Advice::OutOfReach { as_far_as_it_goes: advised, missing_s_per_d }
    } else {
        Advice::Move(advised)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn index(amount: f64, before: f64, after: f64) -> Move {
        Move {
            balance: 0,
            means: Means::Index,
            amount,
            before_s_per_d: Measured::new(before, 0.3),
            after_s_per_d: Measured::new(after, 0.3),
        }
    }

    fn advised(now: f64, moves: &[Move], reach: Reach) -> Advice {
        let target = Target { s_per_d: 3.0, tolerance_s_per_d: 1.0 };
        let prior = Prior::INDEX_DEGREE;
        next_move(target, Measured::new(now, 0.3), Means::Index, &prior, moves, reach).unwrap()
    }

    fn the_move(advice: Advice) -> NextMove {
        let Advice::Move(advised) = advice else { panic!("{advice:?}") };
        advised
    }

    /// Slow: towards +; and a guess goes less than all the way by the guess' own middle.
    #[test]
    fn a_guess_stops_short_and_says_so() {
        let first = the_move(advised(-37.0, &[], Reach::UNKNOWN));
        assert!(first.is_a_guess() && first.is_faster());
        assert!(first.amount > 0.2 && first.amount < 2.0, "{}", first.amount);
        assert_eq!(first.effect.rests_on, RestsOn::PriorAlone(PriorSource::Experience));
        let other_way = the_move(advised(43.0, &[], Reach::UNKNOWN));
        assert!((other_way.amount + first.amount).abs() < 1e-9);
    }

    /// One move of 0.5 that brought 10 s/d says 20 a unit: the remaining 15 want 0.75. A hand's
    /// tenth is 1 s/d of the ten, both readings 0.4 and their repeating 0.7: 13 per cent, and twice
    /// the variance for the tails of Student's t with four degrees of freedom. The square of that,
    /// 3.4 per cent, and the hand's 1 per cent are what the move stops short by, within half as
    /// much again.
    #[test]
    fn after_one_move_it_is_a_secant() {
        let next = the_move(advised(-12.0, &[index(0.5, -22.0, -12.0)], Reach::UNKNOWN));
        let short = 1.0 - next.amount / 0.75;
        assert!((short - 0.044).abs() < 0.022, "{}", next.amount);
        assert_eq!(next.effect.rests_on, RestsOn::Moves(1));
        // A tenth of 15 for the hand, and for the effect 13 per cent to 22: the guess was wide, and
        // so are the tails.
        let sd = next.expected_s_per_d.sd;
        assert!(sd > 0.16 * 15.0 && sd < 0.24 * 15.0, "{next:?}");
    }

    #[test]
    fn a_slip_is_forgiven_and_named() {
        let sound = [index(0.5, -30.0, -20.0), index(0.3, -20.0, -14.0), index(0.2, -14.0, -10.0)];
        let slipped = [&sound[..], &[index(0.3, -10.0, -40.0)]].concat();
        let prior = Prior::INDEX_DEGREE;
        let effect = effect_of_moves(&prior, &slipped).unwrap();
        // The honest ones say 20; the hand's tenth over three moves is 6 per cent, three of those.
        assert!((effect.per_unit_s_per_d.value - 20.0).abs() < 3.6, "{effect:?}");
        assert_eq!(effect.odd_moves, [3]);
        assert_eq!(effect_of_moves(&prior, &sound).unwrap().odd_moves, Vec::<usize>::new());
    }

    #[test]
    fn leaves_what_is_there_and_asks_for_a_longer_reading() {
        assert!(matches!(advised(3.4, &[], Reach::UNKNOWN), Advice::Leave { .. }));
        let target = Target { s_per_d: 3.0, tolerance_s_per_d: 1.0 };
        let now = Measured::new(3.4, 2.0);
        let prior = Prior::INDEX_DEGREE;
        let advice = next_move(target, now, Means::Index, &prior, &[], Reach::UNKNOWN).unwrap();
        assert!(matches!(advice, Advice::ReadLonger { wanted_sd_s_per_d, .. }
            if wanted_sd_s_per_d == 0.5));
    }

    #[test]
    fn says_where_the_index_ends() {
        let reach = Reach { slower: 5.0, faster: 0.25 };
        let advice = advised(-12.0, &[index(0.5, -22.0, -12.0)], reach);
        let Advice::OutOfReach { as_far_as_it_goes, missing_s_per_d } = advice else {
            panic!("{advice:?}")
        };
        assert_eq!(as_far_as_it_goes.amount, 0.25);
        // A quarter of a unit is 5 of the 15.
        assert!((missing_s_per_d.value - 10.0).abs() < 0.6, "{missing_s_per_d:?}");
    }

    #[test]
    fn refuses_nonsense() {
        let prior = Prior { factor: 1.0, ..Prior::INDEX_DEGREE };
        assert!(effect_of_moves(&prior, &[]).is_err());
        for amount in [0.0, f64::NAN, 1e305] {
            let bad = [index(amount, 0.0, 0.0)];
            assert!(effect_of_moves(&Prior::INDEX_DEGREE, &bad).is_err(), "{amount}");
        }
        let target = Target { s_per_d: f64::NAN, tolerance_s_per_d: 1.0 };
        let now = Measured::new(0.0, 0.1);
        let of = |target| {
            next_move(target, now, Means::Index, &Prior::INDEX_DEGREE, &[], Reach::UNKNOWN)
        };
        assert_eq!(of(target).unwrap_err().to_string().get(..10), Some("the target"));
        let none = Target { s_per_d: 0.0, tolerance_s_per_d: 0.0 };
        assert!(of(none).is_err());
    }
}
