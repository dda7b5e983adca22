//! What is done in a test, step by step.

use super::{temperature, time};
use horology::final_tests::{Means, WaterStep};

use super::limit;

/// What a way of testing against water is called.
#[must_use]
pub const fn water_means(means: Means) -> &'static str {
    match means {
        Means::Air => "dry, by air",
        Means::Water => "wet, under pressure",
        Means::LowPressure => "wet, low pressure afterwards",
        Means::Immersion => "lying in water",
        Means::CrownPressed => "crown pressed in water",
        Means::Warmth => "warm and cold water",
        Means::Salt => "salt water",
        Means::Condensation => "drop on the warm glass",
    }
}

/// Ways of which one is enough: "dry by air, or wet under pressure".
#[must_use]
pub fn water_one_of(means: &[Means]) -> String {
    match means {
        [one] => water_means(*one).to_owned(),
        several => {
            let all: Vec<String> =
                several.iter().map(|one| water_means(*one).replace(',', "")).collect();
            all.join(", or ")
        }
    }
}

/// "ISO 6425 asks for more: salt water; drop on the warm glass"
#[must_use]
pub fn asks_for_more(standard: &str, steps: &[Vec<Means>]) -> String {
    let steps: Vec<String> = steps.iter().map(|one_of| water_one_of(one_of)).collect();
    format!("{standard} asks for more: {}", steps.join("; "))
}

/// "wet, under pressure: 25 bar, 2 h"
#[must_use]
pub fn water_step(step: &WaterStep) -> String {
    let bar = step.bar.map(|bar| format!("{}\u{a0}bar", limit(bar)));
    let minutes = step.minutes.map(time);
    let deg_c = step.temperatures.iter().map(temperature);
    let asked: Vec<String> = bar.into_iter().chain(minutes).chain(deg_c).collect();
    let means = water_means(step.means);
    if asked.is_empty() { means.into() } else { format!("{means}: {}", asked.join(", ")) }
}

/// How a way of testing against water is done. What is said of the tester, of crowns and of drying is
/// common practice, no published source; where a line rests on a standard, that stands before it.
#[must_use]
pub const fn water_ways(means: Means) -> &'static [&'static str] {
    match means {
        // Common practice, no published source.
        Means::Air => &[
            "Crown and pushers home, back and glass clean and dry, strap off.",
            "Put on the pressure slowly and let the case settle.",
            "Read the leak, or see whether the case stays bent while the pressure stands.",
        ],
        // bib:iso6425 and bib:iso2281: pressure held, then the drop; bubbles are common practice.
        Means::Water => &[
            "A dry test has passed.",
            "Crown and pushers home. Let the watch hang clear of the water and put on the pressure.",
            "Lower it and hold the pressure for the time asked.",
            "Let off the pressure slowly and watch for bubbles.",
            "Dry it and do the drop on the warm glass.",
        ],
        // bib:iso6425, from memory.
        Means::LowPressure => &[
            "The test under full pressure has just been done, and the watch still lies in the water.",
            "Let off the pressure to 0.3\u{a0}bar and hold it for the time asked: seals that are \
             pressed shut by a high pressure may leak at a low one.",
            "Take it out, look for water and bubbles, dry it and do the drop on the warm glass.",
        ],
        // bib:iso6425, from excerpts, and bib:iso2281, from memory: in still water, then the drop.
        Means::Immersion => &[
            "A dry test has passed.",
            "Lay the watch in still water for the time asked.",
            "Dry it and do the drop on the warm glass.",
        ],
        // The force: bib:iso6425, from excerpts, and bib:iso2281, from memory.
        Means::CrownPressed => &[
            "A dry test has passed.",
            "Press the crown, and each pusher, with 5\u{a0}N across its axis while it is in the water.",
            "Dry it and do the drop on the warm glass.",
        ],
        // bib:iso6425 and bib:iso2281, both from memory.
        Means::Warmth => &[
            "A dry test has passed.",
            "Warm, cold, warm: the same time in each, no more than a minute between.",
            "Dry it and do the drop on the warm glass.",
        ],
        // The salt: bib:iso6425, from excerpts; what to look for: from memory.
        Means::Salt => &[
            "A dry test has passed.",
            "30\u{a0}g of salt in a litre of water.",
            "Rinse it, see that crown, pushers, ring and hands still move freely, and look for rust.",
        ],
        // bib:iso6425, from excerpts; the same in bib:iso2281.
        Means::Condensation => &[
            "Warm the watch on a plate at 40 to 45\u{a0}°C for 10 to 20 minutes.",
            "Put a drop of water of 18 to 25\u{a0}°C on the glass.",
            "Wipe it off after about a minute and look for fog on the inside.",
        ],
    }
}

/// bib:iso764, from an excerpt of its procedure; one minute in each direction from a report of it.
pub const MAGNETISM: &[&str] = &[
    "Room at 23\u{a0}°C give or take 5; strap off.",
    "Demagnetise in three directions: 3H to 9H, 6H to 12H, dial up to dial down.",
    "Wind it fully and wait an hour or more.",
    "Rate before: dial up, over three minutes or more.",
    "Put it into the field, a minute in each of the three directions, and see whether it stops.",
    "Rate after: dial up, as before.",
];

/// Common practice, no published source.
pub const RUNNING_TIME: &[&str] = &[
    "Wind it fully and note the time.",
    "Let it lie, and look in on it, more often towards the end.",
    "Enter the hours at the last look, and whether it still ran.",
];

/// Common practice, no published source.
pub const AUTOMATIC_WINDING: &[&str] = &[
    "Let it run down.",
    "Wear it or turn it for the hours or turns that you ask, and do not wind it by hand.",
    "Read the amplitude, and let it lie to see how long it runs.",
    "Turn it in all positions and listen for a rotor that touches.",
];

/// Common practice, no published source.
pub const HANDS_AND_CALENDAR: &[&str] = &[
    "Turn the hands through a full day and see that they are clear all round.",
    "Set it a little before midnight and let it run through, or turn it slowly.",
    "Note when the calendar has changed, and whether it stands whole.",
    "Try winding, setting and every correction. No quick correction in the hours around midnight: it \
     can break teeth.",
];

/// Common practice, no published source.
pub const LOOK: &[&str] = &[
    "Compare case, glass and dial with the photos from intake.",
    "Look along the dial against the light for dust, fibres and prints.",
    "Try crown, back, screws, strap and clasp.",
];

/// The sheet says how it was read.
pub const RATE: &[&str] = &[
    "Read all positions wound fully on the page Regulate.",
    "Take the numbers over from its sheet; limits are yours to set.",
];
