//! Small systems of linear equations.

/// Solves `rows × x = last column` by elimination with the largest pivot; `None` where they don't determine it.
pub(super) fn solve<const N: usize>(mut rows: [[f64; N]; N], mut right: [f64; N]) -> Option<[f64; N]> {
    for column in 0..N {
        let pivot = (column..N).max_by(|a, b| rows[*a][column].abs().total_cmp(&rows[*b][column].abs()))?;
        if rows[pivot][column].abs() < 1e-12 {
            return None;
        }
        rows.swap(column, pivot);
        right.swap(column, pivot);
        let lead = rows[column];
        for row in column + 1..N {
            let factor = rows[row][column] / lead[column];
            for (to, from) in rows[row].iter_mut().zip(&lead).skip(column) {
                *to -= factor * from;
            }
            right[row] -= factor * right[column];
        }
    }
    let mut found = [0.0; N];
    for row in (0..N).rev() {
        let known: f64 = (row + 1..N).map(|column| rows[row][column] * found[column]).sum();
        found[row] = (right[row] - known) / rows[row][row];
    }
    found.iter().all(|value| value.is_finite()).then_some(found)
}
