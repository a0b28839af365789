//! Normal, chi-square, and the sum of a normal and a rectangular variable.

use statrs::function::erf::{erfc, erfc_inv};
use statrs::function::gamma::checked_gamma_ur;

/// Probability that a standard normal variable is below `z`.
#[must_use]
pub fn normal_cdf(z: f64) -> f64 {
    // Beyond these a double has no other figure.
    if z > 8.5 {
        return 1.0;
    }
    if z < -39.0 {
        return 0.0;
    }
    0.5 * erfc(-z / std::f64::consts::SQRT_2)
}

/// The standard normal quantile of probability `p`, 0 < p < 1.
#[must_use]
pub fn normal_quantile(p: f64) -> f64 {
    -std::f64::consts::SQRT_2 * erfc_inv(2.0 * p)
}

/// Probability that chi-square with `dof` degrees of freedom is `x` or more.
#[must_use]
pub fn chi_square_tail(x: f64, dof: usize) -> f64 {
    if dof == 0 || x <= 0.0 {
        return 1.0;
    }
    checked_gamma_ur(dof as f64 / 2.0, x / 2.0).unwrap_or(0.0)
}

fn density(z: f64) -> f64 {
    (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt()
}

/// What is believed of a quantity: a normal part of standard deviation `spread` and a rectangular
/// part of half-width `half_width` around `middle`, cut to `[least, most]`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Belief {
    middle: f64,
    spread: f64,
    half_width: f64,
    least: f64,
    most: f64,
}

/// A distribution at one point.
struct Curve {
    below: f64,
    density: f64,
    slope: f64,
}

impl Belief {
    /// A belief without bounds.
    #[must_use]
    pub const fn new(middle: f64, spread: f64, half_width: f64) -> Self {
        Self {
            middle,
            spread,
            half_width,
            least: f64::NEG_INFINITY,
            most: f64::INFINITY,
        }
    }

    /// The same belief cut to what is possible.
    #[must_use]
    pub fn within(self, least: f64, most: f64) -> Self {
        Self {
            least: self.least.max(least),
            most: self.most.min(most),
            ..self
        }
    }

    /// The distribution before any cut, at `x`. For X = middle + R(-h, h) + N(0, s) with
    /// a = (x-m+h)/s and b = (x-m-h)/s: below = [s (a F(a) + f(a)) - s (b F(b) + f(b))] / 2h,
    /// density = [F(a) - F(b)] / 2h, slope = [f(a) - f(b)] / 2hs.
    fn curve(&self, x: f64) -> Curve {
        let d = x - self.middle;
        let (s, h) = (self.spread, self.half_width);
        if s <= h * 1e-9 {
            let inside = d.abs() <= h;
            return Curve {
                below: if h <= 0.0 {
                    if d >= 0.0 { 1.0 } else { 0.0 }
                } else {
                    ((d + h) / (2.0 * h)).clamp(0.0, 1.0)
                },
                density: if inside && h > 0.0 { 0.5 / h } else { 0.0 },
                slope: 0.0,
            };
        }
        if h <= s * 1e-6 {
            let z = d / s;
            let density = density(z) / s;
            return Curve {
                below: normal_cdf(z),
                density,
                slope: -z * density / s,
            };
        }
        let a = (d + h) / s;
        let b = (d - h) / s;
        let (below_a, below_b) = (normal_cdf(a), normal_cdf(b));
        let (density_a, density_b) = (density(a), density(b));
        let rise = (a * below_a + density_a) - (b * below_b + density_b);
        Curve {
            below: (s * rise / (2.0 * h)).clamp(0.0, 1.0),
            density: (below_a - below_b).max(0.0) / (2.0 * h),
            slope: (density_a - density_b) / (2.0 * h * s),
        }
    }

    /// Probability that the quantity is below `x`, given the bounds.
    #[must_use]
    pub fn cdf(&self, x: f64) -> f64 {
        if x < self.least {
            return 0.0;
        }
        if x >= self.most {
            return 1.0;
        }
        let low = self.below(self.least);
        let mass = self.mass();
        if mass <= 0.0 {
            return if x >= self.middle.clamp(self.least, self.most) {
                1.0
            } else {
                0.0
            };
        }
        ((self.below(x) - low) / mass).clamp(0.0, 1.0)
    }

    /// Probability below `x`, before any cut.
    #[must_use]
    pub fn below(&self, x: f64) -> f64 {
        self.curve(x).below
    }

    /// Probability density at `x`, before any cut.
    #[must_use]
    pub fn density(&self, x: f64) -> f64 {
        let d = x - self.middle;
        let (s, h) = (self.spread, self.half_width);
        if s <= h * 1e-9 {
            return if d.abs() <= h && h > 0.0 {
                0.5 / h
            } else {
                0.0
            };
        }
        if h <= s * 1e-6 {
            return density(d / s) / s;
        }
        (normal_cdf((d + h) / s) - normal_cdf((d - h) / s)).max(0.0) / (2.0 * h)
    }

