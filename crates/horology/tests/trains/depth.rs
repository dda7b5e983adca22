use horology::train::depth::{
    Addenda, BadDepth, Depth, barrel_diameter_mm, escape_wheel_diameter_mm,
};
use proptest::prelude::*;
use quantities::Measured;

fn exactly(value: f64) -> Measured {
    Measured::new(value, 0.0)
}

/// bib:goodrich1905, chapter XIV: for a ratio of 7.5 the centre distance is divided into 8.5 parts,
/// 7.5 for the wheel's pitch radius and 1 for the pinion's; with 80 and 10 it is 9/8 of the wheel's.
#[test]
fn centre_distance_is_divided_in_proportion() {
    let depth = Depth::from_centre_distance(90, 12, exactly(8.5)).unwrap();
    assert!((depth.wheel_pitch_radius_mm().value - 7.5).abs() < 1e-12);
    assert!((depth.pinion_pitch_radius_mm().value - 1.0).abs() < 1e-12);
    let depth = Depth::from_centre_distance(80, 10, exactly(9.0)).unwrap();
    let ratio = depth.centre_distance_mm().value / depth.wheel_pitch_radius_mm().value;
    assert!((ratio - 9.0 / 8.0).abs() < 1e-12);
}

/// bib:goodrich1905, chapter XIV: an escape wheel of 15 measures 0.732 inch over three teeth; the
/// correction is 0.008, so the full diameter 0.740 (any unit of length will do).
#[test]
fn escape_wheel_measured_over_three_teeth() {
    let full = escape_wheel_diameter_mm(15, Measured::new(0.732, 0.001)).unwrap();
    // Printed to a thousandth.
    assert!((full.value - 0.740).abs() < 0.000_5, "{full:?}");
    assert!((full.sd / 0.001 - full.value / 0.732).abs() < 1e-12);
    assert_eq!(escape_wheel_diameter_mm(16, exactly(10.0)), Err(BadDepth::EvenTeeth { given: 16 }));
    assert!(escape_wheel_diameter_mm(1, exactly(10.0)).is_err());
    assert!(escape_wheel_diameter_mm(15, exactly(0.0)).is_err());
}

/// bib:grossmann1880, chapter III, paragraph 25: 0.47 of the pillar plate, up to 0.485.
#[test]
fn barrel_for_a_plate() {
    let (usual, most) = barrel_diameter_mm(43.0).unwrap();
    assert!((usual - 20.21).abs() < 1e-9 && (most - 20.855).abs() < 1e-9);
    assert!(barrel_diameter_mm(f64::NAN).is_err());
}

/// From memory, tables for cutters after bib:bs978-2: full diameter is module times teeth plus 2.76; of
/// pinions, leaves plus 1.71 below ten leaves and 1.61 from ten on.
#[test]
fn full_diameters() {
    for (leaves, plus) in [(8, 1.71), (9, 1.71), (10, 1.61), (12, 1.61)] {
        let depth = Depth::from_module(80, leaves, Measured::new(0.2, 0.002)).unwrap();
        let addenda = Addenda::usual(leaves);
        let wheel = depth.wheel_full_diameter_mm(addenda).unwrap();
        assert!((wheel.value - 0.2 * 82.76).abs() < 1e-12 && (wheel.sd - 0.165_52).abs() < 1e-12);
        let pinion = depth.pinion_full_diameter_mm(addenda).unwrap();
        assert!((pinion.value - 0.2 * (f64::from(leaves) + plus)).abs() < 1e-12);
    }
}

#[test]
fn sizes_that_cannot_be_are_refused() {
    assert_eq!(Depth::from_module(0, 8, exactly(0.2)), Err(BadDepth::Teeth { given: 0 }));
    assert_eq!(
        Depth::from_module(80, 10_001, exactly(0.2)),
        Err(BadDepth::Teeth { given: 10_001 })
    );
    for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(Depth::from_module(80, 8, exactly(bad)).is_err());
        assert!(Depth::from_centre_distance(80, 8, exactly(bad)).is_err());
    }
    assert!(Depth::from_centre_distance(0, 0, exactly(5.0)).is_err());
    let depth = Depth::from_module(80, 8, exactly(0.2)).unwrap();
    let odd = Addenda { wheel_modules: -0.1, pinion_modules: f64::NAN };
    assert!(
        depth.wheel_full_diameter_mm(odd).is_err() && depth.pinion_full_diameter_mm(odd).is_err()
    );
}

proptest! {
    #[test]
    fn from_module_to_centre_distance_and_back(
        wheel in 1_u32..500,
        pinion in 1_u32..50,
        module in 0.05_f64..2.0,
    ) {
        let depth = Depth::from_module(wheel, pinion, exactly(module)).unwrap();
        let back = Depth::from_centre_distance(wheel, pinion, depth.centre_distance_mm()).unwrap();
        prop_assert!((back.module_mm().value / module - 1.0).abs() < 1e-12);
        let both = depth.wheel_pitch_radius_mm().value + depth.pinion_pitch_radius_mm().value;
        prop_assert!((both / depth.centre_distance_mm().value - 1.0).abs() < 1e-12);
    }
}
