//! What stands in the tables. A record is taken apart by name, so that a number that is added there
//! and forgotten here does not compile.

use super::Layout;
use super::set::{Cell, Of};
use crate::item::Whole;
use jobs::{
    Adjustment, BalanceReading, Figure, FinalTest, JobId, Reading, ReadingSettings, Relation,
    RepeatingWave, Repeats, Trial, TrialRate, WatchId,
};
use quantities::Measured;
use std::collections::HashMap;

/// What the tables say of a job.
pub(crate) struct Job {
    pub(crate) number: u32,
    pub(crate) watch: WatchId,
}

/// The jobs so far.
pub(crate) type Jobs = HashMap<JobId, Job>;

/// A row for each balance of each reading; one without a balance where none was heard.
pub(crate) const READINGS: Layout = Layout {
    name: "readings",
    columns: &[
        ("reading_id", Of::Text),
        ("job_id", Of::Text),
        ("job_number", Of::Whole),
        ("watch_id", Of::Text),
        ("taken", Of::Moment),
        ("position", Of::Text),
        ("wind", Of::Text),
        ("duration_s", Of::Real),
        ("balance", Of::Text),
        ("beats_per_hour", Of::Real),
        ("measured_beats_per_hour", Of::Real),
        ("rate_s_per_d", Of::Real),
        ("rate_sd_s_per_d", Of::Real),
        ("rate_sd_with_clock_s_per_d", Of::Real),
        ("amplitude_deg", Of::Real),
        ("amplitude_sd_deg", Of::Real),
        ("lift_angle_deg", Of::Real),
        ("beat_error_ms", Of::Real),
        ("beat_error_sd_ms", Of::Real),
        ("beats_used", Of::Whole),
        ("beats_expected", Of::Whole),
        ("signal_to_noise_db", Of::Real),
        ("relation", Of::Text),
        ("rate_difference_s_per_d", Of::Real),
        ("next_coincidence_s", Of::Real),
        ("clock_error_ppm", Of::Real),
        ("clock_error_sd_ppm", Of::Real),
        ("lost_samples", Of::Whole),
        ("warnings", Of::Text),
        ("device", Of::Text),
        ("program", Of::Text),
        ("sound", Of::Text),
        ("in_bin", Of::Whole),
    ],
};

/// A row for each wave that stands out in a series of a balance; one without a wave where a series
/// was searched and none does.
pub(crate) const REPEATS: Layout = Layout {
    name: "repeats",
    columns: &[
        ("reading_id", Of::Text),
        ("balance", Of::Text),
        ("series", Of::Text),
        ("beat_s", Of::Real),
        ("shortest_period_s", Of::Real),
        ("longest_period_s", Of::Real),
        ("each_beat", Of::Whole),
        ("least_seen", Of::Real),
        ("period_s", Of::Real),
        ("period_sd_s", Of::Real),
        ("half_swing", Of::Real),
        ("chance", Of::Real),
    ],
};

/// A row for each move of the hand while regulating.
pub(crate) const MOVES: Layout = Layout {
    name: "moves",
    columns: &[
        ("move_id", Of::Text),
        ("job_id", Of::Text),
        ("job_number", Of::Whole),
        ("watch_id", Of::Text),
        ("at", Of::Moment),
        ("balance", Of::Text),
        ("by", Of::Text),
        ("amount", Of::Real),
        ("in_bin", Of::Whole),
    ],
};

/// A row for each day of a trial that has a rate.
pub(crate) const TRIAL_DAYS: Layout = Layout {
    name: "trial_days",
    columns: &[
        ("trial_id", Of::Text),
        ("job_id", Of::Text),
        ("job_number", Of::Whole),
        ("watch_id", Of::Text),
        ("balance", Of::Text),
        ("size", Of::Text),
        ("day", Of::Whole),
        ("day_began", Of::Moment),
        ("rate_s_per_d", Of::Real),
        ("rate_sd_s_per_d", Of::Real),
        ("clock_sd_s_per_d", Of::Real),
        ("readings", Of::Whole),
        ("in_bin", Of::Whole),
    ],
};

