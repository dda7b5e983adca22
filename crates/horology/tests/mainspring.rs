//! Mainsprings, held against worked examples and the geometry itself.

// In a test, what cannot be unwrapped is the failure.
#![allow(clippy::unwrap_used)]

use horology::mainspring::{
    Barrel, Fitted, MODULUS_N_PER_MM2, Spring, StopWork, Unfit, Warning, replaced, stop_work,
};
use proptest::prelude::*;
use quantities::Measured;

fn exactly(value: f64) -> Measured {
    Measured::new(value, 0.0)
}

fn barrel(inner_mm: f64, arbor_mm: f64) -> Barrel {
    Barrel::new(exactly(inner_mm), exactly(arbor_mm), None).unwrap()
}

fn spring(thickness_mm: f64, length_mm: f64, height_mm: f64) -> Spring {
    Spring {
        thickness_mm: exactly(thickness_mm),
        length_mm: exactly(length_mm),
        height_mm: Some(exactly(height_mm)),
        coils_free: 0.0,
    }
}

fn best(barrel: &Barrel, thickness_mm: f64) -> Fitted {
    let length_mm = barrel.best_length_mm(thickness_mm).unwrap();
    barrel.fitted(&spring(thickness_mm, length_mm, 1.5)).unwrap()
}

/// bib:student-answers: barrel 9 mm, arbor 3 mm, thickness 0.10 mm
/// want 282.7 mm (printed 282.6, with 3.14 for pi).
#[test]
fn length_of_a_student_s_spring() {
    let length_mm = barrel(9.0, 3.0).best_length_mm(0.10).unwrap();
    // 3.14 for pi is a part in 2,000 less: 0.14 mm.
    assert!((length_mm - 282.6).abs() < 0.15, "{length_mm}");
    assert!((length_mm - 282.7).abs() < 0.05, "{length_mm}");
}

/// The same spring by the geometry, computed outside this project (Python): the areas halve at
/// 3.3541 mm, 11.459 coils run down, 18.541 wound up, 7.082 turns.
#[test]
fn coils_of_that_spring() {
    let room = barrel(9.0, 3.0);
    let fitted = best(&room, 0.10);
    // Half of the last printed figure.
    assert!((room.halving_radius_mm() - 3.3541).abs() < 0.000_05);
    assert!((fitted.coils_down() - 11.459).abs() < 0.000_5);
    assert!((fitted.coils_up() - 18.541).abs() < 0.000_5);
    assert!((fitted.turns().value - 7.082).abs() < 0.000_5);
    assert!((fitted.fill() - 0.5).abs() < 1e-12);
    assert!((room.most_turns(0.10).unwrap() - fitted.turns().value).abs() < 1e-9);
}

/// bib:goodrich1905, chapter XV: with an arbor of a third the run-down spring takes 0.39 of the room
/// from wall to arbor, "nearly one eighth" of the diameter, printed as 0.123. The two do not agree
/// with each other: by the geometry they are 0.3820 and 0.1273 (Python).
#[test]
fn how_far_a_run_down_spring_reaches() {
    let fitted = best(&barrel(30.0, 10.0), 0.2);
    let (of_room, of_diameter) = (fitted.pack_down_mm() / 10.0, fitted.pack_down_mm() / 30.0);
    assert!((of_room - 0.39).abs() < 0.01 && (of_diameter - 0.125).abs() < 0.003);
    assert!((of_room - 0.3820).abs() < 0.000_05 && (of_diameter - 0.1273).abs() < 0.000_05);
    // The slip: 0.123 of the diameter would be 0.369 of the room.
    assert!((of_diameter - 0.123).abs() > 0.004);
}

/// bib:bench-notes-1953: a third spring, a third arbor, a third empty. By radius that is not half of
/// the area: the spring fills (9 - 4) / (9 - 1), 5/8 of it, and gives a twentieth fewer turns than
/// one of best length (0.0749 and 0.0787 of the diameter over the thickness, Python).
#[test]
fn the_rule_of_thirds_is_too_long_a_spring() {
    let room = barrel(30.0, 10.0);
    let length_mm = std::f64::consts::PI * (15.0 * 15.0 - 10.0 * 10.0) / 0.2;
    let fitted = room.fitted(&spring(0.2, length_mm, 1.5)).unwrap();
    assert!((fitted.fill() - 5.0 / 8.0).abs() < 1e-12);
    assert!((fitted.pack_down_mm() - 5.0).abs() < 1e-9);
    // Half of the last printed figure, of 0.0787.
    assert!((fitted.turns().value * 0.2 / 30.0 - 0.0749).abs() < 0.000_05);
    assert!((room.most_turns(0.2).unwrap() * 0.2 / 30.0 - 0.0787).abs() < 0.000_05);
    assert!(matches!(fitted.warnings()[..], [Warning::TooLong { .. }]));
}

