use crate::rate_sheet::Verdict;

/// How long a watch ran on its own.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RunSeen {
    /// Hours since it was wound, or since winding by wear ended, when it was last looked at.
    pub hours: f64,
    /// Whether it still ran then: it runs at least so long.
    pub still_ran: bool,
    /// Hours between looks, for a watch that was found stopped: it may have stopped at once after
    /// the look before.
    pub looked_every_hours: f64,
}

/// Whether it ran as long as is wanted, hours. Common practice, no published source: a running time is
/// the maker's or the workshop's own to name.
#[must_use]
pub fn running(seen: RunSeen, wanted_hours: f64) -> Verdict {
    if seen.still_ran {
        return if seen.hours >= wanted_hours { Verdict::Pass } else { Verdict::CannotTell };
    }
    // It ran beyond the look before, and had stopped at the last one.
    let ran_beyond = seen.hours - seen.looked_every_hours.max(0.0);
    if ran_beyond >= wanted_hours {
        Verdict::Pass
    } else if seen.hours < wanted_hours {
        Verdict::Fail
    } else {
        Verdict::CannotTell
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seen(hours: f64, still_ran: bool, looked_every_hours: f64) -> RunSeen {
        RunSeen { hours, still_ran, looked_every_hours }
    }

    /// By the meaning of the words: 40 h are wanted.
    #[test]
    fn a_run_is_judged_by_what_was_seen_of_it() {
        assert_eq!(running(seen(41.0, true, 0.0), 40.0), Verdict::Pass);
        assert_eq!(running(seen(39.0, true, 0.0), 40.0), Verdict::CannotTell);
        assert_eq!(running(seen(39.0, false, 0.0), 40.0), Verdict::Fail);
        assert_eq!(running(seen(43.0, false, 2.0), 40.0), Verdict::Pass);
        // It stopped some time in the night between 36 and 46.
        assert_eq!(running(seen(46.0, false, 10.0), 40.0), Verdict::CannotTell);
        assert_eq!(running(seen(f64::NAN, true, 0.0), 40.0), Verdict::CannotTell);
    }
}
