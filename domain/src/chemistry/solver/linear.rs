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
    let (a, b) = (&mut a[..n], &mut b[..n]);
    match n {
        0..=6 => eliminate::<6>(a, b),
        7..=8 => eliminate::<8>(a, b),
        9..=12 => eliminate::<12>(a, b),
        _ => eliminate::<WIDTH>(a, b),
    }
}

/// The same with `W` numbers of each row: a loop of fixed length is a handful of instructions, where
/// one so short costs more to begin than to run.
fn eliminate<const W: usize>(a: &mut [[f64; WIDTH]], b: &mut [f64]) -> bool {
    let n = b.len();
    for k in 0..n {
        let mut pivot = k;
        let mut largest = a[k][k].abs();
        for i in k + 1..n {
            let size = a[i][k].abs();
            if size > largest {
                (pivot, largest) = (i, size);
            }
        }
        if largest.is_nan() || largest < 1e-300 {
            return false;
        }
        let (top, bottom) = a.split_at_mut(k + 1);
        let row = &mut top[k][..W];
        if pivot != k {
            row.swap_with_slice(&mut bottom[pivot - k - 1][..W]);
            b.swap(k, pivot);
        }
        let inverse = 1.0 / row[k];
        let (done, rest) = b.split_at_mut(k + 1);
        for (lower, value) in bottom.iter_mut().zip(rest) {
            let factor = lower[k] * inverse;
            if factor != 0.0 {
                for (v, u) in lower[..W].iter_mut().zip(&*row) {
                    *v -= factor * u;
                }
                // What is left of it is rounding.
                lower[k] = 0.0;
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
