//! A watch in its fifteen days, more than half of them gone.

use crate::NotMade;
use crate::workshop::{Workshop, known};
use jobs::{Stage, Trial, TrialRate, TrialSize, Watch};

/// Daily rates so far, s/d: two days each in 6H, 3H, 9H, FH and CH.
const RATES_S_PER_D: [f64; 10] = [2.1, 1.6, 0.4, 1.1, -2.3, -0.9, 3.2, 2.6, 4.4, 3.7];

/// A watch that is being tried, on its eleventh day, the cold one.
pub(crate) async fn half_way(shop: &Workshop<'_>) -> Result<(), NotMade> {
    let came = shop.ago(24, 3);
    let owner = shop.owner(&came, "Noor Halvorsen", "noor@example.org").await?;
    let watch = Watch {
        owner: Some(owner),
        description: "Wrist watch, steel, centre seconds".into(),
        calibre: "12 lignes, hand wound".into(),
        balances: vec![known(51.0, 21_600.0)],
        ..Watch::default()
    };
    let begun = shop.ago(10, 2);
    let moves = [
        (Stage::Estimate, &shop.ago(23, 0)),
        (Stage::TakeDown, &shop.ago(18, 4)),
        (Stage::CleanAndInspect, &shop.ago(17, 0)),
        (Stage::Rebuild, &shop.ago(14, 1)),
        (Stage::Regulate, &shop.ago(12, 3)),
        (Stage::FinalTests, &begun),
    ];
    let complaint = "Its owner wishes to know how well it can go.";
    let job = shop.job(&came, watch, complaint, &moves, |_| {}).await?;
    let mut trial = Trial {
        job: job.id,
        balance: String::new(),
        size: TrialSize::Over20Mm,
        begun: begun.at,
        rate_sd_s_per_d: 0.2,
        days: [None; Trial::DAYS],
        note: "State taken every morning against the radio signal.".into(),
    };
    let mut kept = shop.store.create(&begun, trial.clone()).await?;
    for (day, rate) in RATES_S_PER_D.into_iter().enumerate() {
        trial.days[day] = Some(TrialRate::entered(rate));
        let read = shop.ago(9 - i64::try_from(day).unwrap_or(0), 2);
        kept = shop.store.change(&read, kept.id, kept.version, trial.clone()).await?;
    }
    Ok(())
}
