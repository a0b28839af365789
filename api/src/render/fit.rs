//! The letter that a paper is set in: the largest with which it stands on the pages it is meant for.

use serde::Serialize;
use spent_silver_domain::document::{Document, DocumentKind, PaperSize};

/// Points to a millimetre: 72 to an inch of 25.4 mm.
const POINTS: f64 = 72.0 / 25.4;

/// How the height of a paper grows with its letter, as a power: wider words break sooner, so that it
/// is more than the letter and less than its square. Seen with the papers of the demo.
const GROWTH: f64 = 1.4;

/// A larger letter is not tried where the page would be that much too tall by [`GROWTH`].
const HOPELESS: f64 = 1.03;

/// A page with its margins, in millimetres.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub(super) struct Sheet {
    pub width: f64,
    pub height: f64,
    /// Left and right.
    pub beside: f64,
    pub top: f64,
    pub bottom: f64,
}

impl Sheet {
    /// The page that a document is set on. A label lies on its side.
    pub(super) fn of(document: &Document) -> Self {
        let (width, height) = match document.paper_size {
            PaperSize::A4 => (210.0, 297.0),
            PaperSize::UsLetter => (215.9, 279.4),
            PaperSize::A6 => (105.0, 148.0),
        };
        if document.kind == DocumentKind::ContainerLabel {
            return Self {
                width: height,
                height: width,
                beside: 5.0,
                top: 3.4,
                bottom: 3.4,
            };
        }
        Self {
            width,
            height,
            beside: 17.0,
            top: 13.0,
            bottom: 16.0,
        }
    }

    /// Height between the margins in points.
    fn tall(self) -> f64 {
        (self.height - self.top - self.bottom) * POINTS
    }

    /// Area between the margins in square points.
    fn area(self) -> f64 {
        self.tall() * (self.width - 2.0 * self.beside) * POINTS
    }

    /// How many pages are filled to a place: the page it is on, from 1, and points from the top edge.
    pub(super) fn pages_to(self, page: usize, from_top: f64) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "a number of pages")]
        let before = page.saturating_sub(1) as f64;
        before + (from_top - self.top * POINTS) / self.tall()
    }
}

/// The letters that a kind of paper may be set in, largest first, in points.
pub(super) struct Letters {
    /// How many pages it may fill.
    pages: f64,
    /// How many letters of one point stand on a square point, with all that is around them; of larger
    /// ones fewer by [`GROWTH`]. Seen with the papers of the demo.
    dense: f64,
    sizes: &'static [f64],
    /// Whether what cannot fit goes on in the smallest letter, else in the largest.
    small: bool,
}

impl Letters {
    /// A label and a wall sheet are one page and a posting is two, as large as that allows; a sheet
    /// that is filled in standing is one page where a slightly smaller letter makes it one. The others
    /// take as many pages as they take.
    pub(super) const fn of(kind: DocumentKind) -> Option<Self> {
        let (pages, dense, sizes, small): (_, _, &'static [f64], _) = match kind {
            DocumentKind::ContainerLabel => (
                1.0,
                0.33,
                &[
                    11.0, 10.5, 10.0, 9.5, 9.0, 8.5, 8.0, 7.5, 7.0, 6.5, 6.0, 5.6, 5.3, 5.1, 4.9,
                ],
                true,
            ),
            DocumentKind::WallSheet => (
                1.0,
                0.209,
                &[
                    14.0, 13.0, 12.0, 11.5, 11.0, 10.5, 10.0, 9.5, 9.0, 8.5, 8.0, 7.5,
                ],
                true,
            ),
            DocumentKind::EmergencyPosting => (1.75, 0.188, &[12.0, 11.0, 10.0, 9.2, 8.4], true),
            DocumentKind::SettlementSheet => (1.0, 0.093, &[10.0, 9.5, 9.0, 8.6], false),
            DocumentKind::InspectionLog | DocumentKind::CollectionChecklist => {
                (1.0, 0.093, &[10.0, 9.5, 9.0, 8.6, 8.2], false)
            }
            DocumentKind::LaboratorySampleSheet => {
                (1.0, 0.093, &[10.0, 9.5, 9.0, 8.6, 8.2, 7.8, 7.4], false)
            }
            DocumentKind::SpillRecord => (1.0, 0.066, &[10.0, 9.5, 9.0, 8.6, 8.2], false),
            _ => return None,
        };
        Some(Self {
            pages,
            dense,
            sizes,
            small,
        })
    }

