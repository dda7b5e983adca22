/// Most groups of neighbouring points: enough to tell a ripple of 100 turns, few enough for some
/// hundred passes in a millisecond or two.
const MOST_GROUPS: usize = 300;

/// Residuals averaged over groups of neighbouring points, in the order of `x`.
pub(super) struct Groups {
    /// Weighted mean of `x` in each group, about that of all points.
    pub(super) x: Vec<f64>,
    /// Weighted mean of the residuals in each group.
    pub(super) residual: Vec<f64>,
    /// Sum of the weights in each group.
    pub(super) weight: Vec<f64>,
    /// What one unit of residual in a group adds to the slope.
    pub(super) lever: Vec<f64>,
    /// Length in `x` over which a group averages; zero where groups are points.
    pub(super) width: f64,
    /// Weighted sum of squares of the points' residuals.
    pub(super) square_sum: f64,
}

impl Groups {
    /// None where all `x` with a weight are one. The slices are checked already.
    pub(super) fn new(x: &[f64], residuals: &[f64], weights: Option<&[f64]>) -> Option<Self> {
        let weight_of = |i: usize| weights.map_or(1.0, |weights| weights[i]);
        let mut order: Vec<usize> = (0..x.len()).filter(|&i| weight_of(i) > 0.0).collect();
        order.sort_by(|&a, &b| x[a].total_cmp(&x[b]));
        let points = order.len();
        let count = points.min(MOST_GROUPS);
        let (first, last) = (x[*order.first()?], x[*order.last()?]);
        let mut groups = Self {
            x: Vec::with_capacity(count),
            residual: Vec::with_capacity(count),
            weight: Vec::with_capacity(count),
            lever: Vec::new(),
            width: 0.0,
            square_sum: order.iter().map(|&i| weight_of(i) * residuals[i] * residuals[i]).sum(),
        };
        for k in 0..count {
            let members = &order[k * points / count..(k + 1) * points / count];
            let (mut weight, mut place, mut residual) = (0.0, 0.0, 0.0);
            for &i in members {
                weight += weight_of(i);
                place += weight_of(i) * (x[i] - first);
                residual += weight_of(i) * residuals[i];
            }
            groups.x.push(place / weight);
            groups.residual.push(residual / weight);
            groups.weight.push(weight);
        }
        let total: f64 = groups.weight.iter().sum();
        let place = groups.x.iter().zip(&groups.weight);
        let mean = place.map(|(x, w)| x * w).sum::<f64>() / total;
        for x in &mut groups.x {
            *x -= mean;
        }
        let spread: f64 = groups.x.iter().zip(&groups.weight).map(|(x, w)| w * x * x).sum();
        if !(spread.is_normal() && spread > 0.0) {
            return None;
        }
        groups.lever = groups.x.iter().zip(&groups.weight).map(|(x, w)| w * x / spread).collect();
        // A group of m evenly spaced points averages like a length that is shorter by 1 / m^2.
        let members = points as f64 / count as f64;
        groups.width = (last - first) / count as f64 * (1.0 - members.powi(-2));
        Some(groups)
    }

    pub(super) fn len(&self) -> usize {
        self.x.len()
    }

    /// From the first group to the last.
    pub(super) fn span(&self) -> f64 {
        match (self.x.first(), self.x.last()) {
            (Some(first), Some(last)) => last - first,
            _ => 0.0,
        }
    }

    /// Variance of the slope for white noise of unit variance at unit weight.
    pub(super) fn white_unit(&self) -> f64 {
        self.lever.iter().zip(&self.weight).map(|(h, w)| h * h / w).sum()
    }
}
