//! What should be known of a reading that was taken live, besides what the engine says of it.

use crate::taking::{Ended, Taken};
use quantities::digits::plain;

/// Codes of remarks about the sound itself: they hold however it is read.
pub const OF_THE_SOUND: [&str; 4] =
    ["samples_lost", "sound_not_kept", "sound_cut_off", "device_gone"];

/// Something to know: a stable code and a sentence.
pub type Remark = (&'static str, String);

impl Taken {
    /// What should be known of it, as stable codes and sentences: samples that were lost, a sound
    /// that is not complete or was cut off, settings that changed meanwhile, a device that went.
    #[must_use]
    pub fn remarks(&self) -> Vec<Remark> {
        let mut remarks = Vec::new();
        if self.lost_frames > 0 {
            let ms = plain(self.lost_frames as f64 / self.sample_rate.hz() * 1000.0, 1);
            remarks.push((
                "samples_lost",
                format!(
                    "{} samples of each channel ({ms} ms) were lost and are silence: keep the \
                     device plugged in, and close other programs.",
                    self.lost_frames
                ),
            ));
        }
        if let Some(why) = &self.sound_failed {
            remarks.push(("sound_not_kept", why.clone()));
        }
        if self.sound_clipped > 0 {
            remarks.push((
                "sound_cut_off",
                format!(
                    "{} samples beyond full scale are cut off in the sound that was kept.",
                    plain(self.sound_clipped as f64, 0)
                ),
            ));
        }
        if let Some(at_s) = self.settings_changed_s {
            remarks.push((
                "settings_changed",
                format!(
                    "What was told of the watch was changed {} s into the reading; all but the \
                     last 80 s before that was heard with what was told first. Read the kept sound \
                     again for numbers of one piece.",
                    plain(at_s, 0)
                ),
            ));
        }
        if self.ended == Ended::SourceGone {
            remarks.push((
                "device_gone",
                "The device was gone, so the reading ended with what had been heard.".into(),
            ));
        }
        remarks
    }
}