    /// Sets a paper of so many letters in the largest size that fits. What fits in one size fits in
    /// every smaller one. A layout is dear, so it begins where the letters would fill the pages and
    /// goes on where the last height points. `set` gives the paper in a size and how many pages it
    /// fills.
    pub(super) fn fitted<T, E>(
        &self,
        sheet: Sheet,
        letters: usize,
        mut set: impl FnMut(f64) -> Result<(T, f64), E>,
    ) -> Result<T, E> {
        #[expect(clippy::cast_precision_loss, reason = "a number of letters")]
        let letters = letters.max(1) as f64;
        let likely = (self.dense * sheet.area() * self.pages / letters).powf(GROWTH.recip());
        let sizes = self.sizes;
        let last = sizes.len().saturating_sub(1);
        let mut at = sizes.iter().position(|s| *s <= likely).unwrap_or(last);
        let (mut low, mut high, mut best) = (0, sizes.len(), None);
        loop {
            let size = sizes.get(at).copied().unwrap_or_default();
            let (paper, filled) = set(size)?;
            let tall = filled / self.pages;
            let fits = tall <= 1.0;
            if fits {
                best = Some(paper);
                high = at;
            } else {
                low = at.saturating_add(1);
                if low >= sizes.len() && self.small {
                    return Ok(paper);
                }
            }
            if low >= high {
                break;
            }
            let most = if fits { HOPELESS } else { 1.0 };
            let likely = (low..high).find(|i| {
                let next = sizes.get(*i).copied().unwrap_or_default();
                tall * (next / size).powf(GROWTH) <= most
            });
            match likely {
                Some(next) => at = next,
                None if fits => break,
                None => at = high.saturating_sub(1),
            }
        }
        match best {
            Some(paper) => Ok(paper),
            None => set(sizes.first().copied().unwrap_or_default()).map(|(paper, _)| paper),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Letters, Sheet};
    use spent_silver_domain::document::DocumentKind;

    const A4: Sheet = Sheet {
        width: 210.0,
        height: 297.0,
        beside: 17.0,
        top: 13.0,
        bottom: 16.0,
    };

    /// The size that is chosen for a paper of so many letters, where `filled` says how many square
    /// points they take in a size, and how many sizes were tried.
    fn chosen(kind: DocumentKind, letters: u32, filled: impl Fn(f64, f64) -> f64) -> (f64, usize) {
        let mut tries = 0;
        let area = 176.0 * 268.0 * (72.0_f64 / 25.4).powi(2);
        let size = Letters::of(kind)
            .unwrap()
            .fitted(A4, letters as usize, |size| {
                tries += 1;
                Ok::<_, ()>((size, filled(f64::from(letters), size) / area))
            });
        (size.unwrap(), tries)
    }

    #[test]
    fn the_largest_letter_that_fits_is_found() {
        // However a paper fills: each letter takes `room` squares of its own size.
        let squares = |room: f64| move |letters: f64, size: f64| room * letters * size * size;
        // 176 by 268 mm are 379,000 square points: 2,000 letters of 1.2 squares fill them at 12.57 pt.
        let wall = |letters, room| chosen(DocumentKind::WallSheet, letters, squares(room));
        assert_eq!(wall(2_000, 1.2).0, 12.0);
        // Where they are twice as thick: 8.89 pt.
        assert_eq!(wall(2_000, 2.4).0, 8.5);
        // Few letters take the largest there is, and what cannot fit goes on in the smallest.
        assert_eq!(wall(10, 1.2), (14.0, 1));
        assert_eq!(wall(20_000, 1.2).0, 7.5);
        // A checklist goes on in its own size.
        let list = chosen(DocumentKind::CollectionChecklist, 20_000, squares(2.7));
        assert_eq!(list.0, 10.0);
        // A posting may fill a page and three quarters: at 10.51 pt.
        let posting = chosen(DocumentKind::EmergencyPosting, 5_000, squares(1.2));
        assert_eq!(posting.0, 10.0);
    }

    #[test]
    fn few_sizes_are_tried_for_a_label() {
        for letters in (100..20_000).step_by(50) {
            for off in [0.9, 1.0, 1.1] {
                let filled = |letters: f64, size: f64| off * letters * size.powf(1.4) / 0.33;
                let (_, tries) = chosen(DocumentKind::ContainerLabel, letters, filled);
                assert!(tries <= if off == 1.0 { 2 } else { 3 }, "{letters} {off}");
            }
        }
    }

    #[test]
    fn a_place_on_a_page_is_so_many_pages_from_the_beginning() {
        let top = 13.0 * 72.0 / 25.4;
        let half = top + 134.0 * 72.0 / 25.4;
        assert!((A4.pages_to(1, top)).abs() < 1e-12);
        assert!((A4.pages_to(2, half) - 1.5).abs() < 1e-12);
    }
}
