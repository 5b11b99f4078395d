//! Which row goes with which column so that the gains add up to the most? The assignment problem,
//! solved by the Hungarian method (shortest augmenting paths).

/// The column of each row; a row whose best is no gain has none. `gains[row][column]`: `None` when
/// the two do not go together. Of equal sums the first found stands, always the same.
pub fn best(gains: &[Vec<Option<i64>>]) -> Vec<Option<usize>> {
    let rows = gains.len();
    let columns = gains.iter().map(Vec::len).max().unwrap_or(0);
    // Every row has a column of its own in which it gains nothing.
    let cost = |row: usize, column: usize| -> i64 {
        let gain = gains[row].get(column).copied().flatten();
        gain.map_or(if column == columns + row { 0 } else { FORBIDDEN }, |gain| -gain)
    };
    let found = columns_of(rows, columns + rows, &cost);
    let real = |(row, column): (usize, usize)| {
        gains[row].get(column).copied().flatten().filter(|gain| *gain > 0).map(|_| column)
    };
    found.into_iter().enumerate().map(real).collect()
}

const FORBIDDEN: i64 = 1 << 40;

/// The column of each row at the least cost; there are at least as many columns as rows.
fn columns_of(rows: usize, columns: usize, cost: &dyn Fn(usize, usize) -> i64) -> Vec<usize> {
    // Counted from one; row 0 and column 0 stand for none.
    let mut row_price = vec![0_i64; rows + 1];
    let mut column_price = vec![0_i64; columns + 1];
    let mut row_of = vec![0_usize; columns + 1];
    for row in 1..=rows {
        let mut way = vec![0_usize; columns + 1];
        let mut least = vec![i64::MAX; columns + 1];
        let mut done = vec![false; columns + 1];
        row_of[0] = row;
        let mut at = 0;
        while row_of[at] != 0 {
            done[at] = true;
            let here = row_of[at];
            let mut next = (i64::MAX, 0);
            for column in 1..=columns {
                if done[column] {
                    continue;
                }
                let reduced =
                    cost(here - 1, column - 1) - row_price[here] - column_price[column];
                if reduced < least[column] {
                    (least[column], way[column]) = (reduced, at);
                }
                next = next.min((least[column], column));
            }
            for column in 0..=columns {
                if done[column] {
                    row_price[row_of[column]] += next.0;
                    column_price[column] -= next.0;
                } else {
                    least[column] = least[column].saturating_sub(next.0);
                }
            }
            at = next.1;
        }
        while at != 0 {
            row_of[at] = row_of[way[at]];
            at = way[at];
        }
    }
    let mut out = vec![0; rows];
    for column in 1..=columns {
        if row_of[column] != 0 {
            out[row_of[column] - 1] = column - 1;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The most that any way of going together gains, by trying all.
    fn most(gains: &[Vec<Option<i64>>], row: usize, used: &mut Vec<usize>) -> i64 {
        if row == gains.len() {
            return 0;
        }
        let mut best = most(gains, row + 1, used);
        for (column, gain) in gains[row].iter().enumerate() {
            if let Some(gain) = gain.filter(|_| !used.contains(&column)) {
                used.push(column);
                best = best.max(gain + most(gains, row + 1, used));
                used.pop();
            }
        }
        best
    }

    proptest! {
        #[test]
        fn no_other_way_gains_more(
            gains in prop::collection::vec(
                prop::collection::vec(prop::option::of(-9_i64..90), 4), 0..5)
        ) {
            let found = best(&gains);
            let mut columns: Vec<usize> = found.iter().flatten().copied().collect();
            let sum: i64 = found.iter().enumerate()
                .filter_map(|(row, column)| gains[row][(*column)?]).sum();
            columns.sort_unstable();
            columns.dedup();
            prop_assert_eq!(columns.len(), found.iter().flatten().count());
            prop_assert_eq!(sum, most(&gains, 0, &mut Vec::new()));
        }
    }
}
