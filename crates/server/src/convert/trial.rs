use super::moment_from;
use crate::failure::Failure;
use crate::wire;
use jobs::{JobId, Moment, Trial, TrialRate, TrialSize};

pub(crate) fn trial_size(size: TrialSize) -> wire::TrialSize {
    match size {
        TrialSize::Over20Mm => wire::TrialSize::Large,
        TrialSize::UpTo20Mm => wire::TrialSize::Small,
    }
}

fn size_from(size: wire::TrialSize) -> TrialSize {
    match size {
        wire::TrialSize::Large => TrialSize::Over20Mm,
        wire::TrialSize::Small => TrialSize::UpTo20Mm,
    }
}

pub(crate) fn trial_rate(rate: TrialRate) -> wire::TrialRate {
    let TrialRate { rate_s_per_d, sd_s_per_d, clock_sd_s_per_d, readings } = rate;
    wire::TrialRate { rate_s_per_d, sd_s_per_d, clock_sd_s_per_d, readings }
}

fn rate_from(rate: wire::TrialRate) -> TrialRate {
    let wire::TrialRate { rate_s_per_d, sd_s_per_d, clock_sd_s_per_d, readings } = rate;
    TrialRate { rate_s_per_d, sd_s_per_d, clock_sd_s_per_d, readings }
}

pub(crate) fn new_trial(job: JobId, new: wire::NewTrial, now: Moment) -> Result<Trial, Failure> {
    let wire::NewTrial { balance, size, begun, note } = new;
    Ok(Trial {
        job,
        balance: balance.unwrap_or_default().trim().to_owned(),
        size: size_from(size),
        begun: begun.as_ref().map_or(Ok(now), moment_from)?,
        rate_sd_s_per_d: 0.0,
        days: [None; Trial::DAYS],
        note: note.unwrap_or_default(),
    })
}

pub(crate) fn change_trial(value: &mut Trial, change: wire::TrialChange) -> Result<(), Failure> {
    let wire::TrialChange { version: _, balance, size, begun, rate_sd_s_per_d, note, days } =
        change;
    if let Some(balance) = balance {
        balance.trim().clone_into(&mut value.balance);
    }
    if let Some(size) = size {
        value.size = size_from(size);
    }
    if let Some(begun) = begun {
        value.begun = moment_from(&begun)?;
    }
    if let Some(sd) = rate_sd_s_per_d {
        value.rate_sd_s_per_d = sd;
    }
    if let Some(note) = note {
        value.note = note;
    }
    for wire::TrialDayChange { day, rate } in days.unwrap_or_default() {
        let index = (day as usize).wrapping_sub(1);
        let Some(held) = value.days.get_mut(index) else {
            let last = Trial::DAYS;
            return Err(Failure::Invalid(format!(
                "A trial has days 1 to {last}, and no day {day}."
            )));
        };
        *held = rate.map(rate_from);
    }
    Ok(())
}
