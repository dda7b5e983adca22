//! What the watch's movement in writing says of its balances.

use calibre::Calibre;
use horology::balance::BalanceFacts;
use horology::train::Running;
use quantities::BeatFrequency;

/// The movement as it was written down; nothing where nobody did, or where it cannot be read, which
/// its own page says.
pub(super) struct Known(Option<Calibre>);

impl Known {
    pub(super) fn of(movement: &str) -> Self {
        Self(calibre::read(movement).ok())
    }

    /// What is known of a balance of the sheet. A balance is found by its letter; the only one of a
    /// movement needs none.
    pub(super) fn facts(
        &self,
        labels: &[String],
        n: usize,
        beat: Option<BeatFrequency>,
    ) -> BalanceFacts {
        let beat_alone = BalanceFacts { beat, ..BalanceFacts::default() };
        let Some(calibre) = &self.0 else { return beat_alone };
        let [label, ..] = &labels[n..] else { return beat_alone };
        let balances = &calibre.movement.parts().balances;
        let by_letter = balances.iter().position(|balance| balance.name == *label);
        let only = (balances.len() == 1 && labels.len() == 1).then_some(0);
        let written = by_letter.or(only).and_then(|place| calibre.balances.get(place));
        // Pieces that contradict each other are told on the movement's own page.
        written.and_then(|known| BalanceFacts::of(&known.knowns, beat).ok()).unwrap_or(beat_alone)
    }

    /// The hands that hang on the balances of these letters; none where nobody wrote that down.
    pub(super) fn hands_on(&self, labels: [&str; 2]) -> [Vec<String>; 2] {
        let none = [Vec::new(), Vec::new()];
        let Some(calibre) = &self.0 else { return none };
        let Ok(running) = Running::of(&calibre.movement) else { return none };
        labels.map(|label| {
            running.hands_on(&calibre.movement, label).into_iter().map(str::to_owned).collect()
        })
    }
}
