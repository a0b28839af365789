//! Dense linear equations of a few unknowns, in place.

use super::MAX_UNKNOWNS;

/// A square matrix with room for every unknown.
pub(super) type Matrix = [[f64; MAX_UNKNOWNS]; MAX_UNKNOWNS];

/// Solves `a x = b` for the first `n` unknowns by elimination with partial pivoting after scaling
/// each row to its largest member. The answer replaces `b`; false when the matrix is singular.
pub(super) fn solve(a: &mut Matrix, b: &mut [f64; MAX_UNKNOWNS], n: usize) -> bool {
    for i in 0..n {
        let largest = a[i][..n].iter().fold(0.0f64, |m, v| m.max(v.abs()));
        if !(largest > 0.0 && largest.is_finite()) {
            return false;
        }
        let scale = 1.0 / largest;
        for v in &mut a[i][..n] {
            *v *= scale;
        }
        b[i] *= scale;
    }
    for k in 0..n {
        let mut pivot = k;
        for i in k + 1..n {
            if a[i][k].abs() > a[pivot][k].abs() {
                pivot = i;
            }
        }
        if a[pivot][k].abs() < 1e-300 {
            return false;
        }
        if pivot != k {
            a.swap(k, pivot);
            b.swap(k, pivot);
        }
        let (top, bottom) = a.split_at_mut(k + 1);
        let row = &top[k];
        let inverse = 1.0 / row[k];
        for (i, lower) in bottom.iter_mut().take(n - k - 1).enumerate() {
            let factor = lower[k] * inverse;
            if factor != 0.0 {
                for (v, u) in lower[k + 1..n].iter_mut().zip(&row[k + 1..n]) {
                    *v -= factor * u;
                }
                b[k + 1 + i] -= factor * b[k];
            }
        }
    }
    for i in (0..n).rev() {
        let mut sum = b[i];
        for j in i + 1..n {
            sum -= a[i][j] * b[j];
        }
        b[i] = sum / a[i][i];
        if !b[i].is_finite() {
            return false;
        }
    }
    true
}