/// A row for each number and each sign of a final test; one without either where it has none.
pub(crate) const FINAL_TESTS: Layout = Layout {
    name: "final_tests",
    columns: &[
        ("test_id", Of::Text),
        ("job_id", Of::Text),
        ("job_number", Of::Whole),
        ("watch_id", Of::Text),
        ("done", Of::Moment),
        ("balance", Of::Text),
        ("kind", Of::Text),
        ("way", Of::Text),
        ("standard", Of::Text),
        ("what", Of::Text),
        ("instrument", Of::Text),
        ("conditions", Of::Text),
        ("outcome", Of::Text),
        ("in_bin", Of::Whole),
        ("of", Of::Text),
        ("value", Of::Real),
        ("value_sd", Of::Real),
        ("seen", Of::Whole),
    ],
};

/// Of which job and watch.
fn whose(job: JobId, jobs: &Jobs) -> [Cell; 3] {
    match jobs.get(&job) {
        Some(Job { number, watch }) => [Cell::text(job), Cell::whole(*number), Cell::text(watch)],
        None => [Cell::text(job), Cell::Nothing, Cell::Nothing],
    }
}

fn in_bin<T>(whole: &Whole<T>) -> Cell {
    Cell::Whole(i64::from(whole.deleted.is_some()))
}

fn measured(measured: Option<Measured>) -> [Cell; 2] {
    let (value, sd) = measured.map(|Measured { value, sd }| (value, sd)).unzip();
    [Cell::maybe(value), Cell::maybe(sd)]
}

pub(super) fn of_reading(whole: &Whole<Reading>, jobs: &Jobs) -> Vec<Vec<Cell>> {
    let Reading {
        job,
        position,
        wind,
        taken,
        duration_s,
        device,
        settings,
        program,
        sound,
        balances,
        relation,
        lost_samples,
        warnings,
        note: _, // in the records
    } = &whole.value;
    // What was told to the program is in the records; what it made of it stands here.
    let ReadingSettings { lift_angles_deg: _, beats_per_hour: _, balances: _, clock_error_ppm } =
        settings;
    let mut head = vec![Cell::text(whole.id)];
    head.extend(whose(*job, jobs));
    head.extend([
        Cell::Moment(*taken),
        position.map_or(Cell::Nothing, |position| Cell::text(position.symbol())),
        Cell::text(wind),
        Cell::Real(*duration_s),
    ]);
    let relation = relation.as_ref();
    let mut tail = match relation {
        Some(Relation { state, rate_difference_s_per_d, next_coincidence_s }) => vec![
            Cell::text(state.code()),
            Cell::maybe(*rate_difference_s_per_d),
            Cell::maybe(*next_coincidence_s),
        ],
        None => vec![Cell::Nothing, Cell::Nothing, Cell::Nothing],
    };
    tail.extend(measured(*clock_error_ppm));
    let codes: Vec<&str> = warnings.iter().map(|warning| warning.code.as_str()).collect();
    tail.extend([
        Cell::whole(*lost_samples),
        Cell::text(codes.join(" ")),
        Cell::text(device),
        Cell::text(program),
        sound.map_or(Cell::Nothing, Cell::text),
        in_bin(whole),
    ]);
    let row = |balance: Vec<Cell>| [head.clone(), balance, tail.clone()].concat();
    if balances.is_empty() {
        return vec![row(vec![Cell::Nothing; 14])];
    }
    balances.iter().map(|balance| row(of_balance(balance))).collect()
}

fn of_balance(balance: &BalanceReading) -> Vec<Cell> {
    let BalanceReading {
        label,
        beats_per_hour,
        measured_beats_per_hour,
        rate_s_per_d,
        rate_sd_with_clock_s_per_d,
        amplitude_deg,
        lift_angle_deg,
        beat_error_ms,
        beats_used,
        beats_expected,
        signal_to_noise_db,
        repeats: _, // a table of its own
    } = balance;
    let [rate, rate_sd] = measured(*rate_s_per_d);
    let [amplitude, amplitude_sd] = measured(*amplitude_deg);
    let [beat_error, beat_error_sd] = measured(*beat_error_ms);
    vec![
        Cell::text(label),
        Cell::maybe(*beats_per_hour),
        Cell::maybe(*measured_beats_per_hour),
        rate,
        rate_sd,
        Cell::maybe(*rate_sd_with_clock_s_per_d),
        amplitude,
        amplitude_sd,
        Cell::maybe(*lift_angle_deg),
        beat_error,
        beat_error_sd,
        Cell::whole(*beats_used),
        Cell::whole(*beats_expected),
        Cell::maybe(*signal_to_noise_db),
    ]
}

