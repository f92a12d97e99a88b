//! A sheet of labels laid out in millimetres, for the printable page and the PDF alike.
//!
//! What this does not do: measure letters. A line is set so that even wide letters fit, by the width of the
//! widest digit of common sans-serif faces, 0.7 of their height.
use super::grid::Grid;
use super::symbol::{Symbol, SymbolError};
use super::token::Token;
use serde::{Deserialize, Serialize};

/// House choice: what a cutter or a printer may be off by.
const MARGIN_MM: f64 = 1.5;
/// The widest bold capital or digit of DejaVu Sans Bold as a share of its size, read from the face: 0.77 (R, K);
/// an M or W, at 1.0 and 1.1, is in no code that the tool gives.
const WIDE: f64 = 0.8;
/// An ordinary letter of running text; from the same face: 0.6.
const PLAIN: f64 = 0.62;

/// What one label is to say.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Wanted {
    /// Where its symbol leads.
    pub token: Token,
    /// The code, large.
    pub code: String,
    /// Kind and size: "cordierite 600 × 300 × 19 mm".
    pub what: String,
}

/// One label on paper; all in millimetres from the paper's upper left corner.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Place {
    /// Which sheet, from 0.
    pub sheet: usize,
    /// The label's left and upper edge, width and height.
    pub frame: [f64; 4],
    /// The symbol with its quiet zone: left, top, side.
    pub symbol_at: [f64; 3],
    /// The symbol.
    pub symbol: Symbol,
    /// The code, kind and size, studio.
    pub lines: Vec<TextLine>,
    /// The line to write on: left, right, height; none where there is no room.
    pub write: Option<[f64; 3]>,
}

/// A line of text.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct TextLine {
    /// The text.
    pub text: String,
    /// Its left end.
    pub x_mm: f64,
    /// Its baseline.
    pub y_mm: f64,
    /// The size of its letters.
    pub size_mm: f64,
    /// Whether it is bold.
    pub bold: bool,
}

/// Lays labels out on a grid, the first `skip` places left empty.
///
/// # Errors   [`SymbolError`] where the studio's address is too long.
pub fn lay_out(
    grid: &Grid,
    skip: usize,
    address: &str,
    studio: &str,
    labels: &[Wanted],
) -> Result<Vec<Place>, SymbolError> {
    let per_sheet = grid.per_sheet().max(1);
    labels
        .iter()
        .enumerate()
        .map(|(idx, wanted)| {
            let at = idx + skip % per_sheet;
            let (left, top) = grid.corner(at % per_sheet);
            let frame = [left.mm(), top.mm(), grid.width_nm.mm(), grid.height_nm.mm()];
            let symbol = Symbol::of(&wanted.token.address(address))?;
            Ok(place(at / per_sheet, frame, symbol, wanted, studio))
        })
        .collect()
}

fn place(sheet: usize, frame: [f64; 4], symbol: Symbol, wanted: &Wanted, studio: &str) -> Place {
    let [left, top, width, height] = frame;
    let side = (height - 2.0 * MARGIN_MM).min((width - 2.0 * MARGIN_MM) * 0.46);
    let symbol_at = [left + MARGIN_MM, top + (height - side) / 2.0, side];
    let x_mm = left + MARGIN_MM + side + 0.5;
    let right = left + width - 2.0 * MARGIN_MM;
    let room = right - x_mm;
    let line = |text: &str, y_mm: f64, most: f64, wide: f64, bold: bool| {
        let (text, size_mm) = fitted(text, room, most, wide);
        TextLine { text, x_mm, y_mm, size_mm, bold }
    };
    // Arm's length is about 700 mm; a two-hundredth of that, 3.5 mm, is the least that is read without effort
    // (common practice, no source). The code has twice to four times as much where there is room.
    let code = line(&wanted.code, 0.0, (height * 0.34).min(16.0), WIDE, true);
    let code_y = top + MARGIN_MM + code.size_mm * 0.85;
    let small = (height * 0.085).clamp(1.9, 3.4);
    let what_y = code_y + small * 1.6;
    let mut lines = vec![TextLine { y_mm: code_y, ..code }];
    let (first, second) = two_lines(&wanted.what, room, small);
    lines.push(line(&first, what_y, small, PLAIN, false));
    if !second.is_empty() {
        lines.push(line(&second, what_y + small * 1.2, small, PLAIN, false));
    }
    let foot = top + height - MARGIN_MM - 0.5;
    if !studio.is_empty() {
        lines.push(line(studio, foot, small * 0.85, PLAIN, false));
    }
    let above_foot = if studio.is_empty() { foot } else { foot - small * 1.3 };
    let below =
        lines.iter().rev().skip(usize::from(!studio.is_empty())).map(|line| line.y_mm).fold(0.0, f64::max);
    let write = (above_foot - below > 4.0).then_some([x_mm, right, above_foot]);
    Place { sheet, frame, symbol_at, symbol, lines, write }
}

