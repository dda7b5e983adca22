//! What the target `calibre` does with its bytes; `crates/calibre/tests/fuzzed.rs` does the same with
//! the corpus.

use horology::mainspring::{Barrel, Spring};
use horology::train::Running;
use horology::train::missing::{Wanted, missing_teeth};
use quantities::Measured;

/// Bytes as a movement that a person wrote: one that can be worked out, and for all else a sentence
/// with a line that is there.
pub(crate) fn feed(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    match calibre::read(text) {
        Ok(calibre) => {
            if let Ok(running) = Running::of(&calibre.movement) {
                assert_eq!(running.arbors.len(), calibre.movement.parts().arbors.len());
                let _ = running.cycles(&calibre.movement);
                for problem in &running.problems {
                    assert!(problem.to_string().ends_with('.'), "no sentence: {problem}");
                }
            }
            for spring in &calibre.mainsprings {
                assert!(spring.barrel < calibre.movement.parts().barrels.len());
                assert!(spring.thickness_mm.value > 0.0 && spring.thickness_mm.sd >= 0.0);
                let height_mm = spring.barrel_height_mm.map(|height| height.value);
                let (inner, arbor) = (spring.inner_diameter_mm, spring.arbor_diameter_mm);
                let Ok(barrel) = Barrel::new(inner, arbor, height_mm) else { continue };
                let Ok(best_mm) = barrel.best_length_mm(spring.thickness_mm.value) else {
                    continue;
                };
                let length_mm = spring.length_mm.unwrap_or(Measured::new(best_mm, 0.0));
                let strip = Spring {
                    thickness_mm: spring.thickness_mm,
                    length_mm,
                    height_mm: spring.height_mm,
                    coils_free: spring.coils_free,
                };
                if let Ok(fitted) = barrel.fitted(&strip) {
                    assert!(fitted.turns().value.is_finite());
                }
            }
            for balance in &calibre.balances {
                let _ = balance.knowns.complete();
            }
            let wanted = Wanted { unknowns: calibre.unknowns, within_s_per_d: 60.0 };
            if let Ok(answers) = missing_teeth(&calibre.movement, &wanted) {
                let within = |rate: f64| rate.abs() <= 60.0;
                assert!(answers.good.iter().all(|answer| within(answer.worst().s_per_d())));
            }
        }
        Err(unfit) => {
            let lines = text.matches('\n').count() + 1;
            assert!(unfit.line.is_none_or(|line| (1..=lines).contains(&line)), "{unfit}");
            let sentence = unfit.to_string();
            assert!(sentence.ends_with('.') && !sentence.contains('\n'), "no sentence: {sentence}");
        }
    }
}
