//! A chart as SVG: black on white, told apart by dashes and marks so that it survives a copier.

use super::html::escape;
use super::text::wrap;
use plotters::coord::Shift;
use plotters::prelude::{
    BLACK, ChartBuilder, Circle, DrawingArea, DrawingAreaErrorKind, EmptyElement,
    IntoDrawingArea as _, LineSeries, SVGBackend, Text, WHITE,
};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{Color as _, IntoFont as _, RGBColor, TextStyle};
use spent_silver_domain::answer::{Answer, Severity};
use spent_silver_domain::document::{Axis, Chart, ChartPoint, Scale};
use spent_silver_domain::quantity::write_significant;
use std::fmt::Write as _;

const SIZE: (u32, u32) = (640, 400);
const FACE: &str = "sans-serif";
/// Marks closer than this share of the picture have their names on two sides.
const NEAR: f64 = 0.1;
const GRID: RGBColor = RGBColor(222, 217, 208);
/// Lengths of a dash and of the gap after it, of the second curve and those after it. The drawing
/// library makes each dash a line of its own, three times the length of all else: so a dashed curve is
/// drawn whole in a shade that nobody tells from black, and the shade is made dashes in the text.
const DASHES: [(RGBColor, &str, &str); 3] = [
    (RGBColor(0, 0, 1), "\"#000001\"", "8 4"),
    (RGBColor(0, 0, 2), "\"#000002\"", "2 3"),
    (RGBColor(0, 0, 3), "\"#000003\"", "12 6"),
];

/// A chart as an SVG element that may stand alone or in a page.
///
/// An axis by powers of ten is drawn as the even spread of the logarithm. A chart without a point
/// shows its title alone. `figure` sets the figures at the axes.
#[must_use]
pub fn svg(chart: &Chart, figure: fn(&str) -> String) -> String {
    let mut body = String::new();
    {
        let area = SVGBackend::with_string(&mut body, SIZE).into_drawing_area();
        // Writing to a string does not fail.
        let _ = draw(chart, figure, &area);
    }
    for (_, shade, lengths) in DASHES {
        let dashed = format!("\"#000000\" stroke-dasharray=\"{lengths}\"");
        body = body.replace(shade, &dashed);
    }
    // Said of every line, and the default.
    let body = body.replace(" opacity=\"1\"", "");
    let label = escape(&format!(
        "{}: {} against {}. {}",
        chart.title, chart.up.label, chart.across.label, chart.caption
    ));
    body.replacen(
        "<svg ",
        &format!("<svg role=\"img\" aria-label=\"{label}\" "),
        1,
    )
}

/// A chart on a sheet of its own: the picture, then its caption, every warning of its answer and the
/// notice in words, the gravest first.
#[must_use]
pub fn sheet<T>(chart: &Chart, answer: &Answer<T>) -> String {
    const LETTERS: usize = 92;
    const LINE: u32 = 18;
    let mut warnings: Vec<_> = answer.warnings.iter().collect();
    warnings.sort_by_key(|w| match w.severity {
        Severity::Danger => 0,
        Severity::Caution => 1,
        Severity::Note => 2,
    });
    let mut paragraphs = vec![chart.caption.clone()];
    paragraphs.extend(warnings.iter().map(|w| match w.severity {
        Severity::Danger => format!("DANGER: {}", w.text),
        Severity::Caution => format!("Take care: {}", w.text),
        Severity::Note => format!("Note: {}", w.text),
    }));
    let notice = &answer.notice;
    paragraphs.push(notice.text.to_string());
    paragraphs.extend(notice.confirm.iter().cloned());
    paragraphs.push(format!(
        "Rules: {} (edition: {}).",
        notice.rule_set, notice.edition
    ));
    let mut words = String::new();
    let mut y = SIZE.1;
    for paragraph in &paragraphs {
        for line in wrap(paragraph, LETTERS) {
            y = y.saturating_add(LINE);
            let _ = writeln!(words, "<text x=\"14\" y=\"{y}\">{}</text>", escape(&line));
        }
        y = y.saturating_add(LINE / 3);
    }
    let (width, height) = (SIZE.0, y.saturating_add(LINE));
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\" viewBox=\"0 0 {width} {height}\">\n\
         <rect width=\"{width}\" height=\"{height}\" fill=\"white\"/>\n{}\n\
         <g font-family=\"{FACE}\" font-size=\"13\">\n{words}</g>\n</svg>\n",
        svg(chart, str::to_owned)
    )
}

type Drawn<'a> = Result<
    (),
    DrawingAreaErrorKind<<SVGBackend<'a> as plotters::prelude::DrawingBackend>::ErrorType>,
>;