/// bib:goodrich1905, chapter XV: 17 coils run down, 25 wound up: 8 turns. Here that is asked of a
/// spring made so: barrel and arbor in which a strip of 1 has 17 and 25 coils.
#[test]
fn turns_are_coils_up_less_coils_down() {
    // R - down = 17, up - r = 25, and equal areas: R^2 - down^2 = up^2 - r^2. With r = 17.5 (up 42.5)
    // the strip is 1500 / pi x pi; R = (1500 + 289) / 34.
    let (inner, strip) = (17.5, 1500.0);
    let outer = (strip + 17.0 * 17.0) / 34.0;
    let room = barrel(2.0 * outer, 2.0 * inner);
    let fitted = room.fitted(&spring(1.0, std::f64::consts::PI * strip, 10.0)).unwrap();
    assert!((fitted.coils_down() - 17.0).abs() < 1e-9);
    assert!((fitted.coils_up() - 25.0).abs() < 1e-9);
    assert!((fitted.turns().value - 8.0).abs() < 1e-9);
}

/// bib:mainspring-weebly, the method of fractions: of 100 parts of the barrel the spring takes 26 run
/// down and 41 wound up; a barrel of 21.3 mm and six turns want 0.26625 mm, and 0.254 mm give 6.289
/// turns. The parts are rounded (25.46 and 41.20 by the geometry, Python), which the difference of
/// both feels: 15 parts for 15.74, so 5 per cent.
#[test]
fn method_of_fractions() {
    let room = barrel(21.3, 7.1);
    let fitted = best(&room, 0.254);
    let parts = |mm: f64| 2.0 * mm / 0.213;
    assert!((parts(fitted.pack_down_mm()) - 25.46).abs() < 0.006);
    assert!((parts(fitted.pack_up_mm()) - 41.20).abs() < 0.006);
    let thickness_mm = room.thickness_for_turns_mm(6.0).unwrap();
    assert!((thickness_mm / 0.26625 - 15.74 / 15.0).abs() < 0.001, "{thickness_mm}");
    assert!((fitted.turns().value / 6.289 - 15.74 / 15.0).abs() < 0.001);
    assert!((fitted.turns().value - 6.60).abs() < 0.005);
}

/// The slip of that page: it takes 3.65 mm for half of 7.1 and prints a length of 619.04 mm. It is
/// 623.5.
#[test]
fn slip_of_a_published_length() {
    let length = |arbor_mm| barrel(21.3, arbor_mm).best_length_mm(0.254).unwrap();
    assert!((length(7.1) - 623.5).abs() < 0.05);
    assert!((length(7.3) - 619.04).abs() < 0.3);
    assert!((length(7.1) - 619.04).abs() > 4.0);
}

/// From memory, any text on the strength of materials: torque goes with the cube of the thickness and
/// with the height, and against the length. 1 % of thickness is 3.03 %, 5 % is 15.8 %, 0.19 mm for
/// 0.20 is 14.3 % less.
#[test]
fn torque_goes_with_the_cube_of_the_thickness() {
    let room = barrel(10.0, 3.3);
    let of = |e, l, h| room.fitted(&spring(e, l, h)).unwrap();
    let torque = |new: &Fitted, old: &Fitted| replaced(old, new).torque.unwrap().value;
    let old = of(0.20, 150.0, 1.5);
    for (thickness_mm, percent) in [(0.202, 3.03), (0.21, 15.8), (0.19, -14.3)] {
        let change = 100.0 * (torque(&of(thickness_mm, 150.0, 1.5), &old) - 1.0);
        // Half of the last printed figure.
        assert!((change - percent).abs() < 0.05, "{thickness_mm}: {change}");
    }
    assert!((torque(&of(0.20, 300.0, 1.5), &of(0.20, 150.0, 3.0)) - 0.25).abs() < 1e-12);
}

/// By hand: 206,000 x 1.5 x 0.001 / (12 x 282.743) = 0.0910724 N mm for a radian, 0.572225 for a turn
/// (Python).
#[test]
fn torque_of_that_spring_in_newton_millimetres() {
    let torque = best(&barrel(9.0, 3.0), 0.10).torque(MODULUS_N_PER_MM2).unwrap();
    assert!((torque.per_turn_n_mm.value - 0.572_225).abs() < 1e-5, "{torque:?}");
    // Straight when free: 11.459 turns run down, 18.541 wound up.
    assert!((torque.down_n_mm().value - 11.459 * 0.572_225).abs() < 1e-3);
    assert!((torque.up_n_mm().value - 18.541 * 0.572_225).abs() < 1e-3);
    // A spring that lies free in 5 coils is wound 5 turns less.
    let free = Spring { coils_free: 5.0, ..spring(0.10, 282.743, 1.5) };
    let less = barrel(9.0, 3.0).fitted(&free).unwrap().torque(MODULUS_N_PER_MM2).unwrap();
    let lost = torque.up_n_mm().value - less.up_n_mm().value;
    assert!((lost - 5.0 * 0.572_225).abs() < 1e-3);
}

