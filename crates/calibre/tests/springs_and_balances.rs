//! Mainsprings and what is known of balances, as people write them.

// In a test, what cannot be unwrapped is the failure.
#![allow(clippy::unwrap_used)]

use calibre::read;
use horology::balance::Piece;
use quantities::Measured;

/// A movement, to which a test adds.
const WHOLE: &str = include_str!("whole.toml");

const SPRING: &str = "
[[mainspring]]
barrel = \"A\"
inner-diameter-mm = 10.4
arbor-diameter-mm = \"3.4 ± 0.02\"
thickness-mm = \"0.10 +- 0.003\"
length-mm = 380
height-mm = 1.2
barrel-height-mm = 1.35
coils-free = -3
";

#[test]
fn a_mainspring() {
    let calibre = read(&format!("{WHOLE}{SPRING}")).unwrap();
    let spring = &calibre.mainsprings[0];
    assert_eq!(spring.barrel, 0);
    assert_eq!(spring.line, WHOLE.lines().count() + 2);
    assert_eq!(spring.inner_diameter_mm, Measured::new(10.4, 0.0));
    assert_eq!(spring.arbor_diameter_mm, Measured::new(3.4, 0.02));
    assert_eq!(spring.thickness_mm, Measured::new(0.1, 0.003));
    assert_eq!(spring.length_mm, Some(Measured::new(380.0, 0.0)));
    assert_eq!(spring.height_mm, Some(Measured::new(1.2, 0.0)));
    assert_eq!(spring.barrel_height_mm, Some(Measured::new(1.35, 0.0)));
    assert_eq!(spring.coils_free, -3.0);
    let without = read(&format!("{WHOLE}{}", SPRING.replace("length-mm = 380\n", ""))).unwrap();
    assert_eq!(without.mainsprings[0].length_mm, None);
}

/// bib:young-freedman, problem 13.35: a thin rim of 0.90 g at 0.55 cm and an oscillation in half a
/// second want 4.30e-6 N m/rad, printed to three figures. A milligram is 1e-6 kg and a mg cm² 1e-10 kg m² (SI
/// prefixes).
#[test]
fn a_balance_in_the_units_of_the_bench() {
    let balance = |more: &str| {
        let text = WHOLE.replace("# beats-per-hour = 18000", more);
        read(&text).unwrap().balances[0].clone()
    };
    let known = balance("mass-mg = \"900 ± 1\"\nradius-mm = 5.5\nlift-angle-deg = 52");
    assert_eq!(known.lift_angle_deg, Some(Measured::new(52.0, 0.0)));
    let period = Measured::new(0.5, 0.0);
    let found = known.knowns.with(Piece::PeriodS, period).unwrap().complete().unwrap();
    let stiffness = found.get(Piece::StiffnessNMPerRad).unwrap();
    assert!((stiffness.value - 4.30e-6).abs() < 0.005e-6, "{stiffness:?}");
    // One part in 900 of the mass is as much of the stiffness.
    assert!((stiffness.sd / stiffness.value - 1.0 / 900.0).abs() < 1e-12);

    let known = balance("inertia-mg-cm2 = 12\nstiffness-n-m-per-rad = 7.6e-7");
    let found = known.knowns.complete().unwrap();
    assert!((found.get(Piece::InertiaKgM2).unwrap().value - 1.2e-9).abs() < 1e-21);
    assert_eq!(found.get(Piece::StiffnessNMPerRad), Some(Measured::new(7.6e-7, 0.0)));
    let strip = "youngs-modulus-gpa = 210\nspring-height-mm = 0.15\nspring-thickness-mm = 0.03\n\
                 spring-length-mm = 100";
    let found = balance(strip).knowns.complete().unwrap();
    // 210e9 x 0.15e-3 x (0.03e-3)^3 / (12 x 0.1) = 7.0875e-7, by hand.
    assert!((found.get(Piece::StiffnessNMPerRad).unwrap().value - 7.0875e-7).abs() < 1e-15);

    let bare = balance("");
    assert!(bare.is_empty());
    assert_eq!(bare.line, 1 + WHOLE.lines().position(|line| line == "[[balance]]").unwrap());
}

