//! What to take care of at the step where it can hurt somebody or the watch. Common practice, no
//! published source, unless a source is named.

use horology::final_tests::Means;

/// Whose word goes before ours, where there is pressure.
const PRESSURE_CODES: &str = "Keep to the instructions of the tester, to the rules for vessels \
    under pressure where you work, and leave to a licensed workshop what you are not equipped for.";

const DRY_FIRST: &str = "Test dry first. A wet test only after a dry one that passed, and never with a \
    watch that is known to leak: water that gets in ruins it.";

const BURST: &str = "Glass and case can burst. Close the shield, keep face and hands away, wear eye \
    protection, and raise and let off the pressure slowly.";

const OLD_GLASS: &str = "Cracked or glued glasses, old cases and watches without a mark are not put \
    under pressure: agree the risk with the owner before.";

const SCALD: &str = "The plate is hot enough to hurt: 40 to 45\u{a0}°C is enough for the test. Wipe the \
    drop off before you look.";

/// bib:epa-antiques
const LUMINOUS: &str = "Luminous paint of old watches may hold radium. Where it crumbles, do not open, \
    heat or flood the watch; keep to the rules for radioactive matter where you work.";

/// Of a way of testing against water.
#[must_use]
pub fn water(means: Means) -> Vec<&'static str> {
    match means {
        Means::Air => vec![BURST, OLD_GLASS, LUMINOUS, PRESSURE_CODES],
        Means::Water | Means::LowPressure | Means::CrownPressed => {
            vec![DRY_FIRST, BURST, OLD_GLASS, LUMINOUS, PRESSURE_CODES]
        }
        Means::Immersion | Means::Warmth | Means::Salt => vec![DRY_FIRST, LUMINOUS],
        Means::Condensation => vec![SCALD, LUMINOUS],
    }
}

/// Of a strong field.
pub const MAGNETISM: &[&str] = &[
    "Strong fields disturb pacemakers, hearing aids and other implants: nobody who wears one comes \
     near, and the place is marked.",
    "Keep cards, disks, phones and other watches away. Loose steel tools are drawn in.",
];

/// Whose word goes before ours, where there are strong fields.
pub const MAGNETISM_CODES: &str = "Keep to the instructions of the device and to the rules for strong \
    fields where you work.";

/// Of running a watch down.
pub const RUNNING: &[&str] =
    &["Let the train run down by itself: letting down a wound mainspring by \
    the click can hurt fingers and eyes."];

/// Of a wet test of a watch that was not tested dry.
pub const NO_DRY_TEST: &str =
    "No dry test of this job is entered. Test dry first: water that gets in ruins the watch.";

/// Of a wet test of a watch that is known to leak.
pub const DRY_TEST_FAILED: &str = "The dry test of this job failed: it leaks. Do not test it wet.";

/// Of a wet test of a watch of which a dry test does not tell.
pub const DRY_TEST_OPEN: &str =
    "The dry test of this job does not tell whether it is tight. Settle that before a wet test.";
