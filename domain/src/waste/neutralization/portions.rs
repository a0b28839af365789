//! Amounts that a person can weigh: the points of the path and the size of a portion.

/// Resolution of the scale, where none is stated, grams: common practice, no source.
pub(super) const SCALE_G: f64 = 0.1;

/// Portions of a dose.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Portions {
    /// Grams that go in before the pH is read after each portion: so many whole portions as make no more
    /// than four fifths of the lower end.
    pub first_g: f64,
    /// Grams of a portion until then.
    pub coarse_g: f64,
    /// Grams of a portion from then on.
    pub fine_g: f64,
    /// Grams added at each point of the path: round, but for the last, which is the dose.
    pub path_g: Vec<f64>,
    /// Whether the scale cannot show a twentieth of the dose: it is dissolved and measured out.
    pub too_small_for_scale: bool,
}

/// The least step of the scale's 1, 2, 5, 10, ... that is no smaller than `least_g`.
fn step(least_g: f64, scale_g: f64) -> f64 {
    const MOST_DECADES: i32 = 12;
    (0..MOST_DECADES)
        .flat_map(|decade| [1.0, 2.0, 5.0].map(|s| s * 10f64.powi(decade) * scale_g))
        .find(|s| *s >= least_g * (1.0 - 1e-9))
        .unwrap_or(least_g)
}

impl Portions {
    /// Portions of `dose_g`, whose lower end is `lower_g`, on a scale that shows steps of `scale_g`.
    pub fn of(dose_g: f64, lower_g: f64, scale_g: f64) -> Self {
        const STEPS_OF_SCALE: f64 = 20.0;
        let most_g = 0.8 * lower_g.clamp(0.0, dose_g);
        let too_small_for_scale = dose_g < STEPS_OF_SCALE * scale_g;
        let scale_g = if too_small_for_scale {
            10f64.powf((dose_g / STEPS_OF_SCALE).log10().floor())
        } else {
            scale_g
        };
        let coarse_g = step((most_g / 6.0).max(dose_g / 20.0), scale_g);
        let first_g = (most_g / coarse_g + 1e-9).floor() * coarse_g;
        let left_g = dose_g - first_g;
        let fine_g = step(left_g / 15.0, scale_g).min(coarse_g);
        let mut path_g = vec![0.0];
        let mut added = 0.0;
        for (size, end) in [(coarse_g, first_g), (fine_g, dose_g - 0.5 * fine_g)] {
            let from = added;
            let mut count = 1.0;
            while from + count * size <= end * (1.0 + 1e-9) {
                added = from + count * size;
                path_g.push(added);
                count += 1.0;
            }
        }
        path_g.push(dose_g);
        Self {
            first_g,
            coarse_g,
            fine_g,
            path_g,
            too_small_for_scale,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Portions;

    #[test]
    fn portions_are_round_and_few_and_the_last_point_is_the_dose() {
        for scale in [0.01, 0.1, 1.0, 5.0] {
            for dose in [0.07, 0.9, 1.333, 7.0, 20.09, 76.4, 167.4, 1234.5] {
                for share in [0.0, 0.3, 0.9, 0.999, 1.0] {
                    let portions = Portions::of(dose, dose * share, scale);
                    let path = &portions.path_g;
                    assert!(
                        (8..=30).contains(&path.len()),
                        "{dose} {share} {scale}: {path:?}"
                    );
                    assert!(path.windows(2).all(|w| w[0] < w[1]), "{path:?}");
                    assert_eq!(path.last(), Some(&dose));
                    // What goes in at first is a point of the path, and no more than four fifths.
                    let first = portions.first_g;
                    assert!(
                        path.iter().any(|p| (p - first).abs() < 1e-9 * dose),
                        "{first}"
                    );
                    assert!(first <= 0.8 * dose * share + 1e-6 * dose, "{first}");
                    if dose >= 20.0 * scale {
                        for point in path.iter().rev().skip(1) {
                            let steps = point / scale;
                            assert!((steps - steps.round()).abs() < 1e-6, "{point} on {scale}");
                        }
                    }
                }
            }
        }
    }
}
