use super::{Arbor, Balance, Hand, Impossible, Mesh, Movement, Parts, Ratio, Toothed, ToothedAt};

/// Names of the parts of a row.
const WHEEL: &str = "wheel";
const PINION: &str = "pinion";

/// A train in one row, as old tables print it: each wheel drives the pinion of the same place.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Row {
    /// Teeth of the driving wheels, the first being the slowest.
    pub wheels: Vec<u32>,
    /// Leaves of the pinions that they drive, as many.
    pub pinions: Vec<u32>,
    /// Teeth of the escape wheel on the last arbor, where there is one.
    pub escape: Option<u32>,
    /// Time of one turn of the first arbor, seconds: 3600 where that is the centre.
    pub first_turns_in_s: Option<Ratio>,
    /// Beats per hour of the balance, where they are known.
    pub beats_per_hour: Option<Ratio>,
}

impl Row {
    /// The row as a movement. Arbors are named by their place, `no. 1` and on; one hand, `first`, sits
    /// on the first, and one, `last`, on the last, where they are asked for by the time of a turn.
    ///
    /// # Errors
    /// [`Impossible::Row`] where there are not as many pinions as wheels, and what else no movement
    /// can have.
    pub fn movement(
        &self,
        first_ought_to_turn_in_s: Option<Ratio>,
        last_ought_to_turn_in_s: Option<Ratio>,
    ) -> Result<Movement, Impossible> {
        let (wheels, pinions) = (self.wheels.len(), self.pinions.len());
        if wheels != pinions || wheels == 0 {
            return Err(Impossible::Row { wheels, pinions });
        }
        let mut arbors: Vec<Arbor> = (0..=wheels)
            .map(|place| Arbor {
                name: format!("no. {}", place + 1),
                carries: Vec::new(),
                turns_in_s: None,
            })
            .collect();
        arbors[0].turns_in_s = self.first_turns_in_s;
        let mut meshes = Vec::new();
        for (place, (&wheel, &pinion)) in self.wheels.iter().zip(&self.pinions).enumerate() {
            let driving = put(&mut arbors[place], place, WHEEL, wheel);
            let driven = put(&mut arbors[place + 1], place + 1, PINION, pinion);
            meshes.push(Mesh { between: [driving, driven], inside: false });
        }
        let balances = self.escape.map(|teeth| Balance {
            name: "A".into(),
            escape: put(&mut arbors[wheels], wheels, "escape wheel", teeth),
            beats_per_tooth: 2,
            beats_per_hour: self.beats_per_hour,
        });
        let hand = |name: &str, on, turn_s: Option<Ratio>, anticlockwise| {
            turn_s.map(|ought_to_turn_in_s| Hand {
                name: name.into(),
                on,
                ought_to_turn_in_s,
                anticlockwise,
            })
        };
        // A row says nothing of where its hands stand, so the last turns as the meshes have it.
        let hands = [
            hand("first", 0, first_ought_to_turn_in_s, false),
            hand("last", wheels, last_ought_to_turn_in_s, wheels % 2 == 1),
        ];
        Movement::new(Parts {
            arbors,
            meshes,
            balances: balances.into_iter().collect(),
            hands: hands.into_iter().flatten().collect(),
            barrels: Vec::new(),
        })
    }

    /// Where the wheel of this place (from 0) is in the movement.
    #[must_use]
    pub fn wheel(place: usize) -> ToothedAt {
        // Every arbor but the first carries its pinion before its wheel.
        ToothedAt { arbor: place, toothed: usize::from(place > 0) }
    }

    /// Where the pinion that the wheel of this place drives is.
    #[must_use]
    pub fn pinion(place: usize) -> ToothedAt {
        ToothedAt { arbor: place + 1, toothed: 0 }
    }

    /// Where the escape wheel is.
    #[must_use]
    pub fn escape_wheel(&self) -> ToothedAt {
        ToothedAt { arbor: self.wheels.len(), toothed: 1 }
    }
}

fn put(arbor: &mut Arbor, place: usize, name: &str, teeth: u32) -> ToothedAt {
    arbor.carries.push(Toothed { name: name.into(), teeth });
    ToothedAt { arbor: place, toothed: arbor.carries.len() - 1 }
}
