//! Least squares of least norm: of all vectors that fit a set of equations best, the shortest.
//!
//! Householder QR with column pivoting, then the part along the directions that no equation sees is taken
//! out. Dense, for some hundred unknowns.
//!
//! What this does not do: weights, or more unknowns than a shelf has stations.

/// The solution and what it rests on.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct LeastNorm {
    /// One value per unknown.
    pub values: Vec<f64>,
    /// How many directions the equations see.
    pub rank: usize,
}

/// Solves `rows · x = right` for `n` unknowns. A direction that the equations see less than `seen` times as
/// well as the best is not seen.
pub(super) fn solve(rows: &[Vec<f64>], right: &[f64], n: usize, seen: f64) -> LeastNorm {
    // Column-major, so that a reflection walks along memory; the right side is the last column.
    let mut columns: Vec<Vec<f64>> =
        (0..n).map(|j| rows.iter().map(|row| row.get(j).copied().unwrap_or(0.0)).collect()).collect();
    let mut order: Vec<usize> = (0..n).collect();
    let mut target = right.to_vec();
    let mut first_size = 0.0;
    let mut rank = 0;
    while rank < n.min(rows.len()) {
        let (pivot, size) = longest(&columns, rank);
        if rank == 0 {
            first_size = size;
        }
        if size <= seen * first_size || size == 0.0 {
            break;
        }
        columns.swap(rank, pivot);
        order.swap(rank, pivot);
        reflect(&mut columns, &mut target, rank, size);
        rank += 1;
    }
    let basic = back(&columns, rank, &target);
    let unseen = orthonormal((rank..n).map(|j| null_direction(&columns, rank, j)).collect());
    let mut sorted = vec![0.0; n];
    sorted.iter_mut().zip(&basic).for_each(|(to, from)| *to = *from);
    for direction in &unseen {
        take_out(&mut sorted, direction);
    }
    let mut values = vec![0.0; n];
    for (place, value) in order.iter().zip(sorted) {
        if let Some(to) = values.get_mut(*place) {
            *to = value;
        }
    }
    LeastNorm { values, rank }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).fold(0.0, |sum, (a, b)| sum + a * b)
}

fn below(column: &[f64], row: usize) -> &[f64] {
    column.get(row..).unwrap_or_default()
}

fn longest(columns: &[Vec<f64>], rank: usize) -> (usize, f64) {
    let mut best = (rank, 0.0);
    for (j, column) in columns.iter().enumerate().skip(rank) {
        let square = dot(below(column, rank), below(column, rank));
        if square > best.1 {
            best = (j, square);
        }
    }
    (best.0, best.1.sqrt())
}

/// Reflects so that the column `rank` has nothing below its diagonal; the columns after it follow.
fn reflect(columns: &mut [Vec<f64>], target: &mut [f64], rank: usize, size: f64) {
    let Some(mut mirror) = columns.get(rank).map(|column| below(column, rank).to_vec()) else { return };
    let Some(head) = mirror.first_mut() else { return };
    let diagonal = if *head > 0.0 { -size } else { size };
    *head -= diagonal;
    let square = dot(&mirror, &mirror);
    let turn = |column: &mut [f64]| {
        let Some(part) = column.get_mut(rank..) else { return };
        let factor = 2.0 * dot(&mirror, part) / square;
        part.iter_mut().zip(&mirror).for_each(|(value, m)| *value -= factor * m);
    };
    columns.iter_mut().skip(rank + 1).for_each(|column| turn(column));
    turn(target);
    if let Some(part) = columns.get_mut(rank).and_then(|column| column.get_mut(rank..)) {
        part.fill(0.0);
        if let Some(head) = part.first_mut() {
            *head = diagonal;
        }
    }
}

/// Back substitution in the leading `rank` columns.
fn back(columns: &[Vec<f64>], rank: usize, right: &[f64]) -> Vec<f64> {
    let mut left: Vec<f64> = right.iter().take(rank).copied().collect();
    for (j, column) in columns.iter().enumerate().take(rank).rev() {
        let value = left.get(j).copied().unwrap_or(0.0) / column.get(j).copied().unwrap_or(1.0);
        let (above, own) = left.split_at_mut(j);
        above.iter_mut().zip(column).for_each(|(sum, factor)| *sum -= factor * value);
        own.iter_mut().take(1).for_each(|own| *own = value);
    }
    left
}

/// The direction that the equations do not see and in which only the unknown `free` of the last ones moves.
fn null_direction(columns: &[Vec<f64>], rank: usize, free: usize) -> Vec<f64> {
    let column = columns.get(free).map_or(&[] as &[f64], Vec::as_slice);
    let mut direction: Vec<f64> = back(columns, rank, column).iter().map(|value| -value).collect();
    direction.resize(columns.len(), 0.0);
    direction.iter_mut().skip(free).take(1).for_each(|value| *value = 1.0);
    direction
}

/// Gram–Schmidt, twice over, which is enough for full accuracy.
fn orthonormal(directions: Vec<Vec<f64>>) -> Vec<Vec<f64>> {
    let mut done: Vec<Vec<f64>> = Vec::new();
    for mut direction in directions {
        for _ in 0..2 {
            done.iter().for_each(|other| take_out(&mut direction, other));
        }
        let length = dot(&direction, &direction).sqrt();
        if length > 0.0 {
            direction.iter_mut().for_each(|value| *value /= length);
            done.push(direction);
        }
    }
    done
}

/// Takes the part along a unit vector out of a vector.
pub(super) fn take_out(vector: &mut [f64], unit: &[f64]) {
    let along = dot(vector, unit);
    vector.iter_mut().zip(unit).for_each(|(value, part)| *value -= along * part);
}

/// Unit vectors that span the same directions, each square to the others; those that add none drop out.
pub(super) fn span(directions: Vec<Vec<f64>>) -> Vec<Vec<f64>> {
    orthonormal(directions)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(rows: &[&[f64]], right: &[f64], wanted: &[f64], rank: usize) {
        let rows: Vec<Vec<f64>> = rows.iter().map(|row| row.to_vec()).collect();
        let found = solve(&rows, right, wanted.len(), 1e-9);
        assert_eq!(found.rank, rank);
        let off = found.values.iter().zip(wanted).fold(0.0_f64, |off, (a, b)| off.max((a - b).abs()));
        assert!(off < 1e-14, "{:?} for {wanted:?}", found.values);
    }

    #[test]
    fn systems_solved_by_hand() {
        check(&[&[2.0, 0.0], &[0.0, 4.0]], &[2.0, 8.0], &[1.0, 2.0], 2);
        // Two equations that disagree: the middle. A third unknown that none mentions: zero.
        check(&[&[1.0, 0.0, 0.0], &[1.0, 0.0, 0.0], &[0.0, 1.0, 0.0]], &[1.0, 3.0, 5.0], &[2.0, 5.0, 0.0], 2);
        // x + y + z = 6: the shortest answer shares it out.
        check(&[&[1.0, 1.0, 1.0]], &[6.0], &[2.0, 2.0, 2.0], 1);
        check(&[&[0.0, 0.0]], &[1.0], &[0.0, 0.0], 0);
        check(&[], &[], &[0.0, 0.0], 0);
    }
}
