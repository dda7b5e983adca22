/// Standard deviation of a normal over its median absolute deviation: one over the upper quartile
/// of the standard normal, 0.67449.
pub const MAD_TO_SD: f64 = 1.482_602_218_505_602;

/// Middle value; the mean of the two middle ones where their number is even. None for no values or
/// a NaN among them.
#[must_use]
pub fn median(values: &[f64]) -> Option<f64> {
    quantile(values, 0.5)
}

/// [`median`], leaving the values in another order but copying nothing.
#[must_use]
pub fn median_in_place(values: &mut [f64]) -> Option<f64> {
    quantile_in_place(values, 0.5)
}

/// The value below which a fraction `p` (0 to 1) of the values lies, interpolated linearly between
/// neighbours: definition 7 of Hyndman and Fan (1996), the usual one of statistical software.
///
/// None for no values, a NaN among them, or a `p` outside 0 to 1.
#[must_use]
pub fn quantile(values: &[f64], p: f64) -> Option<f64> {
    quantile_in_place(&mut values.to_vec(), p)
}

/// [`quantile`], leaving the values in another order but copying nothing.
#[must_use]
pub fn quantile_in_place(values: &mut [f64], p: f64) -> Option<f64> {
    if values.is_empty() || !(0.0..=1.0).contains(&p) || values.iter().any(|v| v.is_nan()) {
        return None;
    }
    let place = p * (values.len() - 1) as f64;
    let below = place.floor();
    let (_, &mut lower, above) = values.select_nth_unstable_by(below as usize, f64::total_cmp);
    let share = place - below;
    if share == 0.0 {
        return Some(lower);
    }
    let upper = above.iter().copied().min_by(f64::total_cmp)?;
    Some(between(lower, upper, share))
}

/// The number a given share of the way from one to the other; not NaN between equal infinities.
pub(super) fn between(lower: f64, upper: f64, share: f64) -> f64 {
    if lower == upper { lower } else { lower * (1.0 - share) + upper * share }
}

/// The value with half of the weight on either side; where a value has exactly half below and
/// including it, the mean of it and the next. Values of weight zero count as absent.
///
/// None for slices of different length, no weight at all, a negative weight or one that is not
/// finite, or a NaN.
#[must_use]
pub fn weighted_median(values: &[f64], weights: &[f64]) -> Option<f64> {
    let good =
        |&(value, weight): &(f64, f64)| !value.is_nan() && weight >= 0.0 && weight.is_finite();
    let mut pairs: Vec<(f64, f64)> = values.iter().copied().zip(weights.iter().copied()).collect();
    if values.len() != weights.len() || !pairs.iter().all(good) {
        return None;
    }
    pairs.retain(|&(_, weight)| weight > 0.0);
    let half = pairs.iter().map(|&(_, weight)| weight).sum::<f64>() / 2.0;
    // Halve the candidates until one is left: the weight below them is known all the time.
    let (mut rest, mut below) = (&mut pairs[..], 0.0);
    let mut next_above: Option<f64> = None;
    while rest.len() > 1 {
        let middle = rest.len() / 2;
        let (low, pivot, _) = rest.select_nth_unstable_by(middle, |a, b| a.0.total_cmp(&b.0));
        let low_weight: f64 = low.iter().map(|&(_, weight)| weight).sum();
        if below + low_weight >= half {
            next_above = Some(pivot.0);
            rest = &mut rest[..middle];
        } else {
            below += low_weight;
            rest = &mut rest[middle..];
        }
    }
    let &mut (value, weight) = rest.first_mut()?;
    match next_above {
        Some(next) if below + weight == half => Some(between(value, next, 0.5)),
        _ => Some(value),
    }
}

/// Median of the distances from the median. Times [`MAD_TO_SD`] it estimates the standard
/// deviation of normal noise. None as for [`median`].
#[must_use]
pub fn median_absolute_deviation(values: &[f64]) -> Option<f64> {
    let mut distances = values.to_vec();
    let middle = median_in_place(&mut distances)?;
    for distance in &mut distances {
        *distance = if *distance == middle { 0.0 } else { (*distance - middle).abs() };
    }
    median_in_place(&mut distances)
}

/// Standard deviation of the normal noise among the values, little disturbed by outliers:
/// [`median_absolute_deviation`] times [`MAD_TO_SD`].
#[must_use]
pub fn robust_sd(values: &[f64]) -> Option<f64> {
    median_absolute_deviation(values).map(|mad| mad * MAD_TO_SD)
}
