//! Gauss elimination with full row pivoting for small dense systems.

/// Solves `matrix * x = right`. `None` when a pivot is smaller than `1e-12` of the largest entry.
#[must_use]
pub fn solve<const N: usize>(mut matrix: [[f64; N]; N], mut right: [f64; N]) -> Option<[f64; N]> {
    let largest = matrix.iter().flatten().fold(0.0_f64, |m, v| m.max(v.abs()));
    for column in 0..N {
        let pivot = (column..N)
            .max_by(|&a, &b| matrix[a][column].abs().total_cmp(&matrix[b][column].abs()))
            .filter(|&row| matrix[row][column].abs() > 1e-12 * largest)?;
        matrix.swap(column, pivot);
        right.swap(column, pivot);
        for row in column + 1..N {
            let factor = matrix[row][column] / matrix[column][column];
            let above = matrix[column];
            for (entry, over) in matrix[row].iter_mut().zip(above).skip(column) {
                *entry -= factor * over;
            }
            right[row] -= factor * right[column];
        }
    }
    let mut x = [0.0; N];
    for row in (0..N).rev() {
        let known: f64 = (row + 1..N).map(|k| matrix[row][k] * x[k]).sum();
        x[row] = (right[row] - known) / matrix[row][row];
    }
    Some(x)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn needs_a_row_swap() {
        let x = solve([[0.0, 2.0], [4.0, 1.0]], [6.0, 11.0]).expect("regular");
        assert!((x[0] - 2.0).abs() < 1e-12 && (x[1] - 3.0).abs() < 1e-12);
        assert!(solve([[1.0, 2.0], [2.0, 4.0]], [1.0, 2.0]).is_none());
    }
}