pub(super) fn of_repeats(whole: &Whole<Reading>) -> Vec<Vec<Cell>> {
    let mut rows = Vec::new();
    for balance in &whole.value.balances {
        for searched in balance.repeats.iter().flatten() {
            let Repeats {
                of,
                beat_s,
                shortest_period_s,
                longest_period_s,
                each_beat,
                least_seen,
                waves,
            } = searched;
            let head = vec![
                Cell::text(whole.id),
                Cell::text(&balance.label),
                Cell::text(of.code()),
                Cell::Real(*beat_s),
                Cell::Real(*shortest_period_s),
                Cell::Real(*longest_period_s),
                Cell::Whole(i64::from(*each_beat)),
                Cell::Real(*least_seen),
            ];
            if waves.is_empty() {
                rows.push([head.clone(), vec![Cell::Nothing; 4]].concat());
            }
            for RepeatingWave { period_s, half_swing, chance } in waves {
                let [period, period_sd] = measured(Some(*period_s));
                let wave = vec![period, period_sd, Cell::Real(*half_swing), Cell::Real(*chance)];
                rows.push([head.clone(), wave].concat());
            }
        }
    }
    rows
}

pub(super) fn of_move(whole: &Whole<Adjustment>, jobs: &Jobs) -> Vec<Vec<Cell>> {
    let Adjustment { job, balance, at, by, amount, note: _ } = &whole.value;
    let mut row = vec![Cell::text(whole.id)];
    row.extend(whose(*job, jobs));
    row.extend([
        Cell::Moment(*at),
        Cell::text(balance),
        Cell::text(by.code()),
        Cell::maybe(*amount),
        in_bin(whole),
    ]);
    vec![row]
}

pub(super) fn of_test(whole: &Whole<FinalTest>, jobs: &Jobs) -> Vec<Vec<Cell>> {
    let FinalTest {
        job,
        balance,
        kind,
        way,
        standard,
        what,
        instrument,
        conditions,
        done,
        figures,
        signs,
        photos: _,   // in the records
        readings: _, // in the records
        outcome,
        note: _, // in the records
    } = &whole.value;
    let mut head = vec![Cell::text(whole.id)];
    head.extend(whose(*job, jobs));
    head.extend([
        Cell::Moment(*done),
        Cell::text(balance),
        Cell::text(kind.code()),
        way.map_or(Cell::Nothing, |way| Cell::text(way.code())),
        Cell::text(standard.code()),
        Cell::text(what),
        Cell::text(instrument),
        Cell::text(conditions),
        Cell::text(outcome.code()),
        in_bin(whole),
    ]);
    let row = |tail: [Cell; 4]| [head.clone(), tail.to_vec()].concat();
    let figures = figures.iter().map(|(code, Figure { value, sd })| {
        row([Cell::text(code), Cell::Real(*value), Cell::maybe(*sd), Cell::Nothing])
    });
    let signs = signs.iter().map(|(code, seen)| {
        row([Cell::text(code), Cell::Nothing, Cell::Nothing, Cell::Whole(i64::from(*seen))])
    });
    let rows: Vec<_> = figures.chain(signs).collect();
    if rows.is_empty() { vec![row([const { Cell::Nothing }; 4])] } else { rows }
}

pub(super) fn of_trial(whole: &Whole<Trial>, jobs: &Jobs) -> Vec<Vec<Cell>> {
    let Trial { job, balance, size, begun: _, rate_sd_s_per_d, days, note: _ } = &whole.value;
    let days = (1..).zip(days).filter_map(|(day, rate)| Some((day, rate.as_ref()?)));
    days.map(|(day, rate)| {
        let TrialRate { rate_s_per_d, sd_s_per_d, clock_sd_s_per_d, readings } = rate;
        let mut row = vec![Cell::text(whole.id)];
        row.extend(whose(*job, jobs));
        row.extend([
            Cell::text(balance),
            Cell::text(size.code()),
            Cell::whole(day),
            Cell::Moment(whole.value.day_begins(day)),
            Cell::Real(*rate_s_per_d),
            Cell::Real(sd_s_per_d.unwrap_or(*rate_sd_s_per_d)),
            Cell::Real(*clock_sd_s_per_d),
            Cell::whole(*readings),
            in_bin(whole),
        ]);
        row
    })
    .collect()
}
