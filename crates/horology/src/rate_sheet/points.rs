use quantities::Measured;

/// Category of a watch in the observatory competitions, by the diameter of its movement.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ObservatoryCategory {
    /// Over 43 mm.
    A,
    /// 38 to 43 mm.
    B,
    /// 30 to 38 mm.
    C,
    /// Under 30 mm.
    D,
}

impl ObservatoryCategory {
    fn factor(self) -> f64 {
        match self {
            Self::A => 1.0,
            Self::B => 0.95,
            Self::C => 0.75,
            Self::D => 0.6,
        }
    }
}

/// Errors of a watch as an observatory found them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ObservatoryErrors {
    /// Mean departure of the daily rate, s/d: S.
    pub daily_s_per_d: Measured,
    /// Mean departure on a change of position, s/d: S'.
    pub position_s_per_d: Measured,
    /// Primary error of compensation, s/d per °C: e.
    pub compensation_s_per_d_per_deg_c: Measured,
    /// Secondary error of compensation, s/d: F.
    pub secondary_s_per_d: Measured,
    /// Rate resumption, s/d: r.
    pub resumption_s_per_d: Measured,
}

/// Points in the competitions of Geneva from 1953 to 1968: `60 - f (40 S + 10 S' + 100 e + 2 F + 2
/// r)` (bib:geneva-competitions). Errors count as sizes; those given count as independent.
#[must_use]
pub fn observatory_points(category: ObservatoryCategory, errors: &ObservatoryErrors) -> Measured {
    let weighed = [
        (40.0, errors.daily_s_per_d),
        (10.0, errors.position_s_per_d),
        (100.0, errors.compensation_s_per_d_per_deg_c),
        (2.0, errors.secondary_s_per_d),
        (2.0, errors.resumption_s_per_d),
    ];
    let factor = category.factor();
    weighed.iter().fold(Measured::new(60.0, 0.0), |points, (weight, error)| {
        let part = error.scaled(factor * weight);
        Measured::new(points.value - part.value.abs(), points.sd.hypot(part.sd))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The formula is bib:geneva-competitions'; the errors are invented, the arithmetic was done by
    /// hand: 4 + 2 + 1 + 0.2 + 0.4 = 7.6, so 52.40 in A and 60 - 0.6 x 7.6 = 55.44 in D.
    #[test]
    fn points_of_an_invented_watch() {
        let of = |value| Measured::new(value, 0.0);
        let errors = ObservatoryErrors {
            daily_s_per_d: Measured::new(0.1, 0.01),
            position_s_per_d: of(0.2),
            compensation_s_per_d_per_deg_c: of(-0.01),
            secondary_s_per_d: of(0.1),
            resumption_s_per_d: of(0.2),
        };
        let a = observatory_points(ObservatoryCategory::A, &errors);
        assert!((a.value - 52.40).abs() < 1e-9 && (a.sd - 0.4).abs() < 1e-12, "{a:?}");
        let d = observatory_points(ObservatoryCategory::D, &errors);
        assert!((d.value - 55.44).abs() < 1e-9, "{d:?}");
    }
}
