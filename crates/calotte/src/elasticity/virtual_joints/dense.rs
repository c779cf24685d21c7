//! Dense linear algebra of the loops by pivoted QR.
//!
//! Not by singular values: on matrices of many equal and a few small singular
//! values, which these are, the library's SVD was measured to return factors
//! that multiply back with an error of 1e-4 (its open issue 1172).

use nalgebra::DMatrix;

use crate::linkage::constraints::RANK_TOLERANCE;

/// Orthonormal basis of the null space, columns.
pub(super) fn null_space(matrix: &DMatrix<f64>) -> DMatrix<f64> {
    let (rows, columns) = matrix.shape();
    if rows == 0 || columns == 0 {
        return DMatrix::identity(columns, columns);
    }
    // Qᵀ Aᵀ has nothing below its rank, so the last columns of Q are the null
    // space of A; squared up with zeros so that Q is whole.
    let square = matrix
        .transpose()
        .resize_horizontally(columns.max(rows), 0.0);
    let qr = square.col_piv_qr();
    let triangle = qr.r();
    let rank = rank_of(&triangle);
    qr.q().columns(rank, columns - rank).into_owned()
}

/// The columns of `basis` combined so that their first `rows` rows are
/// orthonormal; `None` if a combination vanishes there. The columns come in
/// orthonormal.
pub(super) fn orthonormal_in_rows(basis: &DMatrix<f64>, rows: usize) -> Option<DMatrix<f64>> {
    let columns = basis.ncols();
    if columns == 0 {
        return Some(basis.clone());
    }
    if columns > rows {
        return None;
    }
    let qr = basis.rows(0, rows).into_owned().col_piv_qr();
    let triangle = qr.r();
    let least = (0..columns).fold(f64::INFINITY, |a, i| a.min(triangle[(i, i)].abs()));
    if least.is_nan() || least <= RANK_TOLERANCE {
        return None;
    }
    // B P R⁻¹, by rows: Rᵀ X = (B P)ᵀ.
    let mut combined = basis.clone();
    qr.p().permute_columns(&mut combined);
    let mut transposed = combined.transpose();
    triangle
        .tr_solve_upper_triangular_mut(&mut transposed)
        .then(|| transposed.transpose())
}

/// Least-squares solution of A X = B; `None` if the columns of A depend on each other.
pub(super) fn least_squares(a: &DMatrix<f64>, b: &DMatrix<f64>) -> Option<DMatrix<f64>> {
    let (rows, columns) = a.shape();
    if columns == 0 {
        return Some(DMatrix::zeros(0, b.ncols()));
    }
    if rows < columns {
        return None;
    }
    let qr = a.clone().col_piv_qr();
    let triangle = qr.r();
    if rank_of(&triangle) < columns {
        return None;
    }
    let mut x = qr.q().transpose() * b;
    if !triangle.solve_upper_triangular_mut(&mut x) {
        return None;
    }
    qr.p().inv_permute_rows(&mut x);
    Some(x)
}

/// Diagonal entries of a pivoted triangle above the tolerance, relative to the first.
fn rank_of(triangle: &DMatrix<f64>) -> usize {
    let greatest = triangle[(0, 0)].abs();
    (0..triangle.nrows().min(triangle.ncols()))
        .filter(|i| triangle[(*i, *i)].abs() > RANK_TOLERANCE * greatest)
        .count()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Three independent rows and one repeated, five columns.
    fn rank_three() -> DMatrix<f64> {
        DMatrix::from_row_slice(
            4,
            5,
            &[
                1.0, 2.0, 0.5, -1.0, 0.0, //
                0.0, 1.0, 3.0, 2.0, -2.0, //
                2.0, -1.0, 1.0, 0.0, 1.0, //
                3.0, 2.0, 4.5, 1.0, -1.0,
            ],
        )
    }

    #[test]
    fn null_space_of_dependent_rows() {
        // The fourth row is the sum of the others, so two columns remain.
        let a = rank_three();
        let n = null_space(&a);
        assert_eq!(n.shape(), (5, 2));
        assert!((&a * &n).amax() < 1e-14);
        assert!((n.transpose() * &n - DMatrix::identity(2, 2)).amax() < 1e-14);
        // More rows than columns.
        assert_eq!(null_space(&a.transpose()).shape(), (4, 1));
        assert!((a.transpose() * null_space(&a.transpose())).amax() < 1e-14);
        assert_eq!(null_space(&DMatrix::zeros(0, 3)), DMatrix::identity(3, 3));
    }

    #[test]
    fn combined_columns_are_orthonormal_in_the_first_rows() {
        let n = null_space(&rank_three());
        let x = orthonormal_in_rows(&n, 3).unwrap();
        let top = x.rows(0, 3).into_owned();
        assert!((top.transpose() * &top - DMatrix::identity(2, 2)).amax() < 1e-14);
        // Still in the null space.
        assert!((rank_three() * x).amax() < 1e-13);
        // A column without those rows is refused.
        let hidden = DMatrix::from_column_slice(3, 1, &[0.0, 0.0, 1.0]);
        assert!(orthonormal_in_rows(&hidden, 2).is_none());
    }

    #[test]
    fn least_squares_returns_a_consistent_solution() {
        let a = rank_three().transpose().columns(0, 3).into_owned();
        let x = DMatrix::from_column_slice(3, 1, &[0.3, -2.0, 1.5]);
        let found = least_squares(&a, &(&a * &x)).unwrap();
        assert!((found - x).amax() < 1e-14);
        let dependent = rank_three().transpose();
        assert!(least_squares(&dependent, &DMatrix::zeros(5, 1)).is_none());
    }
}
