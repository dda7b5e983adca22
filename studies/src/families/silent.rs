//! No watch at all.

use crate::recordings::{Recording, Told};
use truth::scenarios::{NoWatch, no_watch};

/// The kinds, in the order of the seeds.
pub(crate) const SILENT_KINDS: [&str; 6] =
    ["noise", "speech-like", "music-like", "hum", "random clicks", "silence"];

/// No watch; the seed's remainder by six says what is heard instead. Nothing is told.
pub(crate) fn none(seed: u64) -> Recording {
    let kinds = NoWatch::ALL.len() as u64;
    let kind = (seed % kinds) as usize;
    let scenario = no_watch(NoWatch::ALL[kind], seed / kinds);
    Recording { told: Told::default(), ..Recording::new(SILENT_KINDS[kind], scenario) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_those_of_the_kinds() {
        let names = ["Noise", "Speech", "Music", "Hum", "Clicks", "Silence"];
        assert_eq!(NoWatch::ALL.map(|k| format!("{k:?}")), names.map(str::to_owned));
        for seed in 0..120 {
            assert_eq!(none(seed).scenario.check(), Ok(()), "seed {seed}");
        }
    }
}
