use super::{moment, moment_from, version};
use crate::failure::Failure;
use crate::wire::{self, CheckItem, CheckState, EstimateAnswer, Stage};
use jobs::{
    Answer, ConditionEntry, ConditionOf, ConditionState, Currency, DayOrMonth, Estimate, Job,
    JobId, Moment, NeitherDayNorMonth,
};
use store::{JobLine, Kept};

pub(crate) fn stage(stage: jobs::Stage) -> Stage {
    match stage {
        jobs::Stage::Intake => Stage::Intake,
        jobs::Stage::Estimate => Stage::Estimate,
        jobs::Stage::TakeDown => Stage::TakeDown,
        jobs::Stage::CleanAndInspect => Stage::CleanAndInspect,
        jobs::Stage::Rebuild => Stage::Rebuild,
        jobs::Stage::Regulate => Stage::Regulate,
        jobs::Stage::FinalTests => Stage::FinalTests,
        jobs::Stage::HandOver => Stage::HandOver,
    }
}

pub(crate) fn stage_from(stage: Stage) -> jobs::Stage {
    match stage {
        Stage::Intake => jobs::Stage::Intake,
        Stage::Estimate => jobs::Stage::Estimate,
        Stage::TakeDown => jobs::Stage::TakeDown,
        Stage::CleanAndInspect => jobs::Stage::CleanAndInspect,
        Stage::Rebuild => jobs::Stage::Rebuild,
        Stage::Regulate => jobs::Stage::Regulate,
        Stage::FinalTests => jobs::Stage::FinalTests,
        Stage::HandOver => jobs::Stage::HandOver,
    }
}

fn state(state: ConditionState) -> CheckState {
    match state {
        ConditionState::NotLookedAt => CheckState::NotLookedAt,
        ConditionState::Good => CheckState::Good,
        ConditionState::Worn => CheckState::Worn,
        ConditionState::Damaged => CheckState::Damaged,
    }
}

fn state_from(state: CheckState) -> ConditionState {
    match state {
        CheckState::NotLookedAt => ConditionState::NotLookedAt,
        CheckState::Good => ConditionState::Good,
        CheckState::Worn => ConditionState::Worn,
        CheckState::Damaged => ConditionState::Damaged,
    }
}

/// Every line of the checklist: those that were filled in, and those that nobody has looked at.
pub(crate) fn checklist(condition: &[ConditionEntry]) -> Vec<CheckItem> {
    let line = |of: &ConditionOf| {
        let entry = condition.iter().find(|entry| entry.of == *of);
        CheckItem {
            key: of.code().to_owned(),
            label: of.words().to_owned(),
            state: entry.map_or(CheckState::NotLookedAt, |entry| state(entry.state)),
            note: entry.map_or_else(String::new, |entry| entry.note.clone()),
            caution: of.caution().map(str::to_owned),
        }
    };
    ConditionOf::ALL.iter().map(line).collect()
}

/// Puts these lines over those of the job.
fn put_checklist(
    condition: &mut Vec<ConditionEntry>,
    lines: Vec<CheckItem>,
) -> Result<(), Failure> {
    for CheckItem { key, state, note, .. } in lines {
        let of = ConditionOf::from_code(&key).ok_or_else(|| {
            Failure::Invalid(format!("There is no “{key}” in the intake checklist."))
        })?;
        let entry = ConditionEntry { of, state: state_from(state), note };
        let is_empty = entry.state == ConditionState::NotLookedAt && entry.note.is_empty();
        match condition.iter_mut().find(|there| there.of == of) {
            Some(there) => *there = entry,
            None if is_empty => {}
            None => condition.push(entry),
        }
    }
    condition.retain(|e| e.state != ConditionState::NotLookedAt || !e.note.is_empty());
    condition.sort_by_key(|entry| entry.of);
    Ok(())
}

