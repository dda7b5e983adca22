use quantities::Position;

/// Days of the test.
pub const DAYS: usize = 15;

/// One day of the test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ScheduledDay {
    /// Which, from 1.
    pub day: usize,
    /// How the watch lies, for a crown at 3.
    pub position: Position,
    /// Temperature, °C; held to one degree either way (bib:cosc).
    pub temperature_deg_c: f64,
    /// Whether a chronograph's mechanism runs, where the watch has one.
    pub chronograph_runs: bool,
}

/// Fifteen days, each of 24 hours, wound at the start of each.
///
/// As reported by bib:tendance-horlogerie; five positions, three temperatures and fifteen days
/// agree with bib:cosc, which also wants the watch kept 12 hours at 23 °C before the start. 12H is
/// never used.
#[must_use]
pub fn schedule() -> [ScheduledDay; DAYS] {
    std::array::from_fn(|index| {
        let day = index + 1;
        ScheduledDay {
            day,
            position: match day {
                1 | 2 | 14 | 15 => Position::H6,
                3 | 4 => Position::H3,
                5 | 6 => Position::H9,
                7 | 8 => Position::FH,
                _ => Position::CH,
            },
            temperature_deg_c: match day {
                11 => 8.0,
                13 => 38.0,
                _ => 23.0,
            },
            chronograph_runs: day == 10,
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// bib:cosc: five positions, three temperatures. bib:tendance-horlogerie: the crown (at 3)
    /// left, up, down is 6H, 3H, 9H uppermost.
    #[test]
    fn five_positions_and_three_temperatures() {
        let days = schedule();
        let at = |position| -> Vec<usize> {
            days.iter().filter(|d| d.position == position).map(|d| d.day).collect()
        };
        assert_eq!(at(Position::H6), [1, 2, 14, 15]);
        assert_eq!(at(Position::H3), [3, 4]);
        assert_eq!(at(Position::H9), [5, 6]);
        assert_eq!(at(Position::FH), [7, 8]);
        assert_eq!(at(Position::CH), [9, 10, 11, 12, 13]);
        assert_eq!(at(Position::H12), []);
        let warm: Vec<(usize, f64)> = days
            .iter()
            .filter(|d| d.temperature_deg_c != 23.0)
            .map(|d| (d.day, d.temperature_deg_c))
            .collect();
        assert_eq!(warm, [(11, 8.0), (13, 38.0)]);
        assert_eq!(days.iter().filter(|d| d.chronograph_runs).count(), 1);
        assert!(days[9].chronograph_runs);
    }
}
