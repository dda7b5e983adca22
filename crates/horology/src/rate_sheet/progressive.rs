use super::bounds::checked;
use super::error::SheetError;
use quantities::Measured;

/// One reading of a watch that is not set between readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ProgressiveReading {
    /// Days since the reading before, or since it was set.
    pub days: f64,
    /// Time shown less true time, s: ahead is positive.
    pub ahead_s: Measured,
}

/// Daily rates, s/d, from readings of a watch that is not reset: the difference of successive
/// readings over the time between them (bib:kleinlein1920, chapters XIII and XIV).
///
/// `set_to_s` is how far ahead it was when it was set: usually nought, give or take what the hand
/// was set by. Each reading ends one day and begins the next, so an error in it makes one day fast
/// and the other slow: neighbouring days are not independent. The uncertainties given are those of
/// each day alone.
///
/// # Errors
/// [`SheetError::NotANumber`], [`SheetError::NoTimeBetween`].
pub fn daily_rates_from_progressive(
    set_to_s: Measured,
    readings: &[ProgressiveReading],
) -> Result<Vec<Measured>, SheetError> {
    let mut before = checked("reading", set_to_s)?;
    let mut rates = Vec::with_capacity(readings.len());
    for (index, reading) in readings.iter().enumerate() {
        let ahead = checked("reading", reading.ahead_s)?;
        if !(reading.days > 0.0 && reading.days.is_finite()) {
            return Err(SheetError::NoTimeBetween { number: index + 1, days: reading.days });
        }
        rates.push(ahead.minus(before).scaled(1.0 / reading.days));
        before = ahead;
    }
    Ok(rates)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rate_sheet::{Cell, RateSheet, Wind};
    use crate::stance::{Pendant, Stance, Upright};

    /// One line of a card: progressive readings in the order dial up, dial down, pendant up, right,
    /// left; the daily rates; the spread.
    type Line = (&'static [f64], &'static [f64], f64);

    /// bib:kleinlein1920, chapters XIII and XIV, examples 1 to 10, before and after correction. He
    /// prints whole seconds.
    const CARDS: [Line; 23] = [
        (&[1.0, 0.0, 10.0], &[1.0, -1.0, 10.0], 11.0),
        (&[4.0, 7.0, 14.0], &[4.0, 3.0, 7.0], 4.0),
        (&[2.0, 2.0, 37.0], &[2.0, 0.0, 35.0], 35.0),
        (&[7.0, 14.0, 29.0], &[7.0, 7.0, 15.0], 8.0),
        (&[7.0, 14.0, 24.0], &[7.0, 7.0, 10.0], 3.0),
        (&[-9.0, -18.0, -46.0], &[-9.0, -9.0, -28.0], 19.0),
        (&[5.0, 8.0, 9.0], &[5.0, 3.0, 1.0], 4.0),
        (&[2.0, 4.0, -6.0], &[2.0, 2.0, -10.0], 12.0),
        (&[2.0, 6.0, 9.0], &[2.0, 4.0, 3.0], 2.0),
        (&[1.0, 2.0, 4.0, 22.0, 20.0], &[1.0, 1.0, 2.0, 18.0, -2.0], 20.0),
        (&[3.0, 7.0, 8.0, 12.0, 8.0], &[3.0, 4.0, 1.0, 4.0, -4.0], 8.0),
        (&[8.0, 16.0, 0.0, 4.0, -1.0], &[8.0, 8.0, -16.0, 4.0, -5.0], 24.0),
        (&[2.0, 3.0, 2.0, -1.0, -6.0], &[2.0, 1.0, -1.0, -3.0, -5.0], 7.0),
        (&[0.0, 0.0, 14.0, 4.0, 16.0], &[0.0, 0.0, 14.0, -10.0, 12.0], 24.0),
        (&[-2.0, -5.0, -21.0, -19.0, -25.0], &[-2.0, -3.0, -16.0, 2.0, -6.0], 18.0),
        (&[-1.0, -1.0, -4.0, -5.0, -3.0], &[-1.0, 0.0, -3.0, -1.0, 2.0], 5.0),
        (&[2.0, 5.0, -1.0, -8.0, -17.0], &[2.0, 3.0, -6.0, -7.0, -9.0], 12.0),
        (&[-4.0, -8.0, -14.0, -21.0, -25.0], &[-4.0, -4.0, -6.0, -7.0, -4.0], 3.0),
        (&[2.0, -3.0, 1.0, 7.0, 9.0], &[2.0, -5.0, 4.0, 6.0, 2.0], 11.0),
        (&[-5.0, -10.0, -6.0, 0.0, 2.0], &[-5.0, -5.0, 4.0, 6.0, 2.0], 11.0),
        (&[2.0, 4.0, 9.0, 10.0, 14.0], &[2.0, 2.0, 5.0, 1.0, 4.0], 4.0),
        (&[-3.0, -8.0, 4.0, 0.0, -6.0], &[-3.0, -5.0, 12.0, -4.0, -6.0], 18.0),
        (&[-1.0, -2.0, -6.0, -4.0, -7.0], &[-1.0, -1.0, -4.0, 2.0, -3.0], 6.0),
    ];

    #[test]
    fn ten_rating_cards() {
        let order = [
            Stance::DialUp,
            Stance::DialDown,
            Stance::Upright(Upright::of_pendant(Pendant::Up, 0)),
            Stance::Upright(Upright::of_pendant(Pendant::Right, 0)),
            Stance::Upright(Upright::of_pendant(Pendant::Left, 0)),
        ];
        for (ahead, daily, spread) in CARDS {
            let readings: Vec<ProgressiveReading> = ahead
                .iter()
                .map(|&s| ProgressiveReading { days: 1.0, ahead_s: Measured::new(s, 0.3) })
                .collect();
            let got = daily_rates_from_progressive(Measured::new(0.0, 0.4), &readings).unwrap();
            let values: Vec<f64> = got.iter().map(|rate| rate.value).collect();
            assert_eq!(values, daily, "{ahead:?}");
            // Set to 0.4 s, read to 0.3 s.
            assert!((got[0].sd - 0.5).abs() < 1e-12 && (got[1].sd - 0.424).abs() < 0.001);
            let mut sheet = RateSheet::new(0.0).unwrap();
            for (rate, stance) in got.into_iter().zip(order) {
                sheet
                    .put(Cell {
                        balance: 0,
                        wind: Wind::FULL,
                        stance,
                        rate_s_per_d: rate,
                        amplitude_deg: None,
                        beat_error_ms: None,
                    })
                    .unwrap();
            }
            let column = sheet.column(0, Wind::FULL).unwrap();
            assert_eq!(column.spread().unwrap().s_per_d.measured.value, spread, "{ahead:?}");
        }
    }

    #[test]
    fn refuses_readings_without_time_between() {
        let at = |days| ProgressiveReading { days, ahead_s: Measured::new(1.0, 0.0) };
        let of = |readings: &[_]| daily_rates_from_progressive(Measured::new(0.0, 0.0), readings);
        assert_eq!(
            of(&[at(1.0), at(0.0)]).unwrap_err().to_string(),
            "reading 2 was taken 0 days after the one before; the time between two readings must \
             be above zero"
        );
        // Half a day counts double.
        assert_eq!(of(&[at(0.5)]).unwrap()[0].value, 2.0);
    }
}
