//! Who goes where at the least cost: the linear assignment problem, exactly, with the proof beside the answer.
//!
//! Costs are whole numbers, so that sums and ties are exact and every machine gives the same answer.
//!
//! What this does not do: know shelves or sets. Rows are layers, columns are what may lie in them.

/// A cost so high that no sum of real ones reaches it. House choice: a quarter of the range, so that two can be added.
const NEVER: i64 = i64::MAX / 4;

/// Rows that each want one column, and what each pairing costs.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Costs {
    n_columns: usize,
    /// Row by row; none where the pairing is not allowed.
    cells: Vec<Option<i64>>,
    /// What it costs to leave a row without a column.
    leave: Vec<i64>,
}

impl Costs {
    /// Costs of `leave.len()` rows, each with `n_columns` cells.
    ///
    /// # Input    `cell` is asked once for each row and column; every cost lies within ±10^15.
    #[must_use]
    pub fn new(n_columns: usize, leave: Vec<i64>, mut cell: impl FnMut(usize, usize) -> Option<i64>) -> Self {
        let mut cells = Vec::with_capacity(leave.len().saturating_mul(n_columns));
        for row in 0..leave.len() {
            cells.extend((0..n_columns).map(|column| cell(row, column)));
        }
        Self { n_columns, cells, leave }
    }

    fn n_rows(&self) -> usize {
        self.leave.len()
    }

    /// The cost of a cell; behind the real columns every row has one of its own that stands for none.
    fn at(&self, row: usize, column: usize) -> i64 {
        let own = self.n_columns + row;
        if column == own {
            return self.leave.get(row).copied().unwrap_or(NEVER);
        }
        if column >= self.n_columns {
            return NEVER;
        }
        self.cells.get(row * self.n_columns + column).copied().flatten().unwrap_or(NEVER)
    }
}

/// The best assignment.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Assigned {
    /// The column of each row; none where it is left without one.
    pub columns: Vec<Option<usize>>,
    /// What it costs in all.
    pub cost: i64,
    /// Prices of rows and of columns, that prove it: see [`Assigned::bound`].
    pub prices: (Vec<i64>, Vec<i64>),
}

impl Assigned {
    /// The sum of the prices. No column's price is above 0, and no cell costs less than its row's and column's prices
    /// together, so no assignment can cost less than this; here it equals the cost.
    #[must_use]
    pub fn bound(&self) -> i64 {
        self.prices.0.iter().chain(&self.prices.1).sum()
    }
}

/// The assignment of least cost.
///
/// # Returns  Always one: a row may be left without a column. Of equal answers the same one for the same input.
/// # Source   shortest augmenting paths with prices, as R. Jonker and A. Volgenant, "A shortest augmenting path
/// algorithm for dense and sparse linear assignment problems", Computing 38 (1987); from memory, and checked against
/// brute force here and against a general library in tests/oracle/assignment.py. Rows times the square of rows, times
/// columns at the worst.
/// # Example
/// ```
/// use tripoise_core::planning::assign::{Costs, assign};
/// let table = [[4, 1, 3], [2, 0, 5]];
/// let found = assign(&Costs::new(3, vec![100, 100], |row, column| Some(table[row][column])));
/// assert_eq!((found.columns, found.cost), (vec![Some(1), Some(0)], 3));
/// ```
#[must_use]
pub fn assign(costs: &Costs) -> Assigned {
    let n_all = costs.n_columns + costs.n_rows();
    let mut rows = vec![0_i64; costs.n_rows()];
    let mut columns = vec![0_i64; n_all];
    let mut row_of: Vec<Option<usize>> = vec![None; n_all];
    for row in 0..costs.n_rows() {
        augment(costs, row, &mut rows, &mut columns, &mut row_of);
    }
    let mut found = vec![None; costs.n_rows()];
    let mut cost = 0;
    for (column, row) in row_of.iter().enumerate() {
        if let Some(row) = *row {
            found[row] = (column < costs.n_columns).then_some(column);
            cost += costs.at(row, column);
        }
    }
    Assigned { columns: found, cost, prices: (rows, columns) }
}

