//! What the tests of the whole engine share: recordings made by `truth`, listened to.
#![allow(dead_code, reason = "every test file uses its own part of it")]
#![allow(clippy::expect_used, reason = "a test says what went wrong by failing")]

pub(crate) mod long;

use beats::{BalanceReading, Listener, Reading, Settings, WarningCode};
use quantities::{LiftAngle, SampleRate};
use truth::{Scenario, Sound};

/// A listener for a scenario, told the lift angle of its first balance and nothing else.
pub(crate) fn listener(scenario: &Scenario) -> Listener {
    let lift_angles = scenario
        .balances
        .first()
        .and_then(|b| LiftAngle::from_deg(b.lift_deg).ok())
        .into_iter()
        .collect();
    let settings = Settings { lift_angles, ..Settings::default() };
    let rate = SampleRate::from_hz(f64::from(scenario.sample_rate_hz)).expect("a usual rate");
    Listener::new(rate, scenario.channels, settings)
}

/// All of a scenario's sound.
pub(crate) fn sound(scenario: &Scenario) -> Vec<f32> {
    Sound::new(scenario).expect("a sound scenario").rest()
}

/// Listens to a scenario, block by block, from its beginning to its end.
pub(crate) fn listen(scenario: &Scenario) -> Reading {
    let mut listener = listener(scenario);
    let mut sound = Sound::new(scenario).expect("a sound scenario");
    let mut block = vec![0.0f32; 65_536];
    loop {
        let filled = sound.fill(&mut block);
        if filled == 0 {
            return listener.reading();
        }
        listener.push(&block[..filled]);
    }
}

/// How often a code is said.
pub(crate) fn count(reading: &Reading, code: WarningCode) -> usize {
    reading.warnings.iter().filter(|w| w.code == code).count()
}

/// Error and standard deviation of the rate, s/d.
pub(crate) fn rate_error(balance: &BalanceReading, true_s_per_d: f64) -> (f64, f64) {
    let rate = balance.rate_s_per_d.expect("a rate");
    (rate.value - true_s_per_d, rate.sd)
}

/// Most memory that this process ever had resident, MiB, where the system says (Linux: `VmHWM` in
/// `/proc/self/status`, proc_pid_status(5)).
pub(crate) fn most_memory_mib() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    let kib: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kib / 1024.0)
}
