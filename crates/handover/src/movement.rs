//! Trains, springs and balances of the movement as they were counted, in words.

use crate::paper::{Facts, dense_table, joined, text};
use calibre::{BalanceKnown, Calibre, Mainspring, MeshSize, bench_unit};
use horology::train::{Mesh, Ratio, Running, ToothedAt};
use quantities::Measured;
use report::{Block, Cell, Column, Tone};
use words::trains as said;

/// What is not known.
const UNKNOWN: &str = "–";

/// The movement in tables. Text that cannot be read as one stands as it was entered.
pub(crate) fn counted(written: &str) -> Vec<Block> {
    if written.trim().is_empty() {
        return Vec::new();
    }
    match calibre::read(written) {
        Ok(calibre) => Counted::of(&calibre).blocks(),
        Err(unfit) => {
            let mut blocks = vec![
                Block::Heading("Trains and springs, as entered".to_owned()),
                Block::Note(format!("This cannot be read as a movement: {unfit}")),
            ];
            blocks.extend(text(written));
            blocks
        }
    }
}

struct Counted<'a> {
    calibre: &'a Calibre,
    /// Nothing where teeth are missing, or their numbers are too large: then nothing has a speed.
    running: Option<Running>,
}

impl<'a> Counted<'a> {
    fn of(calibre: &'a Calibre) -> Self {
        let is_whole = calibre.unknowns.is_empty();
        let running = is_whole.then(|| Running::of(&calibre.movement).ok()).flatten();
        Self { calibre, running }
    }

    fn blocks(&self) -> Vec<Block> {
        let mut blocks = vec![Block::Heading("Trains and springs".to_owned())];
        blocks.extend(text(&self.calibre.title));
        let problems = self.running.iter().flat_map(|running| &running.problems);
        blocks.extend(problems.map(|one| Block::Remark(Tone::Mind, one.to_string())));
        blocks.extend(self.trains());
        blocks.extend(self.hands());
        blocks.extend(self.balances());
        blocks.extend(self.barrels());
        blocks
    }

    /// A table a train, barrel first as it was entered.
    fn trains(&self) -> Vec<Block> {
        let arbors = &self.calibre.movement.parts().arbors;
        let Some(running) = &self.running else {
            return self.train("Trains", 0..arbors.len()).into_iter().collect();
        };
        let trains = running.arbors.iter().map(|arbor| arbor.train + 1).max().unwrap_or(0);
        let each = (0..trains).filter_map(|train| {
            let members = (0..arbors.len()).filter(|at| running.arbors[*at].train == train);
            let balances = self.calibre.movement.parts().balances.iter().zip(&running.balances);
            let own: Vec<&str> = balances
                .filter(|(_, runs)| runs.train == train)
                .map(|(balance, _)| balance.name.as_str())
                .collect();
            let caption = match (trains, own.is_empty()) {
                (1, _) => "Train".to_owned(),
                (_, true) => "Without a balance".to_owned(),
                (_, false) => format!("Train of balance {}", own.join(", ")),
            };
            self.train(&caption, members)
        });
        each.collect()
    }

    fn train(&self, caption: &str, arbors: impl Iterator<Item = usize>) -> Option<Block> {
        let rows = arbors.map(|at| {
            let arbor = &self.calibre.movement.parts().arbors[at];
            let carries = (0..arbor.carries.len()).map(|toothed| {
                let name = &arbor.carries[toothed].name;
                format!("{name} {}", self.teeth(ToothedAt { arbor: at, toothed }))
            });
            let carries: Vec<String> = carries.collect();
            let runs = self.running.as_ref().map(|running| running.arbors[at]);
            let turn = runs.and_then(|runs| runs.turn_s).or(arbor.turns_in_s);
            let way = runs.and_then(|runs| runs.sense).map_or("", said::sense);
            [arbor.name.clone(), carries.join(", "), self.drives(at), period(turn), way.to_owned()]
                .map(Cell::plain)
                .to_vec()
        });
        let columns = [
            Column::text("Arbor"),
            Column::text("Carries"),
            Column::wide("Works into"),
            Column::numbers("One turn"),
            Column::text("Seen from the dial"),
        ];
        dense_table(caption, columns, rows.collect())
    }

    fn teeth(&self, at: ToothedAt) -> String {
        match self.calibre.unknowns.iter().any(|unknown| unknown.at == at) {
            true => "(not counted)".to_owned(),
            false => {
                let toothed = &self.calibre.movement.parts().arbors[at.arbor].carries[at.toothed];
                toothed.teeth.to_string()
            }
        }
    }

    /// What an arbor works into, by the meshes that name it first.
    fn drives(&self, arbor: usize) -> String {
        let meshes = self.calibre.movement.parts().meshes.iter().zip(&self.calibre.mesh_sizes);
        let of_it = meshes.filter(|(mesh, _)| mesh.between[0].arbor == arbor);
        let each: Vec<String> = of_it.map(|(mesh, (_, size))| self.mesh(mesh, size)).collect();
        each.join("; ")
    }

    fn mesh(&self, mesh: &Mesh, size: &MeshSize) -> String {
        let name = self.calibre.movement.toothed_name(mesh.between[1]);
        let inside = if mesh.inside { "teeth inside" } else { "" };
        let apart = size.centre_distance_mm.map(|mm| format!("centres {} apart", sized(mm, "mm")));
        let module = size.module_mm.map(|mm| format!("module {}", sized(mm, "mm")));
        let [apart, module] = [apart, module].map(Option::unwrap_or_default);
        let more = joined(&[inside.to_owned(), apart, module], ", ");
        if more.is_empty() { name } else { format!("{name} ({more})") }
    }

