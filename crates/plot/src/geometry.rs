//! Boxes, and cutting lines and areas off at the edge of one.

/// An upright box in px, y downwards.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Area {
    pub(crate) left: f64,
    pub(crate) top: f64,
    pub(crate) right: f64,
    pub(crate) bottom: f64,
}

/// A place in px.
pub(crate) type Point = (f64, f64);

impl Area {
    pub(crate) fn new(left: f64, top: f64, width: f64, height: f64) -> Self {
        Self { left, top, right: left + width, bottom: top + height }
    }

    pub(crate) fn width(&self) -> f64 {
        self.right - self.left
    }

    pub(crate) fn height(&self) -> f64 {
        self.bottom - self.top
    }

    /// The box without a margin at each side.
    pub(crate) fn inset(&self, left: f64, top: f64, right: f64, bottom: f64) -> Self {
        Self {
            left: self.left + left,
            top: self.top + top,
            right: self.right - right,
            bottom: self.bottom - bottom,
        }
    }

    /// Area in px² that two boxes share.
    pub(crate) fn shared(&self, other: &Self) -> f64 {
        let width = self.right.min(other.right) - self.left.max(other.left);
        let height = self.bottom.min(other.bottom) - self.top.max(other.top);
        if width > 0.0 && height > 0.0 { width * height } else { 0.0 }
    }

    /// Whether the other box lies inside, to a thousandth of a px.
    pub(crate) fn holds(&self, other: &Self) -> bool {
        const SLACK: f64 = 1e-3;
        other.left >= self.left - SLACK
            && other.right <= self.right + SLACK
            && other.top >= self.top - SLACK
            && other.bottom <= self.bottom + SLACK
    }

    /// Whether a point lies inside or on the edge.
    pub(crate) fn has(&self, (x, y): Point) -> bool {
        x >= self.left && x <= self.right && y >= self.top && y <= self.bottom
    }

    /// The part of a line from `a` to `b` that lies inside (after Liang and Barsky, 1984).
    fn cut_segment(&self, a: Point, b: Point) -> Option<(Point, Point)> {
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let (mut from, mut to) = (0.0f64, 1.0f64);
        for (direction, distance) in [
            (-dx, a.0 - self.left),
            (dx, self.right - a.0),
            (-dy, a.1 - self.top),
            (dy, self.bottom - a.1),
        ] {
            if direction == 0.0 {
                if distance < 0.0 {
                    return None;
                }
                continue;
            }
            let at = distance / direction;
            if direction < 0.0 {
                from = from.max(at);
            } else {
                to = to.min(at);
            }
        }
        if from > to {
            return None;
        }
        let at = |share: f64| {
            let (x, y) = (a.0 + share * dx, a.1 + share * dy);
            (x.clamp(self.left, self.right), y.clamp(self.top, self.bottom))
        };
        Some((at(from), at(to)))
    }

    /// The pieces of a line through these points that lie inside.
    pub(crate) fn cut_line(&self, points: &[Point]) -> Vec<Vec<Point>> {
        let mut pieces: Vec<Vec<Point>> = Vec::new();
        let mut piece: Vec<Point> = Vec::new();
        for pair in points.windows(2) {
            let Some((a, b)) = self.cut_segment(pair[0], pair[1]) else {
                pieces.extend((piece.len() > 1).then(|| std::mem::take(&mut piece)));
                piece.clear();
                continue;
            };
            if piece.last() != Some(&a) {
                if piece.len() > 1 {
                    pieces.push(std::mem::take(&mut piece));
                }
                piece = vec![a];
            }
            if a != b {
                piece.push(b);
            }
        }
        if piece.len() > 1 {
            pieces.push(piece);
        }
        pieces
    }

    /// The part of a polygon that lies inside (after Sutherland and Hodgman, 1974).
    pub(crate) fn cut_polygon(&self, points: &[Point]) -> Vec<Point> {
        type Edge = (fn(&Area, Point) -> f64, fn(&mut Point, &Area));
        let edges: [Edge; 4] = [
            (|area, p| p.0 - area.left, |p, area| p.0 = area.left),
            (|area, p| area.right - p.0, |p, area| p.0 = area.right),
            (|area, p| p.1 - area.top, |p, area| p.1 = area.top),
            (|area, p| area.bottom - p.1, |p, area| p.1 = area.bottom),
        ];
        let mut kept = points.to_vec();
        for (inside, onto_edge) in edges {
            let given = std::mem::take(&mut kept);
            for (at, &here) in given.iter().enumerate() {
                let before = given[(at + given.len() - 1) % given.len()];
                let (d_before, d_here) = (inside(self, before), inside(self, here));
                if (d_before < 0.0) != (d_here < 0.0) {
                    let share = d_before / (d_before - d_here);
                    let mut cut = (
                        before.0 + share * (here.0 - before.0),
                        before.1 + share * (here.1 - before.1),
                    );
                    onto_edge(&mut cut, self);
                    kept.push(cut);
                }
                if d_here >= 0.0 {
                    kept.push(here);
                }
            }
        }
        // What rounding has left a hair outside.
        for (x, y) in &mut kept {
            *x = x.clamp(self.left, self.right);
            *y = y.clamp(self.top, self.bottom);
        }
        kept
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const BOX: Area = Area { left: 10.0, top: 20.0, right: 110.0, bottom: 80.0 };

    #[test]
    fn a_line_through_the_box_is_cut_at_both_edges() {
        let pieces = BOX.cut_line(&[(0.0, 50.0), (200.0, 50.0)]);
        assert_eq!(pieces, [vec![(10.0, 50.0), (110.0, 50.0)]]);
        assert!(BOX.cut_line(&[(0.0, 0.0), (200.0, 0.0)]).is_empty());
    }

    #[test]
    fn a_line_that_leaves_and_comes_back_gives_two_pieces() {
        let pieces = BOX.cut_line(&[(20.0, 50.0), (60.0, 130.0), (100.0, 50.0)]);
        assert_eq!(pieces.len(), 2);
        assert_eq!(pieces[0][1], (35.0, 80.0));
        assert_eq!(pieces[1][0], (85.0, 80.0));
    }

    #[test]
    fn a_polygon_around_the_box_becomes_the_box() {
        let cut = BOX.cut_polygon(&[(0.0, 0.0), (500.0, 0.0), (500.0, 500.0), (0.0, 500.0)]);
        assert_eq!(cut.len(), 4);
        assert!(cut.contains(&(10.0, 20.0)) && cut.contains(&(110.0, 80.0)));
    }

    proptest! {
        #[test]
        fn nothing_is_left_outside(points in prop::collection::vec((-1e6..1e6f64, -1e6..1e6f64), 0..40)) {
            for point in BOX.cut_line(&points).into_iter().flatten().chain(BOX.cut_polygon(&points)) {
                let spot = Area::new(point.0, point.1, 0.0, 0.0);
                prop_assert!(BOX.holds(&spot), "{point:?}");
            }
        }
    }
}
