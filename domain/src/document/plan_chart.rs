//! The charts of plans: what a dose leaves of the silver, and what it does to the pH.

use super::chart::{Axis, Chart, ChartPoint, Curve, Mark};
use crate::quantity::Identifier;
use crate::recovery::{DoseCurve, DoseCurvePoint};
use crate::substance::substance;
use crate::waste::neutralization::{NeutralizationPlan, PhPoint};

/// Dose against the silver left in solution. The scale of the silver is by powers of ten.
#[must_use]
pub fn dose_chart(curve: &DoseCurve) -> Chart {
    let at = |p: &DoseCurvePoint| ChartPoint::at(p.added_g.get(), p.residual_silver_mg_per_l.get());
    let reagent = name_of(&curve.reagent);
    Chart {
        title: format!("Silver left in solution against {reagent} added"),
        across: Axis::linear(format!("{reagent} added, g")),
        up: Axis::logarithmic("silver left in solution, mg/L"),
        curves: vec![Curve {
            name: "silver left at equilibrium".to_owned(),
            points: curve.points.iter().map(at).collect(),
        }],
        marks: vec![
            Mark {
                name: "the least".to_owned(),
                point: at(&curve.least),
            },
            Mark {
                name: "advised".to_owned(),
                point: at(&curve.advised),
            },
        ],
        caption: curve.text.clone(),
    }
}

/// Base added against the pH to expect, between the two ends of the window; none where a plan has
/// no path.
#[must_use]
pub fn ph_chart(plan: &NeutralizationPlan) -> Option<Chart> {
    let last = plan.ph_path.last()?;
    let base = plan.base.words();
    let at = |p: &PhPoint| ChartPoint::at(p.added_g.get(), p.ph.get());
    let start = plan.start_ph.map(|ph| ChartPoint::at(0.0, ph.get()));
    let path: Vec<ChartPoint> = start
        .into_iter()
        .chain(
            plan.ph_path
                .iter()
                .filter(|p| p.added_g.get() > 0.0)
                .map(at),
        )
        .collect();
    let level = |name: &str, ph: f64| Curve {
        name: name.to_owned(),
        points: vec![
            ChartPoint::at(0.0, ph),
            ChartPoint::at(last.added_g.get(), ph),
        ],
    };
    let mut curves = vec![Curve {
        name: "pH to expect".to_owned(),
        points: path,
    }];
    if let Some(window) = plan.ph_window {
        curves.push(level("lower end of the window", window.lower.get()));
        curves.push(level("upper end of the window", window.upper.get()));
    }
    Some(Chart {
        title: format!("pH against {base} added"),
        across: Axis::linear(format!("{base} added, g")),
        up: Axis::linear("pH"),
        curves,
        marks: vec![Mark {
            name: "the whole dose".to_owned(),
            point: at(last),
        }],
        caption: "What the stated contents lead one to expect, between dashed lines for the ends of the window. The pH paper decides, not the curve: stop where it shows the window, however much is left.".to_owned(),
    })
}

fn name_of(id: &Identifier) -> String {
    substance(id).map_or_else(|| id.to_string(), |s| s.name.clone())
}