    fn hands(&self) -> Vec<Block> {
        let parts = self.calibre.movement.parts();
        let rows = parts.hands.iter().enumerate().map(|(at, hand)| {
            let runs = self.running.as_ref().map(|running| running.hands[at]);
            let verdict = runs.map_or_else(|| UNKNOWN.to_owned(), |runs| said::verdict(&runs));
            let ought = period(Some(hand.ought_to_turn_in_s));
            let on = parts.arbors[hand.on].name.clone();
            [hand.name.clone(), on, ought, verdict].map(Cell::plain).to_vec()
        });
        let columns = [
            Column::text("Hand"),
            Column::text("On"),
            Column::numbers("Ought to turn in"),
            Column::wide("By the train"),
        ];
        dense_table("Hands", columns, rows.collect()).into_iter().collect()
    }

    fn balances(&self) -> Vec<Block> {
        let parts = self.calibre.movement.parts();
        let rows = parts.balances.iter().enumerate().map(|(at, balance)| {
            let runs =
                self.running.as_ref().and_then(|running| running.balances[at].beats_per_hour);
            let beats = runs.or(balance.beats_per_hour);
            let beats = beats
                .map_or_else(|| UNKNOWN.to_owned(), |beats| said::to_four_decimals(beats.to_f64()));
            let escape = self.calibre.movement.toothed_name(balance.escape);
            let known = known(&self.calibre.balances[at]);
            [balance.name.clone(), escape, beats, known].map(Cell::plain).to_vec()
        });
        let columns = [
            Column::text("Balance"),
            Column::text("Lets go"),
            Column::numbers("Beats an hour"),
            Column::wide("Measured"),
        ];
        dense_table("Balances", columns, rows.collect()).into_iter().collect()
    }

    fn barrels(&self) -> Vec<Block> {
        let parts = self.calibre.movement.parts();
        let rows = parts.barrels.iter().enumerate().map(|(at, barrel)| {
            let runs = self.running.as_ref().map(|running| running.barrels[at]);
            let turns = runs.and_then(|runs| runs.turns).or(barrel.turns);
            let turns =
                turns.map_or_else(|| UNKNOWN.to_owned(), |t| said::to_four_decimals(t.to_f64()));
            let longest = period(runs.and_then(|runs| runs.runs_s));
            let spring = self.calibre.mainsprings.iter().find(|spring| spring.barrel == at);
            let spring = spring.map(mainspring).unwrap_or_default();
            [barrel.name.clone(), turns, longest, spring].map(Cell::plain).to_vec()
        });
        let columns = [
            Column::text("Barrel"),
            Column::numbers("Turns"),
            Column::numbers("At most"),
            Column::wide("Mainspring"),
        ];
        dense_table("Barrels", columns, rows.collect()).into_iter().collect()
    }
}

fn period(seconds: Option<Ratio>) -> String {
    seconds.map_or_else(|| UNKNOWN.to_owned(), |seconds| said::period(seconds.to_f64()))
}

/// A size with its unit; without a ± where it was entered without one.
fn sized(size: Measured, unit: &str) -> String {
    match size.sd > 0.0 {
        true => words::regulating::with_unit(size, unit, false),
        false if unit == "°" => format!("{}°", said::to_four_decimals(size.value)),
        false => format!("{}\u{a0}{unit}", said::to_four_decimals(size.value)),
    }
}

/// What was entered of a balance, not what follows from it.
fn known(known: &BalanceKnown) -> String {
    let lift = known.lift_angle_deg.map(|lift| format!("lift angle {}", sized(lift, "°")));
    // Where entries contradict each other the page of the movement says so.
    let completed = known.knowns.complete().ok();
    let pieces = completed.iter().flat_map(|completed| {
        horology::balance::Piece::ALL.into_iter().filter_map(|piece| {
            let (unit, si) = bench_unit(piece);
            let value = completed.get(piece).filter(|_| completed.came_from(piece) == [piece])?;
            Some(format!("{} {}", piece.words(), sized(value.scaled(1.0 / si), unit)))
        })
    });
    lift.into_iter().chain(pieces).collect::<Vec<_>>().join(", ")
}

/// "0.10 mm thick, 1.2 mm high, 400 mm long; barrel 10.5 mm inside, arbor 3 mm"
fn mainspring(spring: &Mainspring) -> String {
    let mm = |size: Measured| sized(size, "mm");
    let mut sizes = vec![format!("{} thick", mm(spring.thickness_mm))];
    sizes.extend(spring.height_mm.map(|height| format!("{} high", mm(height))));
    sizes.extend(spring.length_mm.map(|length| format!("{} long", mm(length))));
    let mut room = vec![
        format!("barrel {} inside", mm(spring.inner_diameter_mm)),
        format!("arbor {}", mm(spring.arbor_diameter_mm)),
    ];
    room.extend(spring.barrel_height_mm.map(|height| format!("room {} high", mm(height))));
    format!("{}; {}", sizes.join(", "), room.join(", "))
}

/// What is set for listening to each balance, and what the repairer noted of the watch.
pub(crate) fn of_watch(watch: &jobs::Watch) -> Option<Block> {
    let mut facts = Facts::default();
    for (letter, balance) in ('A'..='Z').zip(&watch.balances) {
        let beat = balance
            .beats_per_hour
            .map(|beat| format!("{} beats an hour", quantities::digits::plain(beat, 0)));
        let lift = balance
            .lift_angle_deg
            .map(|lift| format!("lift angle {}°", quantities::digits::plain(lift, 0)));
        let words: Vec<String> = [beat, lift].into_iter().flatten().collect();
        facts.put(&format!("Balance {letter}"), words.join(", "));
    }
    facts.put("Notes", watch.notes.trim());
    (!facts.0.is_empty()).then_some(Block::Facts(facts.0))
}