fn draw<'a>(
    chart: &Chart,
    figure: fn(&str) -> String,
    area: &DrawingArea<SVGBackend<'a>, Shift>,
) -> Drawn<'a> {
    area.fill(&WHITE)?;
    let Some([across, up]) = chart.extent() else {
        return Ok(());
    };
    let (across, up) = (span(&chart.across, across), span(&chart.up, up));
    let mut board = ChartBuilder::on(area)
        .caption(&chart.title, (FACE, 17))
        .margin(14)
        .margin_right(26)
        .x_label_area_size(52)
        .y_label_area_size(72)
        .build_cartesian_2d(across.0..across.1, up.0..up.1)?;
    board
        .configure_mesh()
        .max_light_lines(0)
        .bold_line_style(GRID)
        .axis_style(BLACK)
        .label_style((FACE, 13))
        .axis_desc_style((FACE, 14))
        .x_desc(&chart.across.label)
        .y_desc(&chart.up.label)
        .x_labels(labels(&chart.across, across))
        .y_labels(labels(&chart.up, up))
        .x_label_formatter(&|v| figure(&tick(&chart.across, *v)))
        .y_label_formatter(&|v| figure(&tick(&chart.up, *v)))
        .draw()?;
    // Where figures lie on both sides of nothing, the line between stands out from the grid.
    if chart.up.scale == Scale::Linear && up.0 < 0.0 && up.1 > 0.0 {
        let line = [(across.0, 0.0), (across.1, 0.0)];
        board.draw_series(LineSeries::new(line, BLACK.stroke_width(1)))?;
    }
    for (i, curve) in chart.curves.iter().enumerate() {
        let points: Vec<(f64, f64)> = curve
            .points
            .iter()
            .filter_map(|p| place(chart, *p))
            .collect();
        let style = BLACK.stroke_width(2);
        if let Some((shade, ..)) = i.checked_sub(1).and_then(|n| DASHES.iter().cycle().nth(n)) {
            // A curve that is not the first carries its name where it has room: above its higher end, or
            // below its lower one where it runs below the first.
            let end = |of: &[ChartPoint]| of.last().map(|p| p.up.get());
            let ends = points.first().zip(points.last());
            let rises = ends.is_some_and(|(first, last)| last.1 > first.1);
            let first_curve = chart.curves.first().and_then(|c| end(&c.points));
            let below = end(&curve.points) < first_curve;
            let (at, side, height, away) = match (rises, below) {
                (true, false) => (points.last(), HPos::Right, VPos::Bottom, (-6, -4)),
                (true, true) => (points.first(), HPos::Left, VPos::Top, (6, 4)),
                (false, _) => (points.first(), HPos::Left, VPos::Bottom, (6, -4)),
            };
            board.draw_series(at.map(|at| {
                let words = words(side, height);
                EmptyElement::at(*at) + Text::new(curve.name.clone(), away, words)
            }))?;
            board.draw_series(LineSeries::new(points, shade.stroke_width(2)))?;
        } else {
            board.draw_series(LineSeries::new(points, style))?;
        }
    }
    let middle = f64::midpoint(across.0, across.1);
    // What stands at the bottom of the curves has room below it where the axis ends at a power of ten.
    let lowest = chart
        .extent()
        .filter(|_| chart.up.scale == Scale::Logarithmic)
        .and_then(|[_, (least, _)]| along(&chart.up, least));
    let beside = |at: (f64, f64), other: (f64, f64)| {
        (at.0 - other.0).abs() < NEAR * (across.1 - across.0)
            && (at.1 - other.1).abs() < NEAR * (up.1 - up.0)
    };
    board.draw_series(chart.marks.iter().enumerate().filter_map(|(i, m)| {
        let at = place(chart, m.point)?;
        let earlier = chart.marks.iter().take(i);
        let crowded = earlier
            .filter_map(|other| place(chart, other.point))
            .any(|other| beside(at, other));
        // The name stands on the side that has room: a curve rises from its lowest point.
        let (side, right) = if at.0 > middle {
            (HPos::Right, -8)
        } else {
            (HPos::Left, 8)
        };
        let (height, down) = if Some(at.1) == lowest || crowded {
            (VPos::Top, 6)
        } else {
            (VPos::Bottom, -6)
        };
        Some(
            EmptyElement::at(at)
                + Circle::new((0, 0), 4, BLACK.filled())
                + Text::new(m.name.clone(), (right, down), words(side, height)),
        )
    }))?;
    area.present()
}

fn words(side: HPos, height: VPos) -> TextStyle<'static> {
    (FACE, 13)
        .into_font()
        .color(&BLACK)
        .pos(Pos::new(side, height))
}

