//! Hazard pictograms, drawn by hand after the shapes of the standard: a square on its point, red
//! border, black symbol on white.

use spent_silver_domain::document::Pictogram;

/// A pictogram as SVG.
#[must_use]
pub fn svg(of: Pictogram) -> String {
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 100 100\" class=\"pictogram\" role=\"img\" aria-label=\"{}\"><path d=\"M50 4L96 50L50 96L4 50Z\" fill=\"#fff\" stroke=\"#c8102e\" stroke-width=\"5.5\" stroke-linejoin=\"miter\"/>{}</svg>",
        of.words(),
        symbol(of)
    )
}

/// The symbol, inside a square of 100 on its point.
const fn symbol(of: Pictogram) -> &'static str {
    match of {
        Pictogram::Flame => FLAME,
        Pictogram::FlameOverCircle => {
            "<circle cx=\"50\" cy=\"65\" r=\"11\" fill=\"none\" stroke=\"#000\" stroke-width=\"4.5\"/><path d=\"M33 79h34v4h-34z\"/><path d=\"M50 53c-9-1-14-7-12-14c1-4 4-6 4-10c3 2 4 4 4 7c3-4 5-9 3-17c7 5 9 10 8 16c2-1 3-3 3-5c4 6 5 12 1 18c-2 3-6 5-11 5z\"/>"
        }
        Pictogram::ExplodingBomb => {
            "<circle cx=\"46\" cy=\"60\" r=\"15\"/><path d=\"M54 42l7 6l-4 5l-7-6z\"/><path d=\"M59 44c3-6 6-8 9-8\" fill=\"none\" stroke=\"#000\" stroke-width=\"2.5\"/><path d=\"M70 36l6-3M70 33l2-7M66 32l-3-6M72 39l7 2M26 44l-6-4M34 36l-4-7M45 34v-8M25 56h-7\" stroke=\"#000\" stroke-width=\"2.5\"/>"
        }
        Pictogram::Corrosion => {
            "<path d=\"M20 34l24-8l2 5l-24 8zM56 30l24-7l2 5l-24 8z\"/><path d=\"M44 34l-2 6M43 44l-1 5M59 36l1 6M61 46l1 5\" stroke=\"#000\" stroke-width=\"3\"/><path d=\"M22 58h13l4 5l5-3l5 3l3-5h8v6h-38z\"/><path d=\"M54 70l4-11c1-3 4-3 6-2l14 3c3 1 2 4-1 4l-9 1l-5 8z\"/><path d=\"M30 70h40v4h-40z\"/>"
        }
        Pictogram::SkullAndCrossbones => {
            "<path d=\"M50 20c-13 0-19 8-19 17c0 6 2 9 6 12v7h26v-7c4-3 6-6 6-12c0-9-6-17-19-17z\"/><circle cx=\"42\" cy=\"38\" r=\"5\" fill=\"#fff\"/><circle cx=\"58\" cy=\"38\" r=\"5\" fill=\"#fff\"/><path d=\"M50 43l3 6h-6z\" fill=\"#fff\"/><path d=\"M44 51v5M50 51v5M56 51v5\" stroke=\"#fff\" stroke-width=\"1.6\"/><path d=\"M30 62l40 16M70 62l-40 16\" stroke=\"#000\" stroke-width=\"5\" stroke-linecap=\"round\"/>"
        }
        Pictogram::ExclamationMark => {
            "<path d=\"M43 22h14l-3.5 36h-7z\"/><circle cx=\"50\" cy=\"70\" r=\"7\"/>"
        }
        Pictogram::HealthHazard => {
            "<circle cx=\"50\" cy=\"27\" r=\"9\"/><path d=\"M50 38c-16 0-22 7-23 18l9 9v10h28v-10l9-9c-1-11-7-18-23-18z\"/><path d=\"M50 44l3 9l9-4l-4 9l9 4l-9 3l3 8l-9-4l-3 7l-3-7l-8 4l3-8l-9-3l9-4l-4-9l9 4z\" fill=\"#fff\"/>"
        }
        Pictogram::Environment => {
            "<path d=\"M24 68c8-5 14 3 22-1c9-4 20 3 32-2v5h-54z\"/><path d=\"M34 66v-22l-7-8l2-2l6 6v-12h3v14l7-7l2 2l-9 10v19z\"/><path d=\"M46 60c4-8 12-12 22-8l8-5l-2 8l4 6l-9-2c-8 6-17 6-23 1z\"/><circle cx=\"53\" cy=\"57\" r=\"1.8\" fill=\"#fff\"/>"
        }
    }
}

const FLAME: &str = "<path d=\"M50 74c-13-1-20-9-18-20c1-6 6-9 6-15c4 3 6 6 6 11c4-6 8-14 5-27c11 8 14 16 12 26c3-1 5-4 5-8c6 9 7 18 1 27c-3 4-9 6-17 6z\"/><path d=\"M30 77h40v4h-40z\"/>";
