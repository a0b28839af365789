//! A picture of figures that people would rather look at than read: what is drawn, not how.

use super::tree::Column;
use crate::quantity::{ComputedFactor, write_significant};
use serde::{Deserialize, Serialize};

/// Digits of a figure in the table of a chart.
const DIGITS: usize = 3;
/// Most rows that each curve gives to the table.
const MOST_ROWS: usize = 12;

/// A chart of one or more curves.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Chart {
    /// What it shows.
    pub title: String,
    /// What is read along the bottom.
    pub across: Axis,
    /// What is read upwards.
    pub up: Axis,
    /// The curves.
    pub curves: Vec<Curve>,
    /// Points with a name.
    pub marks: Vec<Mark>,
    /// What the reader should see in it, and how far to trust it.
    pub caption: String,
}

/// An axis, with its unit in its label.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Axis {
    /// What it measures and in what unit.
    pub label: String,
    /// How the figures are spread along it.
    pub scale: Scale,
}

/// How figures are spread along an axis.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Scale {
    /// Evenly.
    Linear,
    /// By powers of ten; every figure is above zero.
    Logarithmic,
}

/// One curve.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Curve {
    /// Its name.
    pub name: String,
    /// Its points, from left to right.
    pub points: Vec<ChartPoint>,
}

/// A point with a name.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct Mark {
    /// Its name.
    pub name: String,
    /// Where it stands.
    pub point: ChartPoint,
}

/// A place in a chart, in the units of its axes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "openapi", derive(utoipa::ToSchema))]
pub struct ChartPoint {
    /// Along the bottom.
    pub across: ComputedFactor,
    /// Upwards.
    pub up: ComputedFactor,
}

impl ChartPoint {
    /// The place at these figures.
    #[must_use]
    pub fn at(across: f64, up: f64) -> Self {
        Self {
            across: ComputedFactor::of(across),
            up: ComputedFactor::of(up),
        }
    }
}

impl Axis {
    /// An axis with an even spread.
    pub fn linear(label: impl Into<String>) -> Self {
        Self {
            label: label.into(),
            scale: Scale::Linear,
        }
    }

    /// An axis by powers of ten.
    pub fn logarithmic(label: impl Into<String>) -> Self {
        Self {
            label: label.into(),
            scale: Scale::Logarithmic,
        }
    }

    /// Whether a figure can stand on it.
    #[must_use]
    pub fn holds(&self, figure: f64) -> bool {
        figure.is_finite() && (self.scale == Scale::Linear || figure > 0.0)
    }
}