/// Where a point stands on the board; none where an axis cannot show it.
fn place(chart: &Chart, point: ChartPoint) -> Option<(f64, f64)> {
    Some((
        along(&chart.across, point.across.get())?,
        along(&chart.up, point.up.get())?,
    ))
}

fn along(axis: &Axis, figure: f64) -> Option<f64> {
    axis.holds(figure).then(|| match axis.scale {
        Scale::Linear => figure,
        Scale::Logarithmic => figure.log10(),
    })
}

/// The two ends of an axis: whole powers of ten, or a little room at both sides.
fn span(axis: &Axis, (least, most): (f64, f64)) -> (f64, f64) {
    match axis.scale {
        Scale::Logarithmic => {
            let (low, high) = (least.log10().floor(), most.log10().ceil());
            if high > low {
                (low, high)
            } else {
                (low, low + 1.0)
            }
        }
        Scale::Linear => {
            let room = 0.04 * (most - least);
            let room = if room > 0.0 { room } else { 0.5 };
            // A mass starts at nothing: no room is wanted below zero.
            let low = if least >= 0.0 {
                (least - 2.0 * room).max(0.0)
            } else {
                least - 2.0 * room
            };
            // The names of curves that end at the top and at the bottom stand beyond them.
            (low, most + 2.0 * room)
        }
    }
}

fn labels(axis: &Axis, span: (f64, f64)) -> usize {
    const EVEN: usize = 8;
    match axis.scale {
        Scale::Linear => EVEN,
        Scale::Logarithmic => (1..=EVEN)
            .find(|n| span.0 + f64::from(u8::try_from(*n).unwrap_or(u8::MAX)) >= span.1)
            .unwrap_or(EVEN)
            .saturating_add(1),
    }
}

fn tick(axis: &Axis, value: f64) -> String {
    match axis.scale {
        Scale::Linear => write_significant(value, 3),
        Scale::Logarithmic => write_significant(10_f64.powf(value), 2),
    }
}

#[cfg(test)]
mod tests {
    use super::svg;
    use spent_silver_domain::document::{Axis, Chart, ChartPoint, Curve, Mark};

    fn chart() -> Chart {
        Chart {
            title: "Salt & silver".to_owned(),
            across: Axis::linear("salt, g"),
            up: Axis::logarithmic("silver left, mg/L"),
            curves: vec![Curve {
                name: "silver left".to_owned(),
                points: [(20.0, 2000.0), (33.0, 0.9), (40.0, 0.4), (80.0, 4.0)]
                    .map(|(x, y)| ChartPoint::at(x, y))
                    .to_vec(),
            }],
            marks: vec![Mark {
                name: "least".to_owned(),
                point: ChartPoint::at(40.0, 0.4),
            }],
            caption: "More is not better.".to_owned(),
        }
    }

    #[test]
    fn an_axis_of_powers_of_ten_stands_at_whole_powers() {
        let drawn = svg(&chart(), str::to_owned);
        for label in ["0.1", "1", "10", "100", "1000", "10000"] {
            assert!(
                drawn.contains(&format!(">\n{label}\n</text>")),
                "{label} is missing in {drawn}"
            );
        }
    }

    #[test]
    fn curves_are_told_apart_by_dashes_and_all_are_black() {
        let mut several = chart();
        for _ in 0..3 {
            several.curves.push(several.curves[0].clone());
        }
        let drawn = svg(&several, str::to_owned);
        for lengths in ["8 4", "2 3", "12 6"] {
            let dashed = format!("stroke=\"#000000\" stroke-dasharray=\"{lengths}\"");
            assert_eq!(drawn.matches(&dashed).count(), 1, "{lengths}: {drawn}");
        }
        assert!(!drawn.contains("#000001"), "{drawn}");
    }

    #[test]
    fn the_names_are_escaped_and_the_picture_says_what_it_shows() {
        let drawn = svg(&chart(), str::to_owned);
        assert!(drawn.starts_with("<svg role=\"img\" aria-label=\"Salt &amp; silver: "));
        assert!(drawn.contains("Salt &amp; silver\n</text>"));
        assert!(!drawn.contains("Salt & silver"));
    }

    #[test]
    fn a_figure_that_an_axis_cannot_show_is_left_out() {
        let mut with_zero = chart();
        with_zero.curves[0].points.push(ChartPoint::at(90.0, 0.0));
        assert_eq!(with_zero.extent().unwrap()[0].1, 80.0);
        assert!(svg(&with_zero, str::to_owned).contains("<polyline"));
    }

    #[test]
    fn a_chart_without_a_point_is_an_empty_picture() {
        let mut empty = chart();
        empty.curves.clear();
        empty.marks.clear();
        assert!(!svg(&empty, str::to_owned).contains("<polyline"));
    }
}