#[test]
fn what_is_wrong_is_told_with_its_line() {
    let whole = format!("{WHOLE}{SPRING}");
    let line = |wanted: &str| 1 + whole.lines().position(|l| l.contains(wanted)).unwrap();
    for (from, to, sentence) in [
        ("barrel = \"A\"\ninner", "barrel = \"Z\"\ninner", "there is no barrel “Z”: there are A."),
        ("inner-diameter-mm = 10.4", "inner-diameter-mm = 0", "write a number above zero"),
        ("inner-diameter-mm = 10.4", "inner-diameter-mm = inf", "write a number above zero"),
        ("inner-diameter-mm = 10.4", "inner-diameter-mm = \"wide\"", "like \"0.10 ± 0.003\""),
        ("length-mm = 380", "length = 380", "unknown key `length`"),
        ("coils-free = -3", "coils-free = \"few\"", "invalid type"),
    ] {
        let told = read(&whole.replacen(from, to, 1)).unwrap_err().to_string();
        assert!(told.contains(sentence) && told.ends_with('.'), "{from}: {told}");
        let at = line(from.lines().next().unwrap_or_default());
        let at = if from.starts_with("barrel") { line("[[mainspring]]") + 1 } else { at };
        assert!(told.starts_with(&format!("line {at}: ")), "{from}: {told}");
    }
    let missing = read(&whole.replace("thickness-mm = \"0.10 +- 0.003\"\n", "")).unwrap_err();
    assert!(missing.to_string().contains("missing key `thickness-mm`"), "{missing}");
    let twice = read(&format!("{whole}{SPRING}")).unwrap_err().to_string();
    assert!(twice.contains("“A” has a mainspring already"), "{twice}");
    let balance = WHOLE.replace("# beats-per-hour = 18000", "mass-mg = -900");
    let told = read(&balance).unwrap_err().to_string();
    assert!(told.contains("write a number above zero"), "{told}");
}

/// What was written before there were springs in it reads as before.
#[test]
fn neither_need_be_there() {
    let calibre = read(WHOLE).unwrap();
    assert!(calibre.mainsprings.is_empty());
    assert_eq!(calibre.balances.len(), 1);
}

/// What was counted beside the trains stands with its balance or its mesh; old texts have none of it.
#[test]
fn what_else_was_counted() {
    let more = "lock-deg = 1.5\nrun-deg = 0\nmodulus-change-ppm = \"-240 ± 10\"\n\
                rate-hot = \"38 = -3.5 ± 0.2\"";
    let written = WHOLE.replace("# beats-per-hour = 18000", more).replacen(
        "\"third pinion\"]",
        "\"third pinion\"]\nmodule-mm = 0.2",
        1,
    );
    let calibre = read(&written).unwrap();
    let counted = &calibre.balances[0].counted;
    assert_eq!(counted.run_deg, Some(Measured::new(0.0, 0.0)));
    assert_eq!(counted.modulus_change_ppm, Some(Measured::new(-240.0, 10.0)));
    assert_eq!(counted.rate_hot.unwrap().s_per_d, Measured::new(-3.5, 0.2));
    assert!(calibre.balances[0].is_empty(), "none of it is of its period, inertia or spring");
    let sizes: Vec<_> = calibre.mesh_sizes.iter().map(|(_, size)| size.module_mm).collect();
    assert_eq!(sizes[..3], [None, Some(Measured::new(0.2, 0.0)), None]);
    assert_eq!(sizes.len(), calibre.movement.parts().meshes.len());
    let told =
        read(&WHOLE.replace("# beats-per-hour", "fork-ratio = -1 #")).unwrap_err().to_string();
    assert!(told.contains("write a number above zero"), "{told}");

    let bare = read(WHOLE).unwrap();
    assert_eq!(bare.balances[0].counted, calibre::BalanceCounted::default());
}
