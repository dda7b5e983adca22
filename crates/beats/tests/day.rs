//! A whole day, made on the fly at the least sample rate there is, so that it is quick enough for every
//! run of the tests. `./dev study day` goes through one at 48 kHz.

mod simulated;

#[test]
fn a_whole_day() {
    let scenario = truth::scenarios::day(3).with_sample_rate_hz(8_000);
    // Of the voice only what lies below 4 kHz is left, which need not carry the time of every beat;
    // the rate and the count of beats must hold all the same.
    simulated::long::judge(&scenario, 0.5);
}
