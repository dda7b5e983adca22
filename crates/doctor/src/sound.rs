//! What sound can be recorded from, and what keeps its time.

use crate::facts::{DatabaseState, Facts, RecorderClock, SoundFacts};
use crate::words::{ago, days};
use crate::{Line, State};

const SOUND: (&str, &str) = ("sound", "sound devices");
const CLOCK: (&str, &str) = ("clock", "this machine's clock");
const RECORDERS: (&str, &str) = ("recorder_clocks", "recorders' clocks");

/// A crystal ages by some parts in a million a year, the most of it in its first (common practice, no
/// published source): after this long it is worth finding again.
const OLD_CLOCK_DAYS: u64 = 365;

pub(crate) fn lines(facts: &Facts) -> Vec<Line> {
    let clocks = match &facts.database.state {
        DatabaseState::There { clocks, .. } => &clocks[..],
        _ => &[],
    };
    vec![
        devices(&facts.sound),
        synchronised(facts.system.is_synchronised),
        recorders(clocks, facts.now_ms),
    ]
}

fn devices(sound: &SoundFacts) -> Line {
    let look = |sentence: String| Line::new(SOUND, State::Look, sentence);
    if !sound.built_in {
        return look(
            "This program was built without listening to this machine's own devices; the browser's \
             microphone works all the same."
                .into(),
        );
    }
    let through =
        sound.server.as_deref().map_or_else(String::new, |server| format!(" through {server}"));
    if !sound.devices.is_empty() {
        let names: Vec<String> = sound
            .devices
            .iter()
            .map(
                |(name, usual)| {
                    if *usual { format!("{name} (the usual one)") } else { name.clone() }
                },
            )
            .collect();
        let sentence = format!("Sound can be recorded{through} from {}.", names.join(", "));
        return Line::new(SOUND, State::Ok, sentence);
    }
    let used: Vec<String> = sound
        .captures
        .iter()
        .filter_map(|c| c.used_by.as_ref().map(|by| format!("{} by “{by}”", c.name)))
        .collect();
    if !used.is_empty() {
        return look(format!(
            "Every device is in use ({}): end that, then look again.",
            used.join(", ")
        ));
    }
    if sound.captures.iter().any(|capture| !capture.is_allowed) {
        let how = match sound.in_group {
            Some(false) => {
                "add this user to the group audio (sudo usermod -a -G audio NAME), then log in anew"
            }
            _ => "let this user read and write the files in /dev/snd",
        };
        return look(format!("There is a device, but this user may not record from it: {how}."));
    }
    if sound.captures.is_empty() {
        return look(
            "No device to record from is found: plug in a microphone or pickup. The browser's \
             microphone and kept recordings work without one."
                .into(),
        );
    }
    look(
        "There is a device, but it does not open: look into the system's sound settings whether it is \
         switched off or given to something else."
            .into(),
    )
}

fn synchronised(is: Option<bool>) -> Line {
    match is {
        Some(true) => Line::new(
            CLOCK,
            State::Ok,
            "Time servers keep it right: a recorder can be compared with it.",
        ),
        Some(false) => Line::new(
            CLOCK,
            State::Look,
            "No time server keeps it right, so no recorder's clock can be found from it and dates may \
             be wrong: switch automatic time on (timedatectl set-ntp true).",
        ),
        None => Line::new(
            CLOCK,
            State::Look,
            "This system does not say whether time servers keep it right (timedatectl gives no answer): \
             compare a recorder with a quartz movement instead.",
        ),
    }
}

fn recorders(clocks: &[RecorderClock], now_ms: i64) -> Line {
    if clocks.is_empty() {
        return Line::new(
            RECORDERS,
            State::Look,
            "None was found yet, so every rate carries the uncertainty of an unknown crystal, some \
             2 s/d: find one in Settings.",
        );
    }
    let told: Vec<String> = clocks
        .iter()
        .map(|clock| format!("{} ({})", clock.device, ago(days(clock.found_ms, now_ms))))
        .collect();
    let told = told.join(", ");
    if clocks.iter().any(|clock| days(clock.found_ms, now_ms) > OLD_CLOCK_DAYS) {
        let sentence =
            format!("Found of {told}: a crystal ages, so find those of more than a year anew.");
        return Line::new(RECORDERS, State::Look, sentence);
    }
    Line::new(RECORDERS, State::Ok, format!("Found of {told}."))
}
