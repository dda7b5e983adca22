use super::error::{EscapementError, not_negative, positive};
use crate::stance::radians;
use quantities::{Amplitude, LiftAngle, Measured};

/// Angles of one side of a lever escapement, at the fork's axis, degrees, and the leverage between
/// fork and roller.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeverAngles {
    /// Lock: how deep a tooth lies on the locking face right after drop.
    pub lock_deg: Measured,
    /// Run to the banking: how far the fork goes on after drop.
    pub run_deg: Measured,
    /// Lift on the tooth's own impulse face.
    pub lift_on_tooth_deg: Measured,
    /// Lift on the pallet's impulse face.
    pub lift_on_pallet_deg: Measured,
    /// Angle of the balance over angle of the fork while the pin is in it: distance of the pin from
    /// the fork's axis over its distance from the balance's.
    pub ratio: Measured,
}

/// What the angles add up to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeverWork {
    /// Lock and run: what the balance must turn the fork to unlock, fork degrees.
    pub total_lock_deg: Measured,
    /// Lift on tooth and pallet, fork degrees.
    pub lift_deg: Measured,
    /// From the banking to drop, fork degrees: run, lock and lift.
    pub fork_to_drop_deg: Measured,
    /// Balance degrees from the pin's touching the fork until the tooth is unlocked.
    pub balance_to_unlock_deg: Measured,
    /// Balance degrees from the pin's touching the fork to drop: the lift angle that a reading of
    /// amplitude takes, from the first noise to the drop.
    pub balance_lift_deg: Measured,
}

impl LeverAngles {
    /// Adds them up (geometry; terms and examples bib:playtner1910). A fork's angle is the
    /// balance's over the ratio, which holds about the line of centres and is the trade's rule
    /// throughout.
    ///
    /// Measured angles count as independent; uncertainties to first order (GUM, bib:jcgm100).
    ///
    /// # Errors
    /// [`EscapementError::NotPositive`] for lock, lift or ratio, [`EscapementError::Negative`] for
    /// run.
    pub fn work(&self) -> Result<LeverWork, EscapementError> {
        positive("lock", self.lock_deg.value)?;
        not_negative("run to the banking", self.run_deg.value)?;
        not_negative("lift on the tooth", self.lift_on_tooth_deg.value)?;
        not_negative("lift on the pallet", self.lift_on_pallet_deg.value)?;
        positive("ratio of fork and roller", self.ratio.value)?;
        let total_lock_deg = plus(self.lock_deg, self.run_deg);
        let lift_deg = plus(self.lift_on_tooth_deg, self.lift_on_pallet_deg);
        positive("lift", lift_deg.value)?;
        let fork_to_drop_deg = plus(total_lock_deg, lift_deg);
        Ok(LeverWork {
            total_lock_deg,
            lift_deg,
            fork_to_drop_deg,
            balance_to_unlock_deg: times(total_lock_deg, self.ratio),
            balance_lift_deg: times(fork_to_drop_deg, self.ratio),
        })
    }
}

/// How much of the whole arc (from turning point to turning point) the balance swings free of the
/// fork, degrees: twice the amplitude less the lift angle (definition).
///
/// # Errors
/// [`EscapementError::NoFreeArc`].
pub fn free_arc_deg(amplitude: Amplitude, lift: LiftAngle) -> Result<f64, EscapementError> {
    let arc_deg = 2.0 * amplitude.deg();
    let free = arc_deg - lift.deg();
    if free > 0.0 {
        Ok(free)
    } else {
        Err(EscapementError::NoFreeArc { lift_deg: lift.deg(), arc_deg })
    }
}

/// Drop at the rim of the escape wheel, mm: the arc `d/2` times the angle.
///
/// bib:playtner1910 prints .1413 mm for 1 1/2 degrees of an 8.5 mm wheel; it is .1113, as his own
/// value for 7.5 mm shows.
///
/// # Errors
/// [`EscapementError::NotPositive`] for the diameter, [`EscapementError::Negative`] for the drop.
pub fn drop_at_wheel_mm(wheel_diameter_mm: f64, drop_deg: f64) -> Result<f64, EscapementError> {
    let diameter = positive("diameter of the escape wheel", wheel_diameter_mm)?;
    Ok(0.5 * diameter * radians(not_negative("drop", drop_deg)?))
}

