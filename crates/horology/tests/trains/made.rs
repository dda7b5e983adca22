//! Movements written down in few words.

use horology::train::{
    Arbor, Balance, Barrel, Hand, Impossible, Mesh, Movement, Parts, Ratio, Row, Running, Toothed,
    ToothedAt,
};

pub(super) fn whole(number: u128) -> Ratio {
    Ratio::whole(number).unwrap()
}

/// Teeth as tables print them: `84-78`.
pub(super) fn teeth(text: &str) -> Vec<u32> {
    text.split('-').map(|n| n.trim().parse().unwrap()).collect()
}

/// A row from the first wheel to the escape wheel.
pub(super) fn row(wheels: &str, pinions: &str, escape: u32, hours: u128) -> Row {
    Row {
        wheels: teeth(wheels),
        pinions: teeth(pinions),
        escape: Some(escape),
        first_turns_in_s: Some(whole(3600 * hours)),
        beats_per_hour: None,
    }
}

/// Beats per hour of the one balance of a row.
pub(super) fn beats_per_hour(row: &Row) -> Ratio {
    let running = Running::of(&row.movement(None, None).unwrap()).unwrap();
    assert_eq!(running.problems, []);
    running.balances[0].beats_per_hour.unwrap()
}

/// Parts that are named as they are put together.
#[derive(Default)]
pub(super) struct Made(pub(super) Parts);

impl Made {
    /// An arbor and what it carries: `("centre", "pinion 12, wheel 80")`.
    pub(super) fn arbor(mut self, name: &str, carries: &str) -> Self {
        let carries = carries.split(',').map(|one| {
            let (name, teeth) = one.trim().rsplit_once(' ').unwrap();
            Toothed { name: name.into(), teeth: teeth.parse().unwrap() }
        });
        let carries = carries.collect();
        self.0.arbors.push(Arbor { name: name.into(), carries, turns_in_s: None });
        self
    }

    pub(super) fn mesh(mut self, one: &str, other: &str) -> Self {
        let between = [self.at(one), self.at(other)];
        self.0.meshes.push(Mesh { between, inside: false });
        self
    }

    pub(super) fn inside(mut self, one: &str, other: &str) -> Self {
        let between = [self.at(one), self.at(other)];
        self.0.meshes.push(Mesh { between, inside: true });
        self
    }

    pub(super) fn balance(mut self, name: &str, escape: &str, beats: Option<u128>) -> Self {
        let escape = self.at(escape);
        let beats_per_hour = beats.map(whole);
        self.0.balances.push(Balance {
            name: name.into(),
            escape,
            beats_per_tooth: 2,
            beats_per_hour,
        });
        self
    }

    pub(super) fn hand(mut self, name: &str, on: &str, turn_s: u128) -> Self {
        let on = self.arbor_at(on);
        let ought_to_turn_in_s = whole(turn_s);
        self.0.hands.push(Hand { name: name.into(), on, ought_to_turn_in_s, anticlockwise: false });
        self
    }

    pub(super) fn barrel(
        mut self,
        name: &str,
        drum: &str,
        arbor: Option<&str>,
        turns: u128,
    ) -> Self {
        let drum = self.arbor_at(drum);
        let arbor = arbor.map(|name| self.arbor_at(name));
        let turns = Some(whole(turns));
        self.0.barrels.push(Barrel { name: name.into(), drum, arbor, turns });
        self
    }

    pub(super) fn turns_in(mut self, arbor: &str, turn_s: u128) -> Self {
        let at = self.arbor_at(arbor);
        self.0.arbors[at].turns_in_s = Some(whole(turn_s));
        self
    }

    pub(super) fn movement(self) -> Movement {
        Movement::new(self.0).unwrap()
    }

    pub(super) fn impossible(self) -> Impossible {
        Movement::new(self.0).unwrap_err()
    }

    pub(super) fn running(self) -> Running {
        Running::of(&self.movement()).unwrap()
    }

    fn arbor_at(&self, name: &str) -> usize {
        self.0.arbors.iter().position(|arbor| arbor.name == name).unwrap()
    }

    pub(super) fn at(&self, name: &str) -> ToothedAt {
        let all = self.0.arbors.iter().enumerate();
        let mut all = all.flat_map(|(arbor, a)| {
            let names = a.carries.iter().map(|t| format!("{} {}", a.name, t.name));
            names.enumerate().map(move |(toothed, n)| (n, ToothedAt { arbor, toothed }))
        });
        all.find(|(full, _)| full == name).unwrap().1
    }
}

/// Motion work: cannon pinion, minute wheel and its pinion, hour wheel.
pub(super) fn motion_work(cannon: u32, minute: u32, pinion: u32, hour: u32) -> Made {
    Made::default()
        .arbor("centre", &format!("cannon {cannon}"))
        .arbor("minute", &format!("wheel {minute}, pinion {pinion}"))
        .arbor("hour", &format!("wheel {hour}"))
        .mesh("centre cannon", "minute wheel")
        .mesh("minute pinion", "hour wheel")
        .hand("minute", "centre", 3600)
        .hand("hour", "hour", 43_200)
}

/// The train of bib:student-answers: 80, 75, 70, escape wheel 15;
/// pinions 10, 10, 7; with hands and the motion work of the same page.
pub(super) fn student() -> Made {
    Made::default()
        .arbor("centre", "wheel 80, cannon pinion 12")
        .arbor("third", "pinion 10, wheel 75")
        .arbor("fourth", "pinion 10, wheel 70")
        .arbor("escape", "pinion 7, wheel 15")
        .arbor("minute wheel", "wheel 48, pinion 12")
        .arbor("hour wheel", "wheel 36")
        .mesh("centre wheel", "third pinion")
        .mesh("third wheel", "fourth pinion")
        .mesh("fourth wheel", "escape pinion")
        .mesh("centre cannon pinion", "minute wheel wheel")
        .mesh("minute wheel pinion", "hour wheel wheel")
        .hand("minute", "centre", 3600)
        .hand("hour", "hour wheel", 43_200)
        .hand("seconds", "fourth", 60)
        .balance("A", "escape wheel", None)
}
