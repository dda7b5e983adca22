//! What a disturbance could be where the train is unknown.

use super::super::{Cycle, CycleKind, Ratio};

/// Teeth of usual escape wheels: 15 (bib:escapements1904, bib:student-answers), 16
/// (bib:playtner1910), 30 in clocks (bib:goodrich1905, table of chapter XIV); 18, 20 and 21 are common
/// practice in watches of quick beat, no published source.
const ESCAPE_TEETH: [u128; 6] = [15, 16, 18, 20, 21, 30];
/// Leaves of usual pinions: those of the table of bib:goodrich1905, chapter XIV, but for the 14 and 16
/// of regulators.
const LEAVES: std::ops::RangeInclusive<u128> = 6..=12;

/// What repeats in usual movements with a balance of this beat: a turn of an escape wheel, 2 beats a
/// tooth; the seconds wheel; the teeth of the pinion before each. Old books that have a damaged
/// escape wheel show "every fifteen beats" (bib:hasluck1918, chapter 15) count a balance there and
/// back: 30 beats here.
///
/// Where two numbers of teeth give the same period, both are there. Empty for a beat that is absurd.
#[must_use]
pub fn usual_cycles(beats_per_hour: Ratio) -> Vec<Cycle> {
    all(beats_per_hour).unwrap_or_default()
}

fn all(beats_per_hour: Ratio) -> Option<Vec<Cycle>> {
    let beat_s = Ratio::whole(3600)?.over(beats_per_hour)?;
    let of_beats = |name: String, kind, beats: Ratio| {
        let period_s = beats.times(beat_s)?;
        Some(Cycle { name, kind, train: 0, arbors: Vec::new(), period_s, beats: Some(beats) })
    };
    let minute = Ratio::whole(60)?.over(beat_s)?;
    let name = "turn of a seconds wheel (fourth wheel)".to_owned();
    let mut cycles = vec![of_beats(name, CycleKind::Turn, minute)?];
    for leaves in LEAVES {
        let name = format!("teeth of a third wheel and a seconds pinion of {leaves}");
        cycles.push(of_beats(name, CycleKind::Tooth, minute.over(Ratio::whole(leaves)?)?)?);
    }
    for teeth in ESCAPE_TEETH {
        let turn = Ratio::whole(2 * teeth)?;
        let name = format!("turn of an escape wheel of {teeth} teeth");
        cycles.push(of_beats(name, CycleKind::Turn, turn)?);
        for leaves in LEAVES {
            let name = format!(
                "teeth of a fourth wheel and an escape pinion of {leaves}, with an escape wheel of \
                 {teeth}"
            );
            cycles.push(of_beats(name, CycleKind::Tooth, turn.over(Ratio::whole(leaves)?)?)?);
        }
    }
    cycles.sort_by(|one, other| one.period_s.to_f64().total_cmp(&other.period_s.to_f64()));
    Some(cycles)
}