fn plus(one: Measured, other: Measured) -> Measured {
    Measured::new(one.value + other.value, one.sd.hypot(other.sd))
}

fn times(one: Measured, other: Measured) -> Measured {
    let sd = (one.sd * other.value).hypot(other.sd * one.value);
    Measured::new(one.value * other.value, sd)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn exactly(value: f64) -> Measured {
        Measured::new(value, 0.0)
    }

    /// bib:playtner1910's specification: lock 1 1/2, run 1/4, lift 3 on the tooth and 5 1/2 on the
    /// pallet.
    fn playtner(ratio: f64) -> LeverAngles {
        LeverAngles {
            lock_deg: exactly(1.5),
            run_deg: exactly(0.25),
            lift_on_tooth_deg: exactly(3.0),
            lift_on_pallet_deg: exactly(5.5),
            ratio: exactly(ratio),
        }
    }

    /// bib:playtner1910: total lock 1 3/4, fork 10 1/4, impulse angle 28 degrees with a ratio of
    /// 28 / 10.25; unlocking takes 1 3/4 x 2.7317 = 4.78 degrees of the balance (he prints 4.788).
    #[test]
    fn specification_of_1910() {
        let work = playtner(28.0 / 10.25).work().unwrap();
        assert_eq!(work.total_lock_deg.value, 1.75);
        assert_eq!(work.fork_to_drop_deg.value, 10.25);
        assert!((work.balance_lift_deg.value - 28.0).abs() < 1e-9);
        assert!((work.balance_to_unlock_deg.value - 4.78).abs() <= 0.005);
    }

    /// bib:escapements1904 and bib:playtner1910: a fork of 10 degrees and 3 to 1 is 30 degrees, 4
    /// to 1 is 40; 10 1/2 and 3 is 31 1/2; 8 and 3 is 24.
    #[test]
    fn fork_times_ratio() {
        for (fork, ratio, balance) in
            [(10.0, 3.0, 30.0), (10.0, 4.0, 40.0), (10.5, 3.0, 31.5), (8.0, 3.0, 24.0)]
        {
            let angles = LeverAngles {
                lift_on_pallet_deg: exactly(fork - 4.75),
                ratio: exactly(ratio),
                ..playtner(1.0)
            };
            assert!((angles.work().unwrap().balance_lift_deg.value - balance).abs() < 1e-9);
        }
    }

    /// bib:playtner1910: of an arc of 540 degrees (one and a half turns) 512 1/2 are free where 27
    /// 1/2 are not, and 490 where the ratio is 5 to 1 (fork 10).
    #[test]
    fn free_arc() {
        let of = |lift| {
            free_arc_deg(Amplitude::from_deg(270.0), LiftAngle::from_deg(lift).unwrap()).unwrap()
        };
        assert!((of(27.5) - 512.5).abs() < 1e-9 && (of(50.0) - 490.0).abs() < 1e-9);
        let stopped = free_arc_deg(Amplitude::from_deg(20.0), LiftAngle::from_deg(50.0).unwrap());
        assert!(stopped.unwrap_err().to_string().ends_with("nothing of the swing is free"));
    }

    /// bib:playtner1910: 1 1/2 degrees at 7.5 mm are .0982 (printed .0983); at 8.5 mm by arithmetic
    /// .1113.
    #[test]
    fn drop_in_millimetres() {
        assert!((drop_at_wheel_mm(7.5, 1.5).unwrap() - 0.0982).abs() < 0.000_05);
        assert!((drop_at_wheel_mm(8.5, 1.5).unwrap() - 0.1113).abs() < 0.000_05);
    }

    #[test]
    fn uncertainties_and_refusals() {
        let measured = LeverAngles { run_deg: Measured::new(0.25, 0.3), ..playtner(3.0) };
        let work = measured.work().unwrap();
        assert!((work.balance_lift_deg.sd - 0.9).abs() < 1e-12);
        let no_lock = LeverAngles { lock_deg: exactly(0.0), ..playtner(3.0) };
        assert_eq!(no_lock.work().unwrap_err().to_string(), "the lock must be above zero, not 0");
    }
}