/// Gives one more row a column, along the cheapest path of exchanges.
fn augment(
    costs: &Costs,
    new_row: usize,
    rows: &mut [i64],
    columns: &mut [i64],
    row_of: &mut [Option<usize>],
) {
    let n_all = columns.len();
    let (mut least, mut came_from) = (vec![NEVER; n_all], vec![None; n_all]);
    let mut done = vec![false; n_all];
    let mut path: Vec<(usize, i64)> = Vec::new();
    let (mut row, mut reached, mut last) = (new_row, 0_i64, None);
    let end = loop {
        let mut next: Option<usize> = None;
        for column in 0..n_all {
            if done[column] {
                continue;
            }
            let cell = costs.at(row, column);
            if cell < NEVER {
                let via = reached + cell - rows[row] - columns[column];
                if via < least[column] {
                    least[column] = via;
                    came_from[column] = last;
                }
            }
            if least[column] < next.map_or(NEVER, |best: usize| least[best]) {
                next = Some(column);
            }
        }
        // The row's own empty column is always within reach.
        let Some(column) = next else { break None };
        done[column] = true;
        reached = least[column];
        match row_of[column] {
            None => break Some(column),
            Some(taken) => {
                path.push((column, reached));
                row = taken;
                last = Some(column);
            }
        }
    };
    rows[new_row] += reached;
    for (column, at) in path {
        if let Some(taken) = row_of[column] {
            rows[taken] += reached - at;
        }
        columns[column] -= reached - at;
    }
    let mut column = end;
    while let Some(at) = column {
        let before = came_from[at];
        row_of[at] = before.map_or(Some(new_row), |from: usize| row_of[from]);
        column = before;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The least cost over every way.
    fn by_brute_force(costs: &Costs, row: usize, taken: &mut Vec<usize>) -> i64 {
        if row == costs.n_rows() {
            return 0;
        }
        let mut best = costs.leave[row] + by_brute_force(costs, row + 1, taken);
        for column in (0..costs.n_columns).filter(|column| !taken.contains(column)).collect::<Vec<_>>() {
            if let Some(cell) = costs.cells[row * costs.n_columns + column] {
                taken.push(column);
                best = best.min(cell + by_brute_force(costs, row + 1, taken));
                taken.pop();
            }
        }
        best
    }

    fn tables() -> impl Strategy<Value = Costs> {
        (0..6_usize, 0..7_usize).prop_flat_map(|(n_rows, n_columns)| {
            let cells = prop::collection::vec(prop::option::weighted(0.8, -9..30_i64), n_rows * n_columns);
            (cells, prop::collection::vec(0..60_i64, n_rows)).prop_map(move |(cells, leave)| Costs {
                n_columns,
                cells,
                leave,
            })
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(600))]

        #[test]
        fn nothing_costs_less_and_the_prices_prove_it(costs in tables()) {
            let found = assign(&costs);
            prop_assert_eq!(found.cost, by_brute_force(&costs, 0, &mut Vec::new()));
            prop_assert_eq!(found.bound(), found.cost);
            let (rows, columns) = &found.prices;
            prop_assert!(columns.iter().all(|price| *price <= 0));
            for (row, own) in rows.iter().enumerate() {
                for (column, price) in columns.iter().enumerate() {
                    prop_assert!(own + price <= costs.at(row, column));
                }
            }
            let mut taken: Vec<usize> = found.columns.iter().flatten().copied().collect();
            taken.sort_unstable();
            prop_assert!(taken.windows(2).all(|pair| pair[0] < pair[1]), "a column twice: {:?}", taken);
        }
    }

    #[test]
    fn a_row_is_left_alone_where_nothing_is_allowed() {
        let costs = Costs::new(2, vec![50, 40], |row, column| (row == 0 && column == 1).then_some(5));
        let found = assign(&costs);
        assert_eq!((found.columns, found.cost), (vec![Some(1), None], 45));
    }
}
