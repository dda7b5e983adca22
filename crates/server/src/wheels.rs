//! Which wheels disturb the balances of a reading, by what is known of the watch's movement.

use crate::convert::{repeats, series};
use crate::wire;
use beats::{Disturbed, Repeats};
use horology::train::{Cycle, Running};
use quantities::BeatFrequency;
use words::LookedUpIn;

/// The train of a watch.
pub(crate) enum Train {
    /// Everything that repeats in it, and on which of its trains each balance hangs.
    Known { cycles: Vec<Cycle>, balances: Vec<(String, usize)> },
    /// Why nothing can be looked up in it, a sentence.
    Unknown(String),
}

/// What can be looked up in a movement's written form.
pub(crate) fn train(movement: &str) -> Train {
    if movement.trim().is_empty() {
        let words =
            "The train of this watch is unknown: what repeats is looked up in usual trains.";
        return Train::Unknown(words.into());
    }
    let cannot = |why: String| {
        Train::Unknown(format!(
            "The movement as it is written down cannot be used: {why} What repeats is looked up in \
             usual trains."
        ))
    };
    let calibre = match calibre::read(movement) {
        Ok(calibre) => calibre,
        Err(unfit) => return cannot(unfit.to_string()),
    };
    if let Some(unknown) = calibre.unknowns.first() {
        let name = calibre.movement.toothed_name(unknown.at);
        return cannot(format!("the teeth of the {name} are missing."));
    }
    let running = match Running::of(&calibre.movement) {
        Ok(running) => running,
        Err(impossible) => return cannot(impossible.to_string()),
    };
    let names = calibre.movement.parts().balances.iter().map(|balance| balance.name.clone());
    let balances = names.zip(running.balances.iter().map(|runs| runs.train)).collect();
    match running.cycles(&calibre.movement) {
        Ok(cycles) if cycles.iter().any(|cycle| cycle.beats.is_some()) => {
            Train::Known { cycles, balances }
        }
        Ok(_) => cannot("no train of it has a balance.".into()),
        Err(impossible) => cannot(impossible.to_string()),
    }
}

/// What disturbs one balance, and which cycles it was looked up among.
pub(crate) struct Looked {
    repeats: Vec<Repeats>,
    /// Each with its place among the cycles.
    pub(crate) disturbed: Vec<Disturbed>,
    pub(crate) cycles: Vec<Cycle>,
    pub(crate) looked_up_in: LookedUpIn,
}

/// What is kept of a balance, looked up in its train; nothing where nobody searched it yet. Where the
/// movement calls a balance by this letter it is the train of that one; else of all whose beat fits.
pub(crate) fn look_up(balance: &jobs::BalanceReading, train: &Train) -> Option<Looked> {
    let repeats: Vec<Repeats> = balance.repeats.as_ref()?.iter().map(repeats).collect();
    let (cycles, looked_up_in) = match train {
        Train::Known { cycles, balances } => {
            let own = balances.iter().find(|(name, _)| *name == balance.label);
            let is_own = |cycle: &&Cycle| own.is_none_or(|(_, train)| cycle.train == *train);
            (cycles.iter().filter(is_own).cloned().collect(), LookedUpIn::Movement)
        }
        Train::Unknown(_) => {
            let nominal = balance.beats_per_hour.and_then(|n| BeatFrequency::from_per_hour(n).ok());
            (nominal.map(beats::usual_cycles_at).unwrap_or_default(), LookedUpIn::Usual)
        }
    };
    let heard = balance.measured_beats_per_hour;
    let disturbed =
        |one: &Repeats| heard.map_or_else(Vec::new, |heard| one.disturbed(heard, &cycles));
    let disturbed = repeats.iter().flat_map(disturbed).collect();
    Some(Looked { repeats, disturbed, cycles, looked_up_in })
}

/// All of it in words.
pub(crate) fn told(label: &str, looked: &Looked) -> wire::BalanceWheels {
    let Looked { repeats, disturbed, cycles, looked_up_in } = looked;
    let found = disturbed.iter().map(|one| {
        let said = words::wheel(label, one, cycles, *looked_up_in);
        wire::RepeatingWheel {
            series: series(one.series),
            what: said.what,
            size: said.size,
            from: said.from,
            chances: said.chances,
            is_sure: said.is_sure,
            period_s: one.peak.period_s,
            period_beats: one.named.disturbance.beats.value,
            half_swing: one.peak.semi_amplitude,
            chance_of_peak: one.named.disturbance.chance,
            chance_of_match: one.named.chance_of_match,
        }
    });
    wire::BalanceWheels {
        label: label.to_owned(),
        found: found.collect(),
        searched: words::searched(repeats),
        pictures: repeats.iter().map(|one| series(one.series)).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const WHOLE: &str = include_str!("../../calibre/tests/whole.toml");

    fn why(movement: &str) -> String {
        match train(movement) {
            Train::Known { .. } => "known".into(),
            Train::Unknown(why) => why,
        }
    }

    #[test]
    fn a_train_that_cannot_be_used_says_why() {
        assert_eq!(why(WHOLE), "known");
        assert!(why(" ").starts_with("The train of this watch is unknown:"));
        assert!(why("[[arbor]").contains("cannot be used: line 1"), "{}", why("[[arbor]"));
        let lost = WHOLE.replace("wheel = 70", "wheel = \"?\"");
        assert!(
            why(&lost).contains("the teeth of the fourth wheel are missing."),
            "{}",
            why(&lost)
        );
    }

    /// Two trains with the same teeth: by its letter a balance is looked up in its own alone.
    #[test]
    fn a_balance_is_looked_up_in_its_own_train() {
        let train = train(include_str!("../../demo/src/two_trains.toml"));
        let of = |label: &str| {
            let balance = jobs::BalanceReading {
                label: label.into(),
                beats_per_hour: Some(28_800.0),
                measured_beats_per_hour: Some(28_800.0),
                beats_used: 240,
                beats_expected: 240,
                repeats: Some(vec![jobs::Repeats {
                    of: jobs::RepeatsIn::Timing,
                    beat_s: 0.125,
                    shortest_period_s: 0.34,
                    longest_period_s: 16.6,
                    each_beat: true,
                    least_seen: 0.02,
                    waves: vec![jobs::RepeatingWave {
                        // An escape wheel of 20 teeth turns in 40 beats of an eighth of a second.
                        period_s: quantities::Measured::new(5.0, 0.01),
                        half_swing: 0.1,
                        chance: 1e-6,
                    }],
                }]),
                ..jobs::BalanceReading::default()
            };
            let told = told(label, &look_up(&balance, &train).unwrap());
            told.found[0].from.clone()
        };
        assert_eq!(of("A"), "a turn of the left escape arbor");
        assert_eq!(of("B"), "a turn of the right escape arbor");
        assert!(of("C").starts_with("cannot be told apart: "), "{}", of("C"));
    }
}
