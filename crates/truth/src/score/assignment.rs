/// The one-to-one assignment of rows to columns with the least total cost, as the column of
/// each row; `None` for rows left over where there are more rows than columns.
///
/// `cost[row][column]`, all rows equally long, finite. The shortest augmenting path method with
/// potentials (R. Jonker, A. Volgenant, Computing 38, 1987; the "Hungarian" method), of order
/// rows² × columns.
#[must_use]
pub fn cheapest_assignment(cost: &[Vec<f64>]) -> Vec<Option<usize>> {
    let rows = cost.len();
    let columns = cost.first().map_or(0, Vec::len);
    if columns == 0 {
        return vec![None; rows];
    }
    if rows > columns {
        let turned: Vec<Vec<f64>> =
            (0..columns).map(|c| cost.iter().map(|row| row[c]).collect()).collect();
        let mut of_row = vec![None; rows];
        for (column, row) in cheapest_assignment(&turned).into_iter().enumerate() {
            if let Some(row) = row {
                of_row[row] = Some(column);
            }
        }
        return of_row;
    }
    // Rows and columns are counted from 1 here; 0 is the start of each path.
    let mut row_potential = vec![0.0; rows + 1];
    let mut column_potential = vec![0.0; columns + 1];
    let mut row_of = vec![0_usize; columns + 1];
    let mut came_from = vec![0_usize; columns + 1];
    for row in 1..=rows {
        row_of[0] = row;
        let mut at = 0;
        let mut shortest = vec![f64::INFINITY; columns + 1];
        let mut done = vec![false; columns + 1];
        loop {
            done[at] = true;
            let from = row_of[at];
            let (mut step, mut nearest) = (f64::INFINITY, 0);
            for column in 1..=columns {
                if done[column] {
                    continue;
                }
                let reduced =
                    cost[from - 1][column - 1] - row_potential[from] - column_potential[column];
                if reduced < shortest[column] {
                    shortest[column] = reduced;
                    came_from[column] = at;
                }
                if shortest[column] < step {
                    step = shortest[column];
                    nearest = column;
                }
            }
            for column in 0..=columns {
                if done[column] {
                    row_potential[row_of[column]] += step;
                    column_potential[column] -= step;
                } else {
                    shortest[column] -= step;
                }
            }
            at = nearest;
            if row_of[at] == 0 {
                break;
            }
        }
        while at != 0 {
            let before = came_from[at];
            row_of[at] = row_of[before];
            at = before;
        }
    }
    let mut of_row = vec![None; rows];
    for column in 1..=columns {
        if row_of[column] > 0 {
            of_row[row_of[column] - 1] = Some(column - 1);
        }
    }
    of_row
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn total(cost: &[Vec<f64>], assignment: &[Option<usize>]) -> f64 {
        assignment.iter().enumerate().filter_map(|(r, c)| c.map(|c| cost[r][c])).sum()
    }

    /// Example of the documentation of `scipy.optimize.linear_sum_assignment` (SciPy 1.17):
    /// columns 1, 0, 2, total 5.
    #[test]
    fn example_of_scipy() {
        let cost = vec![vec![4.0, 1.0, 3.0], vec![2.0, 0.0, 5.0], vec![3.0, 2.0, 2.0]];
        let a = cheapest_assignment(&cost);
        assert_eq!(a, vec![Some(1), Some(0), Some(2)]);
        assert_eq!(total(&cost, &a), 5.0);
    }

    #[test]
    fn nothing_to_assign() {
        assert!(cheapest_assignment(&[]).is_empty());
        assert_eq!(cheapest_assignment(&[vec![], vec![]]), vec![None, None]);
    }

    /// Cheapest by trying everything.
    fn by_trying(cost: &[Vec<f64>], row: usize, free: &mut Vec<usize>, may_skip: usize) -> f64 {
        if row == cost.len() {
            return 0.0;
        }
        let mut best = f64::INFINITY;
        if may_skip > 0 {
            best = by_trying(cost, row + 1, free, may_skip - 1);
        }
        for i in 0..free.len() {
            let column = free.remove(i);
            best = best.min(cost[row][column] + by_trying(cost, row + 1, free, may_skip));
            free.insert(i, column);
        }
        best
    }

    proptest! {
        #[test]
        fn as_cheap_as_trying_everything(
            rows in 1_usize..6, columns in 1_usize..6, numbers in prop::collection::vec(-9_i32..99, 25)
        ) {
            let cost: Vec<Vec<f64>> = (0..rows)
                .map(|r| (0..columns).map(|c| f64::from(numbers[r * 5 + c])).collect())
                .collect();
            let a = cheapest_assignment(&cost);
            prop_assert_eq!(a.iter().flatten().count(), rows.min(columns));
            let mut free: Vec<usize> = (0..columns).collect();
            let best = by_trying(&cost, 0, &mut free, rows.saturating_sub(columns));
            // Whole numbers: no rounding to allow for.
            prop_assert_eq!(total(&cost, &a), best);
        }
    }
}
