//! Finds places for words so that they do not lie on each other.

use crate::geometry::Area;

/// Centres for labels of one height on an upright line, each as near its wanted place as it can
/// be (least squares) without two touching, all between `least` and `most`. Where there is no
/// room for all, they are spread evenly. The answer is in the order of the question.
pub(crate) fn spread(wanted: &[f64], height: f64, least: f64, most: f64) -> Vec<f64> {
    let count = wanted.len();
    let mut order: Vec<usize> = (0..count).collect();
    order.sort_by(|a, b| wanted[*a].total_cmp(&wanted[*b]));
    let room = (most - least).max(0.0);
    let step = if count as f64 * height > room { room / count as f64 } else { height };
    // With each label moved up by what the labels before it need, "not touching" becomes "not
    // falling": the least squares answer is found by pooling neighbours that fall.
    let mut pools: Vec<(f64, usize)> = Vec::new();
    for (rank, &n) in order.iter().enumerate() {
        let mut pool = (wanted[n] - rank as f64 * step, 1);
        while let Some(&(mean, size)) = pools.last() {
            if mean <= pool.0 {
                break;
            }
            pools.pop();
            let total = mean * size as f64 + pool.0 * pool.1 as f64;
            pool = (total / (size + pool.1) as f64, size + pool.1);
        }
        pools.push(pool);
    }
    let mut placed = vec![0.0; count];
    let mut rank = 0;
    let lowest = least + step / 2.0;
    let highest = (most - step * (count as f64 - 0.5)).max(lowest);
    for (mean, size) in pools {
        for _ in 0..size {
            placed[order[rank]] = mean.clamp(lowest, highest) + rank as f64 * step;
            rank += 1;
        }
    }
    placed
}

/// A place that a label might take, and how much it would rather be elsewhere.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Candidate {
    pub(crate) area: Area,
    /// A thin line that leads from the label to what it names; must be as free as the label.
    pub(crate) leader: Option<Area>,
    pub(crate) cost: f64,
}

impl Candidate {
    fn clashes(&self, other: &Self) -> bool {
        let own = [Some(self.area), self.leader];
        let others = [Some(other.area), other.leader];
        own.iter().flatten().any(|a| others.iter().flatten().any(|b| a.shared(b) > 0.0))
    }
}

/// Something that is not a label and would rather not be covered.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Obstacle {
    pub(crate) area: Area,
    /// Cost of covering it, per px².
    pub(crate) cost: f64,
}

impl Obstacle {
    /// A stretch of a line: it can be followed on the other side of a label.
    pub(crate) fn line(area: Area) -> Self {
        Self { area, cost: 1.0 }
    }

    /// A mark that is lost when covered.
    pub(crate) fn mark(area: Area) -> Self {
        Self { area, cost: 8.0 }
    }
}

// Leaving a label out is worse than any place that is free of other labels.
const LEFT_OUT_COST: f64 = 1e4;
// The search looks at no more than this many places; a dozen labels need a few hundred.
const MOST_STEPS: usize = 20_000;

/// Chooses for each label one of its candidates, so that all lie within `bounds`, no two labels
/// touch, obstacles are covered as little as possible, and the sum of costs is least. `None`
/// where a label finds no place at all; earlier labels matter more only where time runs out.
pub(crate) fn place(
    labels: &[Vec<Candidate>],
    obstacles: &[Obstacle],
    bounds: Area,
) -> Vec<Option<usize>> {
    let priced: Vec<Vec<(usize, Candidate)>> = labels
        .iter()
        .map(|candidates| {
            let mut priced: Vec<(usize, Candidate)> = candidates
                .iter()
                .enumerate()
                .filter(|(_, c)| bounds.holds(&c.area))
                .map(|(n, c)| {
                    let covered: f64 =
                        obstacles.iter().map(|o| o.cost * o.area.shared(&c.area)).sum();
                    (n, Candidate { cost: c.cost + covered, ..*c })
                })
                .collect();
            priced.sort_by(|a, b| a.1.cost.total_cmp(&b.1.cost));
            priced
        })
        .collect();
    // What the labels from each one on will cost at the least.
    let mut still_to_come = vec![0.0; labels.len() + 1];
    for (n, candidates) in priced.iter().enumerate().rev() {
        let cheapest = candidates.first().map_or(LEFT_OUT_COST, |(_, c)| c.cost);
        still_to_come[n] = still_to_come[n + 1] + cheapest.min(LEFT_OUT_COST);
    }
    let mut search = Search {
        priced: &priced,
        still_to_come: &still_to_come,
        best: vec![None; labels.len()],
        best_cost: f64::INFINITY,
        steps: 0,
    };
    search.go_on(&mut Vec::new(), 0.0);
    search.best
}