/// bib:goodrich1905, chapter XV: a spring of 17 turns, 10 with the stop-work, 4 left when it is taken
/// off: it works from the 4th to the 14th turn, and 3 are never used.
#[test]
fn stop_work_of_an_old_clock() {
    let used = stop_work(17.0, 10.0, 4.0).unwrap();
    assert_eq!(used, StopWork { from_turn: 4.0, to_turn: 14.0, unused_above: 3.0 });
    for (allowed, set_up) in [(14.0, 4.0), (0.0, 4.0), (5.0, -1.0), (f64::NAN, 1.0)] {
        assert!(stop_work(17.0, allowed, set_up).is_err());
    }
    let told = stop_work(17.0, 14.0, 4.0).unwrap_err().to_string();
    assert!(told.starts_with("The stop-work would need 18.0 turns"), "{told}");
}

/// bib:goodrich1905, chapter XV: a barrel that turns once in 18 hours runs 180 hours in ten turns.
#[test]
fn running_time() {
    let room = barrel(30.0, 10.0);
    let fitted = best(&room, room.thickness_for_turns_mm(10.0).unwrap());
    assert!((fitted.runs_s(18.0 * 3600.0).value / 3600.0 - 180.0).abs() < 1e-9);
}

/// Uncertainties, against differences of the formula itself and the quadrature of the GUM
/// (bib:jcgm100, 5.1.2). A spring a fifth too long, so that every size counts.
#[test]
fn uncertainty_of_the_turns() {
    let sizes = [9.0, 3.0, 0.10, 340.0];
    let sds = [0.02, 0.03, 0.001, 2.0];
    let turns =
        |s: [f64; 4]| barrel(s[0], s[1]).fitted(&spring(s[2], s[3], 1.5)).unwrap().turns().value;
    let mut variance = 0.0;
    for place in 0..4 {
        let step = 1e-5 * sizes[place];
        let (mut above, mut below) = (sizes, sizes);
        above[place] += step;
        below[place] -= step;
        let slope = (turns(above) - turns(below)) / (2.0 * step);
        variance += (slope * sds[place]).powi(2);
    }
    let m = |place: usize| Measured::new(sizes[place], sds[place]);
    let room = Barrel::new(m(0), m(1), None).unwrap();
    let measured = Spring { thickness_mm: m(2), length_mm: m(3), height_mm: None, coils_free: 0.0 };
    let sd = room.fitted(&measured).unwrap().turns().sd;
    // Central differences are good to the square of the step, 1e-10.
    assert!((sd / variance.sqrt() - 1.0).abs() < 1e-6, "{sd} {}", variance.sqrt());
}

/// 0.005 mm in 0.10 are 5 per cent, so 15 per cent of the torque to first order; with 2 per cent of
/// the height and 1 of the length, the root of 225 + 4 + 1.
#[test]
fn uncertainty_of_the_torque() {
    let measured = Spring {
        thickness_mm: Measured::new(0.10, 0.005),
        length_mm: Measured::new(280.0, 2.8),
        height_mm: Some(Measured::new(1.5, 0.03)),
        coils_free: 0.0,
    };
    let torque = barrel(9.0, 3.0).fitted(&measured).unwrap().torque(MODULUS_N_PER_MM2).unwrap();
    let share = torque.up_n_mm().sd / torque.up_n_mm().value;
    assert!((share - 0.01 * 230.0_f64.sqrt()).abs() < 1e-12);
}

/// What both springs have in common counts once, against differences of the formulas themselves. Only
/// the thickness is measured anew; the rest is one barrel and one strip.
#[test]
fn uncertainty_of_what_another_spring_changes() {
    // Inner diameter, arbor, old and new thickness, length, height.
    let sizes = [9.0, 3.0, 0.10, 0.11, 280.0, 1.4];
    let sds = [0.02, 0.03, 0.003, 0.002, 1.0, 0.01];
    let of = |s: [Measured; 6]| {
        let room = Barrel::new(s[0], s[1], None).unwrap();
        let spring = |thickness_mm| Spring {
            thickness_mm,
            length_mm: s[4],
            height_mm: Some(s[5]),
            coils_free: 0.0,
        };
        replaced(&room.fitted(&spring(s[2])).unwrap(), &room.fitted(&spring(s[3])).unwrap())
    };
    let mut variances = [0.0, 0.0];
    for place in 0..6 {
        let step = 1e-5 * sizes[place];
        let at = |by: f64| {
            let mut moved = sizes;
            moved[place] += by;
            let got = of(moved.map(exactly));
            [got.turns.value, got.torque.unwrap().value]
        };
        let (above, below) = (at(step), at(-step));
        for (variance, (above, below)) in variances.iter_mut().zip(above.into_iter().zip(below)) {
            *variance += ((above - below) / (2.0 * step) * sds[place]).powi(2);
        }
    }
    let measured = |place: usize| Measured::new(sizes[place], sds[place]);
    let got = of([0, 1, 2, 3, 4, 5].map(measured));
    let sds = [got.turns.sd, got.torque.unwrap().sd];
    for (sd, variance) in sds.into_iter().zip(variances) {
        // Central differences are good to the square of the step, 1e-10.
        assert!((sd / variance.sqrt() - 1.0).abs() < 1e-6, "{sd} {}", variance.sqrt());
    }
}