pub(crate) fn currency(code: &str) -> Result<Currency, Failure> {
    Ok(Currency::from_letters(&code.trim().to_ascii_uppercase())?)
}

pub(crate) fn estimate(kept: &Kept<Estimate>) -> Result<wire::Estimate, Failure> {
    let Estimate { job: _, currency, lines, answer, answered } = &kept.value;
    let line = |line: &jobs::EstimateLine| wire::EstimateLine {
        what: line.what.clone(),
        amount_minor: line.minor_units,
    };
    Ok(wire::Estimate {
        currency: currency.to_string(),
        lines: lines.iter().map(line).collect(),
        total_minor: kept.value.total()?.minor_units,
        answer: match answer {
            Answer::NotAsked => EstimateAnswer::NotAsked,
            Answer::Yes => EstimateAnswer::Yes,
            Answer::No => EstimateAnswer::No,
        },
        answered_at: answered.map(moment),
    })
}

/// An estimate as it is to be kept; where the owner has answered and no time is given, it was now.
pub(crate) fn estimate_from(
    job: JobId,
    sent: wire::Estimate,
    before: Option<&Estimate>,
    now: Moment,
) -> Result<Estimate, Failure> {
    let answer = match sent.answer {
        EstimateAnswer::NotAsked => Answer::NotAsked,
        EstimateAnswer::Yes => Answer::Yes,
        EstimateAnswer::No => Answer::No,
    };
    let answered = match (answer, &sent.answered_at) {
        (Answer::NotAsked, _) => None,
        (_, Some(at)) => Some(moment_from(at)?),
        (_, None) => {
            let unchanged = before.filter(|b| b.answer == answer).and_then(|b| b.answered);
            Some(unchanged.unwrap_or(now))
        }
    };
    let line = |line: wire::EstimateLine| jobs::EstimateLine {
        what: line.what,
        minor_units: line.amount_minor,
    };
    Ok(Estimate {
        job,
        currency: currency(&sent.currency)?,
        lines: sent.lines.into_iter().map(line).collect(),
        answer,
        answered,
    })
}

pub(crate) fn job(
    kept: &Kept<Job>,
    watch: wire::Watch,
    owner: Option<wire::Owner>,
    estimate: Option<wire::Estimate>,
) -> wire::Job {
    let Job {
        watch: _,
        number,
        complaint,
        condition,
        notes,
        due,
        moves,
        handed_over,
        to_watch,
        next_service,
    } = &kept.value;
    wire::Job {
        id: kept.id.to_string(),
        version: version(kept.version),
        number: *number,
        watch,
        owner,
        stage: stage(kept.value.stage()),
        stages: moves
            .iter()
            .map(|m| wire::StageMove { stage: stage(m.to), at: moment(m.at) })
            .collect(),
        complaint: complaint.clone(),
        checklist: checklist(condition),
        notes: notes.clone(),
        due_date: due.map(|day| day.to_string()),
        handed_over_at: handed_over.map(moment),
        to_watch: to_watch.clone(),
        next_service: next_service.map(|when| when.to_string()),
        estimate,
        created_at: moment(kept.created),
        changed_at: moment(kept.changed),
    }
}

/// A day or a month; none where the text is empty.
fn next_service(text: &str) -> Result<Option<DayOrMonth>, Failure> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    text.parse().map(Some).map_err(|error: NeitherDayNorMonth| Failure::Invalid(error.to_string()))
}

/// Puts a change over a job; its estimate is a record of its own.
pub(crate) fn change_job(
    job: &mut Job,
    change: wire::JobChange,
    now: Moment,
) -> Result<Option<wire::Estimate>, Failure> {
    if let Some(complaint) = change.complaint {
        job.complaint = complaint;
    }
    if let Some(lines) = change.checklist {
        put_checklist(&mut job.condition, lines)?;
    }
    if let Some(notes) = change.notes {
        job.notes = notes;
    }
    if let Some(due) = change.due_date {
        job.due = day(&due)?;
    }
    if let Some(to_watch) = change.to_watch {
        job.to_watch = to_watch;
    }
    if let Some(when) = change.next_service {
        job.next_service = next_service(&when)?;
    }
    match change.handed_over {
        Some(true) if job.is_open() => job.hand_over(now),
        Some(false) => job.handed_over = None,
        _ => {}
    }
    Ok(change.estimate)
}

