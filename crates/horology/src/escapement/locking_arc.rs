use super::error::{EscapementError, not_negative};

/// Degrees in a turn.
const TURN_DEG: f64 = 360.0;

/// Arc at the escape wheel between the two points of locking, degrees, for pallets that span so
/// many teeth: `(spanned - 1/2)` tooth pitches (bib:playtner1910: 60 for 15 teeth with three
/// spanned, two and a half spaces).
///
/// # Errors
/// [`EscapementError::Span`] for no teeth spanned, or more than half of the wheel.
pub fn locking_arc_deg(teeth: u32, spanned: u32) -> Result<f64, EscapementError> {
    if spanned == 0 || spanned > teeth / 2 {
        return Err(EscapementError::Span { spanned, teeth });
    }
    Ok((f64::from(spanned) - 0.5) * TURN_DEG / f64::from(teeth))
}

/// Drop, degrees of the escape wheel, left by tooth and pallet of these widths: half of the tooth
/// pitch less both (bib:playtner1910: 4 1/2 + 6 + 1 1/2 = 12, half of 24).
///
/// # Errors
/// [`EscapementError::NoDrop`]; [`EscapementError::Negative`] for a width;
/// [`EscapementError::Span`] for a wheel without teeth.
pub fn drop_deg_from_widths(
    teeth: u32,
    tooth_deg: f64,
    pallet_deg: f64,
) -> Result<f64, EscapementError> {
    if teeth == 0 {
        return Err(EscapementError::Span { spanned: 0, teeth });
    }
    let taken_deg = not_negative("width of the tooth", tooth_deg)?
        + not_negative("width of the pallet", pallet_deg)?;
    let half_pitch_deg = 0.5 * TURN_DEG / f64::from(teeth);
    if taken_deg >= half_pitch_deg {
        return Err(EscapementError::NoDrop { taken_deg, half_pitch_deg });
    }
    Ok(half_pitch_deg - taken_deg)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// bib:playtner1910: 60 degrees for 15 teeth, 56 1/4 for 16, 84 with four teeth spanned.
    #[test]
    fn arcs_of_1910() {
        assert_eq!(locking_arc_deg(15, 3), Ok(60.0));
        assert_eq!(locking_arc_deg(16, 3), Ok(56.25));
        assert_eq!(locking_arc_deg(15, 4), Ok(84.0));
        assert_eq!(drop_deg_from_widths(15, 4.5, 6.0), Ok(1.5));
    }

    #[test]
    fn refuses_what_jams() {
        assert_eq!(
            drop_deg_from_widths(15, 5.0, 7.0).unwrap_err().to_string(),
            "tooth and pallet take 12.000 degrees of the 12.000 between two beats of this wheel and \
             leave no drop; the teeth would jam"
        );
        assert_eq!(
            locking_arc_deg(15, 8).unwrap_err().to_string(),
            "pallets cannot span 8 teeth of a wheel of 15"
        );
        assert!(drop_deg_from_widths(0, 1.0, 1.0).is_err());
    }
}