    /// The least and the most that count, within the bounds: beyond 9 standard deviations nothing does.
    #[must_use]
    pub fn support(&self) -> (f64, f64) {
        let reach = 9.0 * self.spread + self.half_width;
        (
            (self.middle - reach).max(self.least),
            (self.middle + reach).min(self.most),
        )
    }

    /// How much of the uncut belief lies within the bounds.
    #[must_use]
    pub fn mass(&self) -> f64 {
        let (low, high) = self.ends();
        high - low
    }

    /// Probability below each bound, before any cut.
    fn ends(&self) -> (f64, f64) {
        let end = |bound: f64, unbounded: f64| {
            if bound.is_finite() {
                self.below(bound)
            } else {
                unbounded
            }
        };
        (end(self.least, 0.0), end(self.most, 1.0))
    }

    /// The value below which the quantity lies with probability `p`: closed for a normal, by
    /// Halley's method where a rectangular part remains.
    #[must_use]
    pub fn quantile(&self, p: f64) -> f64 {
        let (low, high) = self.ends();
        self.uncut_quantile(low + p * (high - low))
    }

    /// The central interval that holds the quantity with 95 % probability.
    #[must_use]
    pub fn interval_95(&self) -> (f64, f64) {
        let (low, high) = self.ends();
        let mass = high - low;
        let lower = self.uncut_quantile(low + 0.025 * mass);
        // Bounds that cut nothing off leave the belief symmetric.
        let upper = if mass == 1.0 {
            self.middle + (self.middle - lower)
        } else {
            self.uncut_quantile(low + 0.975 * mass)
        };
        (lower, upper.clamp(self.least, self.most))
    }

    /// The value within the bounds below which `wanted` of the uncut belief lies.
    fn uncut_quantile(&self, wanted: f64) -> f64 {
        let reach = 9.0 * self.spread + self.half_width;
        if reach <= 0.0 {
            return self.middle.clamp(self.least, self.most);
        }
        if self.half_width <= self.spread * 1e-6 && wanted > 1e-12 && wanted < 1.0 - 1e-12 {
            let value = self.middle + self.spread * normal_quantile(wanted);
            return value.clamp(self.least, self.most);
        }
        let mut low = (self.middle - reach).max(self.least);
        let mut high = (self.middle + reach).min(self.most);
        if low >= high {
            return self.middle.clamp(self.least, self.most);
        }
        // Halley's method on the distribution function, kept inside a shrinking bracket.
        let scale = (self.spread * self.spread + self.half_width * self.half_width / 3.0).sqrt();
        let start = wanted.clamp(1e-9, 1.0 - 1e-9);
        let mut x = (self.middle + scale * normal_quantile(start)).clamp(low, high);
        for _ in 0..60 {
            let curve = self.curve(x);
            let error = curve.below - wanted;
            if error < 0.0 {
                low = x;
            } else {
                high = x;
            }
            let newton = error / curve.density;
            let step = newton / (1.0 - 0.5 * newton * curve.slope / curve.density);
            let next = x - step;
            // Each step leaves about the third power of its size: one this short leaves nothing.
            if step.abs() <= 1e-6 * scale {
                return next.clamp(low, high);
            }
            x = if next > low && next < high {
                next
            } else {
                0.5 * (low + high)
            };
            if high - low <= 1e-13 * scale {
                break;
            }
        }
        x
    }

    /// Mean and standard deviation under the bounds, by the midpoint rule over the density.
    #[must_use]
    pub fn moments(&self) -> (f64, f64) {
        const STEPS: usize = 500;
        if self.least == f64::NEG_INFINITY && self.most == f64::INFINITY {
            let variance = self.spread * self.spread + self.half_width * self.half_width / 3.0;
            return (self.middle, variance.sqrt());
        }
        let (low, high) = self.support();
        if low >= high {
            return (self.middle.clamp(self.least, self.most), 0.0);
        }
        let step = (high - low) / STEPS as f64;
        let (mut total, mut first, mut second) = (0.0, 0.0, 0.0);
        for i in 0..STEPS {
            let x = low + (i as f64 + 0.5) * step;
            let w = self.density(x);
            total += w;
            first += w * (x - low);
            second += w * (x - low).powi(2);
        }
        if total <= 0.0 {
            // The bounds lie where the belief has no weight left: the nearest end is all that is known.
            return (self.middle.clamp(low, high), (high - low) / 12f64.sqrt());
        }
        let mean = first / total;
        (low + mean, (second / total - mean * mean).max(0.0).sqrt())
    }
}