struct Search<'a> {
    priced: &'a [Vec<(usize, Candidate)>],
    still_to_come: &'a [f64],
    best: Vec<Option<usize>>,
    best_cost: f64,
    steps: usize,
}

impl Search<'_> {
    fn go_on(&mut self, chosen: &mut Vec<Option<(usize, Candidate)>>, cost: f64) {
        let at_least = cost + self.still_to_come[chosen.len()];
        if at_least >= self.best_cost || (self.steps > MOST_STEPS && self.best_cost.is_finite()) {
            return;
        }
        self.steps += 1;
        let priced = self.priced;
        let Some(candidates) = priced.get(chosen.len()) else {
            self.best_cost = cost;
            self.best = chosen.iter().map(|c| c.map(|(n, _)| n)).collect();
            return;
        };
        for &(n, candidate) in candidates {
            if chosen.iter().flatten().any(|(_, other)| other.clashes(&candidate)) {
                continue;
            }
            chosen.push(Some((n, candidate)));
            self.go_on(chosen, cost + candidate.cost);
            chosen.pop();
        }
        chosen.push(None);
        self.go_on(chosen, cost + LEFT_OUT_COST);
        chosen.pop();
    }
}

/// Which labels along a line can be kept with at least `gap` between them, the first in the list
/// having the first choice. Each is given as (left end, right end).
pub(crate) fn without_crowding(labels: &[(f64, f64)], taken: &[(f64, f64)], gap: f64) -> Vec<bool> {
    let mut held: Vec<(f64, f64)> = taken.to_vec();
    labels
        .iter()
        .map(|&(left, right)| {
            let free = held.iter().all(|&(l, r)| right + gap <= l || left >= r + gap);
            if free {
                held.push((left, right));
            }
            free
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn labels_that_have_room_stay_where_they_want_to_be() {
        assert_eq!(spread(&[100.0, 20.0], 30.0, 0.0, 300.0), [100.0, 20.0]);
    }

    #[test]
    fn two_labels_at_one_place_part_evenly() {
        assert_eq!(spread(&[100.0, 100.0], 30.0, 0.0, 300.0), [85.0, 115.0]);
    }

    #[test]
    fn the_cheapest_place_without_a_clash_wins() {
        let at = |left: f64, cost: f64| Candidate {
            area: Area::new(left, 0.0, 10.0, 10.0),
            leader: None,
            cost,
        };
        let labels = [vec![at(0.0, 0.0), at(20.0, 5.0)], vec![at(5.0, 0.0), at(40.0, 50.0)]];
        let bounds = Area::new(0.0, 0.0, 100.0, 100.0);
        // Moving the first costs 5, moving the second 50.
        assert_eq!(place(&labels, &[], bounds), [Some(1), Some(0)]);
        // A label with nowhere to go within bounds is left out, the others stay.
        let lost = [vec![at(-50.0, 0.0)], vec![at(5.0, 0.0)]];
        assert_eq!(place(&lost, &[], bounds), [None, Some(0)]);
    }

    #[test]
    fn crowded_ticks_give_way_to_the_first() {
        let kept = without_crowding(&[(0.0, 10.0), (8.0, 18.0), (20.0, 30.0)], &[], 4.0);
        assert_eq!(kept, [true, false, true]);
    }

    proptest! {
        #[test]
        fn spread_labels_never_touch_and_stay_inside(wanted in prop::collection::vec(-1e4..1e4f64, 0..12)) {
            let placed = spread(&wanted, 20.0, 0.0, 300.0);
            let mut sorted = placed.clone();
            sorted.sort_by(f64::total_cmp);
            for pair in sorted.windows(2) {
                prop_assert!(pair[1] - pair[0] >= 20.0 - 1e-9);
            }
            for centre in placed {
                prop_assert!((10.0 - 1e-9..=290.0 + 1e-9).contains(&centre));
            }
        }

        #[test]
        fn placed_labels_never_touch(seeds in prop::collection::vec((0.0..200.0f64, 0.0..50.0f64), 0..9)) {
            let labels: Vec<Vec<Candidate>> = seeds
                .iter()
                .map(|&(x, y)| {
                    (0..6).map(|n| Candidate { area: Area::new(x, y + 12.0 * f64::from(n), 60.0, 11.0), leader: None, cost: f64::from(n) }).collect()
                })
                .collect();
            let bounds = Area::new(0.0, 0.0, 300.0, 120.0);
            let chosen = place(&labels, &[], bounds);
            let areas: Vec<Area> =
                chosen.iter().zip(&labels).filter_map(|(c, l)| c.map(|n| l[n].area)).collect();
            for (n, a) in areas.iter().enumerate() {
                prop_assert!(bounds.holds(a));
                for b in &areas[n + 1..] {
                    prop_assert_eq!(a.shared(b), 0.0);
                }
            }
        }
    }
}