/// A day, or none where nothing is written.
pub(crate) fn day(text: &str) -> Result<Option<jiff::civil::Date>, Failure> {
    if text.trim().is_empty() {
        return Ok(None);
    }
    let day = text.trim().parse();
    day.map(Some).map_err(|_| {
        Failure::Invalid(format!("“{text}” is no day: write it as 2026-11-29, year first."))
    })
}

pub(crate) fn summary(line: &JobLine) -> wire::JobSummary {
    let JobLine { job, watch, owner } = line;
    wire::JobSummary {
        id: job.id.to_string(),
        version: version(job.version),
        number: job.value.number,
        watch_description: watch.clone(),
        owner_name: owner.as_ref().map(|(_, name)| name.clone()),
        stage: stage(job.value.stage()),
        due_date: job.value.due.map(|day| day.to_string()),
        handed_over: !job.value.is_open(),
        changed_at: moment(job.changed),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_checklist_is_whole_and_keeps_only_what_was_said() {
        let mut condition = Vec::new();
        let line = |key: &str, state, note: &str| CheckItem {
            key: key.into(),
            label: String::new(),
            state,
            note: note.into(),
            caution: None,
        };
        let lines = vec![
            line("luminous", CheckState::Worn, "glows by itself"),
            line("crystal", CheckState::NotLookedAt, ""),
        ];
        put_checklist(&mut condition, lines).unwrap();
        assert_eq!(condition.len(), 1);
        let all = checklist(&condition);
        assert_eq!(all.len(), ConditionOf::ALL.len());
        let luminous = all.iter().find(|item| item.key == "luminous").unwrap();
        assert!(luminous.caution.as_ref().unwrap().contains("radium"));
        assert_eq!(luminous.state, CheckState::Worn);
        put_checklist(&mut condition, vec![line("luminous", CheckState::NotLookedAt, "")]).unwrap();
        assert!(condition.is_empty());
        assert!(put_checklist(&mut condition, vec![line("rotor", CheckState::Good, "")]).is_err());
    }

    #[test]
    fn an_answer_keeps_its_time() {
        let sent = |answer| wire::Estimate {
            currency: "eur".into(),
            lines: vec![wire::EstimateLine { what: "clean and oil".into(), amount_minor: 24_000 }],
            total_minor: 0,
            answer,
            answered_at: None,
        };
        let job: JobId = "01890000-0000-7000-8000-000000000001".parse().unwrap();
        let at = Moment::from_ms;
        let yes = estimate_from(job, sent(EstimateAnswer::Yes), None, at(5)).unwrap();
        assert_eq!(yes.answered, Some(at(5)));
        let again = estimate_from(job, sent(EstimateAnswer::Yes), Some(&yes), at(9)).unwrap();
        assert_eq!(again.answered, Some(at(5)));
        let no = estimate_from(job, sent(EstimateAnswer::No), Some(&yes), at(9)).unwrap();
        assert_eq!(no.answered, Some(at(9)));
        let none = estimate_from(job, sent(EstimateAnswer::NotAsked), Some(&no), at(10)).unwrap();
        assert_eq!(none.answered, None);
    }

    #[test]
    fn days_are_read_or_refused() {
        assert_eq!(day("2026-02-28").unwrap().unwrap().to_string(), "2026-02-28");
        assert_eq!(day(" ").unwrap(), None);
        for wrong in ["2026-02-30", "28.2.2026", "tomorrow"] {
            assert!(day(wrong).is_err(), "{wrong}");
        }
    }
}
