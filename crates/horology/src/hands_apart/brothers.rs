use super::error::{HandsApartError, finite, not_negative};
use crate::rate_sheet::{Bounded, Verdict};
use quantities::Measured;

/// One of two balances, in one position and one state of wind.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Brother {
    /// Rate, s/d, without the clock's uncertainty.
    pub rate_s_per_d: Measured,
    /// Where it is to be, s/d.
    pub target_s_per_d: f64,
}

/// How two balances stand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BrothersFinding {
    /// Each less its target, s/d, with the clock's uncertainty, and whether it is near enough.
    pub from_target_s_per_d: [(Measured, Verdict); 2],
    /// A less B, s/d; the clock cancels. Whether they are near enough to each other.
    pub a_less_b_s_per_d: (Measured, Verdict),
    /// Which one to move so that both conditions are nearer: the one that is farther from its
    /// target beyond doubt, 0 for A; nothing where that cannot be told.
    pub move_first: Option<usize>,
}

/// Compares two balances with their targets and with each other.
///
/// # Errors
/// [`HandsApartError`] for numbers that cannot be.
pub fn compare_brothers(
    brothers: [Brother; 2],
    clock_sd_s_per_d: f64,
    from_target_at_most_s_per_d: f64,
    apart_at_most_s_per_d: f64,
) -> Result<BrothersFinding, HandsApartError> {
    not_negative("clock's uncertainty", clock_sd_s_per_d)?;
    let target_limit = not_negative("tolerance about the target", from_target_at_most_s_per_d)?;
    let apart_limit = not_negative("tolerance between the balances", apart_at_most_s_per_d)?;
    for brother in &brothers {
        finite("rate", brother.rate_s_per_d.value)?;
        not_negative("rate's uncertainty", brother.rate_s_per_d.sd)?;
        finite("target", brother.target_s_per_d)?;
    }
    let within = |measured: Measured, limit: f64| {
        (measured, Bounded::from(measured).against(Some(-limit), Some(limit)))
    };
    let own = brothers.map(|brother| {
        let Measured { value, sd } = brother.rate_s_per_d;
        Measured::new(value - brother.target_s_per_d, sd)
    });
    let [a, b] = own;
    // The farther one, where that is more than the scatter: 1.96 deviations, 95 in 100.
    let farther = Measured::new(a.value.abs() - b.value.abs(), a.sd.hypot(b.sd));
    let certain = farther.value.abs() > 1.96 * farther.sd && farther.value != 0.0;
    Ok(BrothersFinding {
        from_target_s_per_d: own
            .map(|off| within(off.with_added_sd(clock_sd_s_per_d), target_limit)),
        a_less_b_s_per_d: within(
            brothers[0].rate_s_per_d.minus(brothers[1].rate_s_per_d),
            apart_limit,
        ),
        move_first: certain.then(|| usize::from(farther.value < 0.0)),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn brother(rate: f64, target_s_per_d: f64) -> Brother {
        Brother { rate_s_per_d: Measured::new(rate, 0.3), target_s_per_d }
    }

    /// By hand: A 1 above its target, B 8 below; 9 apart. The clock's 1.73 s/d, common to both,
    /// leaves A's own verdict open and does not touch the difference.
    #[test]
    fn each_to_its_target_and_to_its_brother() {
        let got =
            compare_brothers([brother(4.0, 3.0), brother(-5.0, 3.0)], 1.73, 3.0, 4.0).unwrap();
        let [(a, a_verdict), (b, b_verdict)] = got.from_target_s_per_d;
        assert_eq!((a.value, b.value), (1.0, -8.0));
        assert!((a.sd - 0.3_f64.hypot(1.73)).abs() < 1e-12);
        assert_eq!((a_verdict, b_verdict), (Verdict::CannotTell, Verdict::Fail));
        assert_eq!(got.a_less_b_s_per_d.0.value, 9.0);
        assert_eq!(got.a_less_b_s_per_d.1, Verdict::Fail);
        assert_eq!(got.move_first, Some(1));
    }

    #[test]
    fn like_brothers_are_left_alone() {
        let got = compare_brothers([brother(3.2, 3.0), brother(2.9, 3.0)], 0.0, 3.0, 4.0).unwrap();
        assert_eq!(got.a_less_b_s_per_d.1, Verdict::Pass);
        assert_eq!(got.move_first, None);
        assert!(compare_brothers([brother(3.2, 3.0); 2], 0.0, -1.0, 4.0).is_err());
    }
}