/// The text in the size that fits the room; where that would be too small to read, cut short.
fn fitted(text: &str, room: f64, most: f64, wide: f64) -> (String, f64) {
    /// House choice: below this, small print.
    const LEAST_MM: f64 = 1.6;
    let letters = |n: usize| {
        #[expect(clippy::cast_precision_loss, reason = "a line of a label")]
        let n = n as f64;
        n
    };
    let n = text.chars().count().max(1);
    let size = (room / (letters(n) * wide)).min(most);
    if size >= LEAST_MM {
        return (text.to_owned(), size);
    }
    let mut short: Vec<char> = text.chars().collect();
    while short.len() > 1 && letters(short.len()) * wide * LEAST_MM > room {
        short.pop();
    }
    (short.into_iter().collect(), LEAST_MM)
}

/// The text on one line, or broken at the last space that keeps the first line in the room.
fn two_lines(text: &str, room: f64, size: f64) -> (String, String) {
    let fits = |n: usize| {
        #[expect(clippy::cast_precision_loss, reason = "a line of a label")]
        let width = n as f64 * PLAIN * size;
        width <= room
    };
    if fits(text.chars().count()) {
        return (text.to_owned(), String::new());
    }
    let mut breaks = text.match_indices(' ').map(|(at, _)| at);
    let best = breaks.rfind(|at| fits(text.get(..*at).map_or(0, |part| part.chars().count())));
    match best.and_then(|at| text.split_at_checked(at)) {
        Some((first, second)) => (first.to_owned(), second.trim_start().to_owned()),
        None => (text.to_owned(), String::new()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ids::{LabelId, StudioId};
    use crate::label::common;
    use uuid::Uuid;

    fn labels(n: u128) -> Vec<Wanted> {
        let one = |n| Wanted {
            token: Token::new(LabelId(Uuid::from_u128(n)), StudioId(Uuid::from_u128(9))),
            code: format!("F{n:02}"),
            what: "silicon carbide, nitride-bonded, slit 600 × 300 × 11.5 mm".to_owned(),
        };
        (1..=n).map(one).collect()
    }

    #[test]
    fn everything_stays_on_its_label_on_every_common_grid() -> Result<(), SymbolError> {
        for grid in common() {
            let places = lay_out(&grid, 0, "https://tripoise.local:7443", "Kestrel Yard", &labels(3))?;
            for Place { frame: [left, top, width, height], symbol_at, lines, write, .. } in places {
                let name = &grid.name;
                let [x, y, side] = symbol_at;
                assert!(
                    x >= left && y >= top && x + side <= left + width && y + side <= top + height,
                    "{name}"
                );
                // 37 modules with the quiet zone; 0.4 mm each is what a phone reads from a hand's breadth.
                assert!(side / 37.0 >= 0.4, "{name}: modules of {} mm", side / 37.0);
                for line in &lines {
                    assert!(line.x_mm >= x + side && line.y_mm <= top + height, "{name}: {line:?}");
                }
                let code = lines.first().map_or(0.0, |line| line.size_mm);
                assert!(code >= 5.0, "{name}: the code is {code} mm high");
                if let Some([from, to, at]) = write {
                    assert!(from < to && at < top + height, "{name}");
                }
            }
        }
        Ok(())
    }

    #[test]
    fn used_up_places_are_skipped_and_sheets_follow_one_another() -> Result<(), SymbolError> {
        let grid = common().into_iter().next().ok_or(SymbolError::TooLong { length: 0 })?;
        let places = lay_out(&grid, 22, "https://tripoise.local:7443", "", &labels(4))?;
        let where_to: Vec<(usize, f64, f64)> =
            places.iter().map(|p| (p.sheet, p.frame[0], p.frame[1])).collect();
        assert_eq!(where_to, [(0, 70.0, 259.5), (0, 140.0, 259.5), (1, 0.0, 0.5), (1, 70.0, 0.5)]);
        Ok(())
    }
}