/// bib:kleinlein1920, No. 20: a spring 0.02 mm lower than its barrel bound in the cold.
/// bib:mainspring-weebly: 0.1 mm is usual.
#[test]
fn springs_that_do_not_fit_in_height() {
    let room = Barrel::new(exactly(9.0), exactly(3.0), Some(1.52)).unwrap();
    let codes = |height_mm: f64| -> Vec<&str> {
        let fitted = room.fitted(&spring(0.10, 282.7, height_mm)).unwrap();
        fitted.warnings().iter().map(Warning::code).collect()
    };
    assert_eq!(codes(1.50), ["little_clearance"]);
    assert_eq!(codes(1.53), ["too_high"]);
    assert_eq!(codes(1.42), Vec::<&str>::new());
}

#[test]
fn springs_that_are_too_long_or_too_short() {
    let room = barrel(9.0, 3.0);
    let warnings = |length_mm| room.fitted(&spring(0.10, length_mm, 1.5)).unwrap().warnings();
    assert!(matches!(warnings(400.0)[..], [Warning::TooLong { .. }]));
    assert!(matches!(warnings(170.0)[..], [Warning::TooShort { .. }]));
    assert_eq!(warnings(282.7), []);
    let refused = room.fitted(&spring(0.10, 600.0, 1.5)).unwrap_err();
    assert_eq!(
        refused.to_string(),
        "A spring of 600 mm does not fit: 565.5 mm would fill the barrel to the last gap. Take about \
         283 mm."
    );
    let thin = best(&barrel(9.0, 2.0), 0.10).warnings();
    assert!(matches!(thin[..], [Warning::Arbor { .. }]));
    let set = Spring { coils_free: 12.0, ..spring(0.10, 282.7, 1.5) };
    assert_eq!(room.fitted(&set).unwrap().warnings(), [Warning::NoSetUp]);
}

#[test]
fn sizes_that_nothing_has_are_refused() {
    let made = |inner, arbor| Barrel::new(exactly(inner), exactly(arbor), None);
    assert!(matches!(made(3.0, 9.0), Err(Unfit::ArborFillsBarrel { .. })));
    for bad in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e9] {
        assert!(made(bad, 3.0).is_err() && made(9.0, bad).is_err(), "{bad}");
        let room = barrel(9.0, 3.0);
        assert!(room.fitted(&spring(bad, 200.0, 1.5)).is_err());
        assert!(room.fitted(&spring(0.1, bad, 1.5)).is_err());
        assert!(room.fitted(&spring(0.1, 200.0, bad)).is_err());
        assert!(room.best_length_mm(bad).is_err() && room.most_turns(bad).is_err());
        assert!(room.thickness_for_turns_mm(bad).is_err());
    }
    let coiled = Spring { coils_free: f64::NAN, ..spring(0.1, 200.0, 1.5) };
    assert!(barrel(9.0, 3.0).fitted(&coiled).is_err());
    assert_eq!(
        made(0.0, 3.0).unwrap_err().to_string(),
        "The inner diameter of the barrel must lie between 0.01 and 100000 mm, not 0: measure again."
    );
}

proptest! {
    /// From turns to a spring and back, and no other length gives more.
    #[test]
    fn from_turns_to_a_spring_and_back(
        inner in 5.0_f64..60.0,
        share in 0.25_f64..0.5,
        turns in 3.0_f64..20.0,
        stretched in 0.2_f64..1.9,
    ) {
        let room = barrel(inner, share * inner);
        let thickness_mm = room.thickness_for_turns_mm(turns).unwrap();
        prop_assume!(thickness_mm > 0.01);
        let length_mm = room.best_length_mm(thickness_mm).unwrap();
        let fitted = room.fitted(&spring(thickness_mm, length_mm, 1.0)).unwrap();
        prop_assert!((fitted.turns().value / turns - 1.0).abs() < 1e-9);
        let other = room.fitted(&spring(thickness_mm, stretched * length_mm, 1.0)).unwrap();
        prop_assert!(other.turns().value <= fitted.turns().value * (1.0 + 1e-12));
    }
}