impl Chart {
    /// Every place in it that its axes can show: curves first, then marks.
    pub fn points(&self) -> impl Iterator<Item = ChartPoint> + '_ {
        self.curves
            .iter()
            .flat_map(|c| c.points.iter().copied())
            .chain(self.marks.iter().map(|m| m.point))
            .filter(|p| self.across.holds(p.across.get()) && self.up.holds(p.up.get()))
    }

    /// The least and the greatest figure along the bottom and upwards; none without points.
    #[must_use]
    pub fn extent(&self) -> Option<[(f64, f64); 2]> {
        self.points().fold(None, |extent, p| {
            let (x, y) = (p.across.get(), p.up.get());
            let [across, up] = extent.unwrap_or([(x, x), (y, y)]);
            Some([
                (across.0.min(x), across.1.max(x)),
                (up.0.min(y), up.1.max(y)),
            ])
        })
    }

    /// The chart as a table: some points of each curve, the first and the last among them, and every
    /// mark. Curves that are read at the same places stand side by side.
    #[must_use]
    pub fn table(&self) -> (Vec<Column>, Vec<Vec<String>>) {
        if let Some(table) = self.side_by_side() {
            return table;
        }
        let columns = vec![
            Column::figures(&self.across.label),
            Column::figures(&self.up.label),
            Column::words(""),
        ];
        let mut rows: Vec<(ChartPoint, &str)> = Vec::new();
        let mut levels = Vec::new();
        for curve in &self.curves {
            let last = curve.points.len().saturating_sub(1);
            let step = last.div_ceil(MOST_ROWS.saturating_sub(1)).max(1);
            let name = if self.curves.len() > 1 {
                curve.name.as_str()
            } else {
                ""
            };
            // A line that only marks a height is one row, wherever it is read.
            if let [first, rest @ ..] = curve.points.as_slice()
                && self.curves.len() > 1
                && !rest.is_empty()
                && rest.iter().all(|p| p.up == first.up)
            {
                levels.push((first.up, name));
                continue;
            }
            rows.extend(
                curve
                    .points
                    .iter()
                    .enumerate()
                    .filter(|(i, _)| i.checked_rem(step) == Some(0) || *i == last)
                    // A point with a name has a row of its own.
                    .filter(|(_, p)| {
                        self.curves.len() > 1 || !self.marks.iter().any(|m| m.point == **p)
                    })
                    .map(|(_, p)| (*p, name)),
            );
        }
        rows.extend(self.marks.iter().map(|m| (m.point, m.name.as_str())));
        if self.curves.len() <= 1 {
            rows.sort_by(|(a, _), (b, _)| a.across.get().total_cmp(&b.across.get()));
        }
        let row = |across, up: f64, name: &str| {
            vec![across, write_significant(up, DIGITS), name.to_owned()]
        };
        let points = rows.into_iter().map(|(p, name)| {
            let across = write_significant(p.across.get(), DIGITS);
            row(across, p.up.get(), name)
        });
        let levels = levels
            .into_iter()
            .map(|(up, name)| row(String::new(), up.get(), name));
        (columns, points.chain(levels).collect())
    }

    /// The table of several curves that have most of their places in common.
    fn side_by_side(&self) -> Option<(Vec<Column>, Vec<Vec<String>>)> {
        if self.curves.len() < 2 {
            return None;
        }
        let curves = self.curves.iter().flat_map(|c| &c.points);
        let marks = self.marks.iter().map(|m| &m.point);
        let mut places: Vec<f64> = curves
            .clone()
            .chain(marks)
            .map(|p| p.across.get())
            .collect();
        places.sort_by(f64::total_cmp);
        places.dedup();
        let common = |c: &Curve| c.points.len().saturating_mul(2) >= places.len();
        if places.len() > MOST_ROWS || !self.curves.iter().all(common) {
            return None;
        }
        let written = |of: f64| write_significant(of, DIGITS);
        let at = |points: &[ChartPoint], place: f64| {
            let found = points.iter().find(|p| p.across.get() == place);
            found.map_or_else(String::new, |p| written(p.up.get()))
        };
        let mut columns = vec![Column::figures(&self.across.label)];
        let heads = self.curves.iter();
        columns.extend(heads.map(|c| Column::figures(format!("{}: {}", self.up.label, c.name))));
        let rows = places
            .iter()
            .map(|place| {
                let named = self.marks.iter().filter(|m| m.point.across.get() == *place);
                let mut first: Vec<&str> = named.map(|m| m.name.as_str()).collect();
                let figure = written(*place);
                first.push(&figure);
                let mut row = vec![first.join(" ")];
                row.extend(self.curves.iter().map(|c| at(&c.points, *place)));
                row
            })
            .collect();
        Some((columns, rows))
    }

    /// Every piece of text a rendering must show.
    pub(super) fn texts<'a>(&'a self, out: &mut Vec<&'a str>) {
        out.extend([
            self.title.as_str(),
            self.across.label.as_str(),
            self.up.label.as_str(),
        ]);
        if self.curves.len() > 1 {
            out.extend(self.curves.iter().map(|c| c.name.as_str()));
        }
        out.extend(self.marks.iter().map(|m| m.name.as_str()));
        out.push(&self.caption);
    }
}
