//! Who points to whom, in one block of memory: plans are made anew after every change.

/// Links between things that are numbered from 0.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Links {
    start: Vec<u32>,
    to: Vec<u32>,
}

impl Links {
    /// From pairs of numbers below `count`; each stays as often as it is given, in its order.
    pub(crate) fn new(count: usize, pairs: impl Iterator<Item = (u32, u32)> + Clone) -> Self {
        let mut start = vec![0_u32; count + 1];
        for (from, _) in pairs.clone() {
            start[from as usize + 1] += 1;
        }
        for n in 0..count {
            start[n + 1] += start[n];
        }
        let mut next = start.clone();
        let mut to = vec![0; start[count] as usize];
        for (from, target) in pairs {
            let place = &mut next[from as usize];
            to[*place as usize] = target;
            *place += 1;
        }
        Self { start, to }
    }

    /// Where `from` points to.
    pub(crate) fn of(&self, from: u32) -> &[u32] {
        let from = from as usize;
        &self.to[self.start[from] as usize..self.start[from + 1] as usize]
    }

    /// How many things there are.
    pub(crate) fn count(&self) -> usize {
        self.start.len().saturating_sub(1)
    }

    /// The things that lie on or behind a loop: none where there is no loop.
    pub(crate) fn behind_loops(&self) -> Vec<u32> {
        let mut waits = vec![0_u32; self.count()];
        for target in &self.to {
            waits[*target as usize] += 1;
        }
        let mut free: Vec<u32> =
            (0..).zip(&waits).filter(|(_, waits)| **waits == 0).map(|(n, _)| n).collect();
        while let Some(node) = free.pop() {
            for target in self.of(node) {
                let waits = &mut waits[*target as usize];
                *waits -= 1;
                if *waits == 0 {
                    free.push(*target);
                }
            }
        }
        (0..).zip(&waits).filter(|(_, waits)| **waits > 0).map(|(n, _)| n).collect()
    }

    /// The groups of things that reach one another, of two or more each, among `nodes`; each group
    /// and the groups in ascending order.
    pub(crate) fn knots(&self, nodes: &[u32]) -> Vec<Vec<u32>> {
        let mut graph = petgraph::graphmap::DiGraphMap::<u32, ()>::new();
        let inside: std::collections::HashSet<u32> = nodes.iter().copied().collect();
        for node in nodes {
            graph.add_node(*node);
            for target in self.of(*node).iter().filter(|target| inside.contains(target)) {
                graph.add_edge(*node, *target, ());
            }
        }
        // The variant that does not call itself: chains are thousands of steps long.
        let mut knots = petgraph::algo::kosaraju_scc(&graph);
        knots.retain(|knot| knot.len() > 1);
        knots.iter_mut().for_each(|knot| knot.sort_unstable());
        knots.sort_unstable();
        knots
    }

    /// A shortest way from one thing to another through `allowed` ones, both ends included.
    pub(crate) fn way(
        &self,
        from: u32,
        to: u32,
        allowed: impl Fn(u32) -> bool,
    ) -> Option<Vec<u32>> {
        let mut came_from = vec![u32::MAX; self.count()];
        let mut queue = std::collections::VecDeque::from([from]);
        came_from[from as usize] = from;
        while let Some(node) = queue.pop_front() {
            if node == to {
                let mut way = vec![to];
                let mut at = to;
                while at != from {
                    at = came_from[at as usize];
                    way.push(at);
                }
                way.reverse();
                return Some(way);
            }
            for target in self.of(node) {
                if came_from[*target as usize] == u32::MAX && allowed(*target) {
                    came_from[*target as usize] = node;
                    queue.push_back(*target);
                }
            }
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn links(count: usize, pairs: &[(u32, u32)]) -> Links {
        Links::new(count, pairs.iter().copied())
    }

    #[test]
    fn what_lies_before_a_loop_is_not_behind_it() {
        let all = links(6, &[(0, 1), (1, 2), (2, 3), (3, 1), (3, 4)]);
        assert_eq!(all.behind_loops(), [1, 2, 3, 4]);
        assert_eq!(all.knots(&all.behind_loops()), [[1, 2, 3]]);
        assert_eq!(links(3, &[(0, 1), (1, 2)]).behind_loops(), [0; 0]);
    }

    #[test]
    fn the_shortest_way_is_found() {
        let all = links(5, &[(0, 1), (1, 2), (2, 4), (0, 3), (3, 4)]);
        assert_eq!(all.way(0, 4, |_| true), Some(vec![0, 3, 4]));
        assert_eq!(all.way(0, 4, |node| node != 3), Some(vec![0, 1, 2, 4]));
        assert_eq!(all.way(4, 0, |_| true), None);
    }
}
