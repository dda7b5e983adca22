use super::Fitted;
use quantities::Measured;
use std::f64::consts::PI;

/// Modulus of elasticity of spring steel, N/mm^2 (206 GPa; from memory, any table of materials. Alloys
/// for mainsprings differ by some per cent).
pub const MODULUS_N_PER_MM2: f64 = 206_000.0;

/// Torque of a spring in its barrel, by the linear theory of a flat spiral without friction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Torque {
    /// Torque for one turn of winding, N mm, and its uncertainty.
    pub per_turn_n_mm: Measured,
    /// Coils that the spring is wound beyond its free form when it is run down in the barrel.
    pub turns_set_up: f64,
    /// Turns from run down to wound up.
    pub turns: f64,
}

impl Torque {
    /// Torque in N mm after so many turns of winding from run down.
    ///
    /// `M = E h e^3 / (12 L) * theta` (from memory, any text on the strength of materials), `theta`
    /// from the free form of the spring. What the train gets is less: friction of the coils takes
    /// some, in a rough spring a third to a half (bib:goodrich1905, chapter XV), and a spring that
    /// has set gives less again.
    #[must_use]
    pub fn after_turns_n_mm(&self, turns: f64) -> Measured {
        self.per_turn_n_mm.scaled(self.turns_set_up + turns)
    }

    /// Wound up.
    #[must_use]
    pub fn up_n_mm(&self) -> Measured {
        self.after_turns_n_mm(self.turns)
    }

    /// Run down to the wall.
    #[must_use]
    pub fn down_n_mm(&self) -> Measured {
        self.after_turns_n_mm(0.0)
    }
}

impl Fitted {
    /// The spring's torque with this modulus in N/mm^2 (see [`MODULUS_N_PER_MM2`]); `None` where its
    /// height is not known.
    ///
    /// The uncertainty is that of thickness, height and length at a given winding, to first order
    /// (GUM, bib:jcgm100 clause 5.1.2): one per cent of the thickness is three per cent of the torque.
    #[must_use]
    pub fn torque(&self, modulus_n_per_mm2: f64) -> Option<Torque> {
        let height = self.spring.height_mm?;
        let (thickness, length) = (self.spring.thickness_mm, self.spring.length_mm);
        let e = thickness.value;
        let per_turn =
            modulus_n_per_mm2 * height.value * e * e * e / (12.0 * length.value) * 2.0 * PI;
        let share = |of: Measured| of.sd / of.value;
        let per_turn_n_mm = Measured::new(per_turn, 3.0 * share(thickness) * per_turn)
            .with_added_sd(share(height) * per_turn)
            .with_added_sd(share(length) * per_turn);
        Some(Torque {
            per_turn_n_mm,
            turns_set_up: self.coils_down() - self.spring.coils_free,
            turns: self.coils_up() - self.coils_down(),
        })
    }
}
