use super::made::{beats_per_hour, row};
use horology::train::Ratio;

/// bib:goodrich1905, chapter XIV: all 77 trains of the table, and the two of turret clocks.
const TABLE: &str = include_str!("../data/goodrich1905-trains.txt");

fn rows() -> impl Iterator<Item = Vec<&'static str>> {
    TABLE.lines().filter(|l| !l.starts_with('#')).map(|l| l.split(';').map(str::trim).collect())
}

#[test]
fn every_train_of_the_table() {
    let mut checked = 0;
    for r in rows() {
        let train = row(r[1], r[2], r[3].parse().unwrap(), r[0].parse().unwrap());
        let per_minute = beats_per_hour(&train).over(Ratio::whole(60).unwrap()).unwrap().to_f64();
        let printed: f64 = r[4].parse().unwrap();
        // The table is printed to a tenth, and not always rounded to the nearer one.
        assert!((per_minute - printed).abs() < 0.1, "{r:?}: {per_minute}");
        checked += 1;
    }
    assert_eq!(checked, 79);
}

/// The check must be able to fail: a tooth more or less on any wheel of the table is noticed.
#[test]
fn a_tooth_more_or_less_is_noticed() {
    for r in rows() {
        let printed: f64 = r[4].parse().unwrap();
        let right = row(r[1], r[2], r[3].parse().unwrap(), r[0].parse().unwrap());
        for place in 0..right.wheels.len() {
            for change in [-1_i32, 1] {
                let mut wrong = right.clone();
                wrong.wheels[place] = wrong.wheels[place].checked_add_signed(change).unwrap();
                let per_minute = beats_per_hour(&wrong).to_f64() / 60.0;
                assert!((per_minute - printed).abs() > 0.2, "{r:?} {wrong:?}: {per_minute}");
            }
        }
    }
}
