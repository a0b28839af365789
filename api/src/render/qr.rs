//! A QR code as a picture.

use fast_qr::{ECL, QRBuilder};
use std::fmt::Write as _;

/// Modules of white around a code, as the standard asks.
const QUIET: usize = 4;

/// A QR code as SVG; none where the text is too long for one.
#[must_use]
pub fn svg(text: &str) -> Option<String> {
    let code = QRBuilder::new(text).ecl(ECL::M).build().ok()?;
    let side = code.size.saturating_add(QUIET.saturating_mul(2));
    let mut path = String::new();
    for (row, modules) in code.data.chunks(code.size).take(code.size).enumerate() {
        // Dark modules beside each other are one bar: fewer to draw, and no seams between them.
        let mut column = QUIET;
        for bar in modules.chunk_by(|a, b| a.value() == b.value()) {
            let (y, long) = (row.saturating_add(QUIET), bar.len());
            if bar.first().is_some_and(|m| m.value()) {
                let _ = write!(path, "M{column} {y}h{long}v1h-{long}z");
            }
            column = column.saturating_add(long);
        }
    }
    Some(format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {side} {side}\" class=\"qr\" role=\"img\" aria-label=\"QR code of the record\" shape-rendering=\"crispEdges\"><path d=\"M0 0h{side}v{side}h-{side}z\" fill=\"#fff\"/><path d=\"{path}\"/></svg>"
    ))
}

#[cfg(test)]
mod tests {
    use super::{QUIET, svg};

    /// The modules of a picture, read from its path: `true` where dark.
    fn modules(picture: &str) -> Vec<Vec<bool>> {
        let side: usize = {
            let (_, after) = picture.split_once("viewBox=\"0 0 ").unwrap();
            after.split(' ').next().unwrap().parse().unwrap()
        };
        let mut dark = vec![vec![false; side]; side];
        let (_, path) = picture.rsplit_once(" d=\"").unwrap();
        for bar in path.split('M').skip(1) {
            let numbers: Vec<usize> = bar
                .split(|c: char| !c.is_ascii_digit())
                .filter_map(|n| n.parse().ok())
                .collect();
            let [column, row, long, ..] = numbers[..] else {
                panic!("{bar} is no bar")
            };
            dark[row][column..column + long].fill(true);
        }
        dark
    }

    /// What another library reads from a picture of four points to a module.
    fn read(picture: &str) -> String {
        const POINTS: usize = 4;
        let modules = modules(picture);
        let side = modules.len() * POINTS;
        let mut seen = rqrr::PreparedImage::prepare_from_greyscale(side, side, |x, y| {
            if modules[y / POINTS][x / POINTS] {
                0
            } else {
                255
            }
        });
        let found = seen.detect_grids();
        assert_eq!(found.len(), 1);
        found[0].decode().unwrap().1
    }

    #[test]
    fn a_reader_reads_what_was_written() {
        let name = "jug-7 2026-11-02 ";
        for long in [1, 17, 64, 90, 300] {
            let text: String = name
                .chars()
                .chain("0123456789abcdef".chars().cycle().take(long))
                .collect();
            assert_eq!(read(&svg(&text).unwrap()), text);
        }
        assert_eq!(
            read(&svg("Entw\u{e4}ssern \u{2014} \u{9280}").unwrap()),
            "Entw\u{e4}ssern \u{2014} \u{9280}"
        );
    }

    #[test]
    fn a_code_has_white_around_it() {
        let modules = modules(&svg("jug-7").unwrap());
        let dark = |rows: &[Vec<bool>]| rows.iter().flatten().any(|m| *m);
        assert!(!dark(&modules[..QUIET]) && dark(&modules[QUIET..=QUIET]));
    }

    #[test]
    fn a_text_too_long_for_a_code_has_none() {
        // ISO/IEC 18004, table 7: version 40 at level M holds 2,331 bytes.
        assert!(svg(&"a".repeat(2_331)).is_some());
        assert!(svg(&"a".repeat(2_332)).is_none());
    }
}
