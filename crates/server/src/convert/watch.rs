use super::{id, lines, version};
use crate::failure::Failure;
use crate::wire;
use jobs::{OwnerId, Watch, WatchBalance};
use store::Kept;

/// Most balances of a watch that are told apart.
pub(crate) const MOST_BALANCES: u32 = 8;

pub(crate) fn watch(kept: &Kept<Watch>, owner_name: Option<String>) -> wire::Watch {
    let Watch {
        owner,
        description,
        calibre,
        serial_numbers,
        balances,
        target_s_per_d,
        movement,
        notes,
    } = &kept.value;
    wire::Watch {
        id: kept.id.to_string(),
        version: version(kept.version),
        owner_id: owner.map(|id| id.to_string()),
        owner_name,
        description: description.clone(),
        calibre: calibre.clone(),
        serial_numbers: serial_numbers.join("\n"),
        notes: notes.clone(),
        lift_angles_deg: told(balances, |b| b.lift_angle_deg),
        beats_per_hour: told(balances, |b| b.beats_per_hour),
        balances: u32::try_from(balances.len()).ok().filter(|n| *n > 0),
        target_s_per_d: *target_s_per_d,
        movement: movement.clone(),
    }
}

/// What is known of each balance, up to the last of which it is.
fn told(balances: &[WatchBalance], get: impl Fn(&WatchBalance) -> Option<f64>) -> Vec<f64> {
    balances.iter().map_while(get).collect()
}

pub(crate) fn new_watch(new: wire::NewWatch, owner: Option<OwnerId>) -> Result<Watch, Failure> {
    let lifts = new.lift_angles_deg.unwrap_or_default();
    let beats = new.beats_per_hour.unwrap_or_default();
    Ok(Watch {
        owner,
        description: new.description.trim().to_owned(),
        calibre: new.calibre.unwrap_or_default(),
        serial_numbers: lines(&new.serial_numbers.unwrap_or_default()),
        balances: balances(new.balances, &lifts, &beats)?,
        target_s_per_d: None,
        movement: String::new(),
        notes: new.notes.unwrap_or_default(),
    })
}

/// One entry a balance; where one value is told of several it holds for all of them.
fn balances(told: Option<u32>, lifts: &[f64], beats: &[f64]) -> Result<Vec<WatchBalance>, Failure> {
    let told = told.unwrap_or(0);
    if told > MOST_BALANCES || lifts.len().max(beats.len()) > MOST_BALANCES as usize {
        let words = format!("A watch has at most {MOST_BALANCES} balances here.");
        return Err(Failure::Invalid(words));
    }
    let number = (told as usize).max(lifts.len()).max(beats.len());
    let of = |list: &[f64], n: usize| match list {
        [one] => Some(*one),
        many => many.get(n).copied(),
    };
    let balance = |n| WatchBalance { lift_angle_deg: of(lifts, n), beats_per_hour: of(beats, n) };
    Ok((0..number).map(balance).collect())
}

pub(crate) fn change_watch(watch: &mut Watch, change: wire::WatchChange) -> Result<(), Failure> {
    if let Some(owner) = change.owner_id {
        watch.owner = if owner.is_empty() { None } else { Some(id(&owner)?) };
    }
    if let Some(description) = change.description {
        description.trim().clone_into(&mut watch.description);
    }
    if let Some(calibre) = change.calibre {
        watch.calibre = calibre;
    }
    if let Some(numbers) = change.serial_numbers {
        watch.serial_numbers = lines(&numbers);
    }
    if let Some(target) = change.target_s_per_d {
        watch.target_s_per_d = target;
    }
    if let Some(movement) = change.movement {
        watch.movement = movement;
    }
    if let Some(notes) = change.notes {
        watch.notes = notes;
    }
    if change.lift_angles_deg.is_some()
        || change.beats_per_hour.is_some()
        || change.balances.is_some()
    {
        let now = &watch.balances;
        let told_now = u32::try_from(now.len()).ok();
        let lifts = change.lift_angles_deg.unwrap_or_else(|| told(now, |b| b.lift_angle_deg));
        let beats = change.beats_per_hour.unwrap_or_else(|| told(now, |b| b.beats_per_hour));
        let number = change.balances.map(|n| n as usize);
        // Fewer balances than before take their lift angles with them.
        let cut = |list: Vec<f64>| match number {
            Some(n) => list.into_iter().take(n.max(1)).collect(),
            None => list,
        };
        watch.balances = balances(change.balances.or(told_now), &cut(lifts), &cut(beats))?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_value_holds_for_all_balances() {
        let two = balances(Some(2), &[52.0], &[28_800.0, 21_600.0]).unwrap();
        assert_eq!(told(&two, |b| b.lift_angle_deg), [52.0, 52.0]);
        assert_eq!(told(&two, |b| b.beats_per_hour), [28_800.0, 21_600.0]);
        assert!(balances(Some(9), &[], &[]).is_err());
        assert!(balances(None, &[], &[]).unwrap().is_empty());
    }

    #[test]
    fn what_is_left_out_stays() {
        let mut watch =
            Watch { balances: balances(Some(2), &[52.0], &[]).unwrap(), ..Watch::default() };
        let change = wire::WatchChange {
            version: 1,
            owner_id: None,
            description: Some(" two balances ".into()),
            calibre: None,
            serial_numbers: Some("12\n\n 34 ".into()),
            notes: None,
            lift_angles_deg: None,
            beats_per_hour: Some(vec![21_600.0]),
            balances: None,
            target_s_per_d: None,
            movement: None,
        };
        change_watch(&mut watch, change).unwrap();
        assert_eq!(watch.description, "two balances");
        assert_eq!(watch.serial_numbers, ["12", "34"]);
        assert_eq!(told(&watch.balances, |b| b.lift_angle_deg), [52.0, 52.0]);
        assert_eq!(told(&watch.balances, |b| b.beats_per_hour), [21_600.0, 21_600.0]);
    }
}
