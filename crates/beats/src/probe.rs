//! (temporary) looks inside.
use crate::{Settings, ear, search};
/// temporary
pub fn probe(samples: &[f32], rate: f64) {
    let lift: f64 = std::env::var("LIFT").ok().and_then(|v| v.parse().ok()).unwrap_or(52.0);
    let t0 = std::time::Instant::now();
    let d = ear::prepared(samples);
    let s = Settings::default();
    let Some(f) = search::first_look(&d, rate, &s) else {
        println!("nothing");
        return;
    };
    let t1 = t0.elapsed();
    for c in &f.repetitions {
        println!("  rep {:.6} Hz z {:.1}", c.frequency_hz, c.significance);
    }
    let e = ear::Envelope::of(&d, rate, &f.shaping);
    let t2 = t0.elapsed();

    let trains = search::trains(&e, &f.repetitions, &s);
    let t3 = t0.elapsed();
    let mut voices: Vec<_> = trains.iter().map(|t| crate::voice::Voice::new(t, &e)).collect();
    crate::voice::settle_together(&mut voices, &e);
    let t4 = t0.elapsed();
    for k in 0..voices.len() {
        let others = crate::voice::power_of_others(&voices, k, &e);
        let v = &voices[k];
        let mut shocks = crate::shocks::find(v, e.rate_hz);
        for s in &mut shocks {
            crate::shocks::time(s, v, &e, others.as_deref());
        }
        let sound = crate::onset::Sound {
            differenced: &d,
            sample_rate_hz: rate,
            samples_per_step: rate / e.rate_hz,
            even: &f.even,
        };
        for s in &mut shocks {
            for side in 0..2 {
                if let Some(o) = crate::onset::find(&sound, v, s, side) {
                    if std::env::var("OLD").is_err() {
                        s.onset[side] = o.at;
                    }
                } else {
                    print!(" NOONSET");
                }
            }
        }
        let an = crate::anatomy::name(&shocks, v.period, lift);
        let heard = v.beats.iter().filter(|b| b.whole.is_some()).count();
        print!(
            "  voice heard {}/{} scatter {:.1} us snr {:.1} ",
            heard,
            v.beats.len(),
            v.scatter / e.rate_hz * 1e6,
            v.signal_to_noise_db(e.floor)
        );
        for s in &shocks {
            print!(
                "[{:.2} ms r{:.3} t{:.2} on {:.0},{:.0}us]",
                s.offset / e.rate_hz * 1e3,
                s.rise,
                s.share_timed(v),
                s.onset[0] / e.rate_hz * 1e6,
                s.onset[1] / e.rate_hz * 1e6
            );
        }
        println!(" {an:?}");
        if let Some(t) = crate::beat_times::combine(v, &shocks, an) {
            let n: f64 = t.line.weights.iter().sum();
            let per = v.period + t.line.per_turn;
            let bph = 7200.0 * e.rate_hz / per;
            let nom = quantities::BeatFrequency::from_per_hour(bph)
                .ok()
                .and_then(|b| b.nearest_standard())
                .map_or(bph, |b| b.per_hour());
            let rate_ = (bph / nom - 1.0) * 86400.0;
            let nn = t.beats.len() as f64;
            let sd = t.line.scatter / (per / 2.0) * (12.0 / nn.powi(3)).sqrt() * 86400.0;
            let be = (v.tock_offset + t.line.tock - t.line.tick - per / 2.0) / e.rate_hz * 1e3;
            let mut dts: Vec<f64> = t.beats.iter().filter_map(|b| b.unlocking_to_drop).collect();
            let dt = crate::phase_fit::middle_of(&mut dts);
            let amp = lift / (2.0 * (std::f64::consts::PI * dt / per).sin());
            println!(
                "   => {nom} rate {rate_:.3} +- {sd:.3} be {be:.3} amp {amp:.2} (dt {:.3} ms n {}) scatter {:.1} us used {n:.0} w {:?}",
                dt / e.rate_hz * 1e3,
                dts.len(),
                t.line.scatter / e.rate_hz * 1e6,
                t.weights.iter().map(|w| (w.0, (w.1 * 100.0).round() / 100.0)).collect::<Vec<_>>()
            );
        }
    }
    println!(
        "  look {:?} env {:?} trains {:?} settle {:?} all {:?} ({:.0} s)",
        t1,
        t2,
        t3,
        t4,
        t0.elapsed(),
        samples.len() as f64 / rate
    );
}
