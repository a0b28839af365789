//! Dense linear equations of a few unknowns, in place.

use super::MAX_UNKNOWNS;

/// Length of a row: a power of two, so that an index is kept within it by a mask.
pub(super) const WIDTH: usize = MAX_UNKNOWNS.next_power_of_two();

/// A square matrix with room for every unknown. What stands in a row behind its unknowns is idle.
pub(super) type Matrix = [[f64; WIDTH]; MAX_UNKNOWNS];

/// Solves `a x = b` for the first `n` unknowns by elimination with partial pivoting. The rows should
/// be of one size: logarithms of sums, or scaled. The answer replaces `b`; false when the matrix is
/// singular.
pub(super) fn solve(a: &mut Matrix, b: &mut [f64; MAX_UNKNOWNS], n: usize) -> bool {
    let a = &mut a[..n];
    let b = &mut b[..n];
    for k in 0..n {
        let mut pivot = k;
        for i in k + 1..n {
            if a[i][k].abs() > a[pivot][k].abs() {
                pivot = i;
            }
        }
        let largest = a[pivot][k].abs();
        if largest.is_nan() || largest < 1e-300 {
            return false;
        }
        let (top, bottom) = a.split_at_mut(k + 1);
        let row = &mut top[k];
        if pivot != k {
            row[k..n].swap_with_slice(&mut bottom[pivot - k - 1][k..n]);
            b.swap(k, pivot);
        }
        let inverse = 1.0 / row[k];
        let row = &row[k + 1..n];
        let (done, rest) = b.split_at_mut(k + 1);
        for (lower, value) in bottom.iter_mut().zip(rest) {
            let factor = lower[k] * inverse;
            if factor != 0.0 {
                for (v, u) in lower[k + 1..n].iter_mut().zip(row) {
                    *v -= factor * u;
                }
                *value -= factor * done[k];
            }
        }
    }
    for i in (0..n).rev() {
        let mut sum = b[i];
        for (v, x) in a[i][i + 1..n].iter().zip(&b[i + 1..n]) {
            sum -= v * x;
        }
        b[i] = sum / a[i][i];
        if !b[i].is_finite() {
            return false;
        }
    }
    true
}
