//! Checks on whole pictures.

mod drawn;
mod golden;
mod robust;

// The gallery's invented numbers: what a watch really gives, more or less.
#[allow(dead_code)]
#[path = "../../examples/gallery/invented.rs"]
mod invented;

use crate::{Against, Drift, Picture, Size, Theme};

/// Every kind of picture from plausible numbers, at a width.
pub(crate) fn plausible(width_px: f64) -> Vec<(&'static str, Picture)> {
    let (size, theme) = (Size::new(width_px), Theme::Light);
    vec![
        ("drift of two", invented::drift_two().draw(size, theme)),
        ("drift of one", invented::drift_one().draw(size, theme)),
        ("drift of six", invented::drift_six().draw(size, theme)),
        ("drift that stops", invented::drift_stop().draw(size, theme)),
        ("empty drift", Drift::default().draw(size, theme)),
        ("beat", invented::beat(0, 281.0).draw(size, theme)),
        ("beat at low amplitude", invented::beat(1, 190.0).draw(size, theme)),
        ("crowded beat", invented::beat_crowded().draw(size, theme)),
        ("dial", invented::dial_eight().draw(size, theme)),
        ("dial of little", invented::dial_of_little().draw(size, theme)),
        ("amplitude", invented::amplitude_course().draw(size, theme)),
        ("rate", invented::rate_course().draw(size, theme)),
        ("periods", invented::periodogram(Against::Period).draw(size, theme)),
        ("frequencies", invented::periodogram(Against::Frequency).draw(size, theme)),
        ("sheet of two", invented::sheet_two().draw(size, theme)),
        ("sheet of dials", invented::sheet_of_dials().draw(size, theme)),
        ("sheet of one", invented::sheet_one().draw(size, theme)),
    ]
}
