//! Small symmetric matrices: one number for each pair of parameters.

use crate::domain::memory::COUNT;

/// A number for each parameter.
pub(crate) type Vector = [f64; COUNT];

/// A number for each pair of parameters, symmetric.
pub(crate) type Matrix = [Vector; COUNT];

/// Returns the sum of products.
pub(crate) fn dot(a: &Vector, b: &Vector) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// Returns the product with a vector.
pub(crate) fn times(matrix: &Matrix, v: &Vector) -> Vector {
    std::array::from_fn(|i| dot(&matrix[i], v))
}

/// Returns the inverse of a positive definite matrix; nothing where it is not one.
pub(crate) fn inverse(matrix: &Matrix) -> Option<Matrix> {
    let lower = root(matrix)?;
    let mut inverse = [[0.0; COUNT]; COUNT];
    for column in 0..COUNT {
        let mut x = [0.0; COUNT];
        for i in column..COUNT {
            let unit = if i == column { 1.0 } else { 0.0 };
            let known: f64 = (column..i).map(|k| lower[i][k] * x[k]).sum();
            x[i] = (unit - known) / lower[i][i];
        }
        for i in (0..COUNT).rev() {
            let known: f64 = (i + 1..COUNT).map(|k| lower[k][i] * x[k]).sum();
            x[i] = (x[i] - known) / lower[i][i];
        }
        for (row, x) in inverse.iter_mut().zip(x) {
            row[column] = x;
        }
    }
    Some(inverse)
}

/// Returns the lower triangle whose square the matrix is (Cholesky).
fn root(matrix: &Matrix) -> Option<Matrix> {
    let mut lower = [[0.0; COUNT]; COUNT];
    for i in 0..COUNT {
        for j in 0..=i {
            let known: f64 = (0..j).map(|k| lower[i][k] * lower[j][k]).sum();
            let rest = matrix[i][j] - known;
            if i != j {
                lower[i][j] = rest / lower[j][j];
            } else if rest > 0.0 {
                lower[i][i] = rest.sqrt();
            } else {
                return None;
            }
        }
    }
    Some(lower)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::units;

    #[test]
    fn a_matrix_times_its_inverse_is_one() {
        let matrix: Matrix = std::array::from_fn(|i| {
            std::array::from_fn(|j| {
                let own = if i == j { 3.0 } else { 0.0 };
                own + libm::cos(units::count(i)) * libm::cos(units::count(j))
            })
        });
        let inverse = inverse(&matrix).unwrap();
        for (i, column) in inverse.iter().enumerate() {
            for (j, found) in times(&matrix, column).into_iter().enumerate() {
                let expected = if i == j { 1.0 } else { 0.0 };
                assert!((found - expected).abs() < 1e-14, "{i} {j}: {found}");
            }
        }
    }

    #[test]
    fn what_is_not_positive_definite_has_no_inverse() {
        let mut matrix = [[0.0; COUNT]; COUNT];
        for (i, row) in matrix.iter_mut().enumerate() {
            row[i] = if i == 5 { -1.0 } else { 1.0 };
        }
        assert_eq!(inverse(&matrix), None);
    }
}
