//! A sheet of labels as PDF, drawn from the same places as the printable page.
//!
//! The letters are DejaVu Sans, embedded and cut down to those used, so that the sheet prints alike
//! everywhere. What this does not do: lay out; `tripoise_core::label::sheet` does.
use krilla::Document;
use krilla::color::rgb;
use krilla::geom::{PathBuilder, Point};
use krilla::metadata::Metadata;
use krilla::page::PageSettings;
use krilla::paint::{Fill, Stroke};
use krilla::surface::Surface;
use krilla::text::{Font, TextDirection};
use thiserror::Error;
use tripoise_core::label::sheet::Place;
use tripoise_core::view::labels::sheet::SheetPage;

/// A point is a 72nd of an inch (ISO 32000-1, 8.3.2.3), an inch 25.4 mm.
const POINTS_PER_MM: f64 = 72.0 / 25.4;

/// Why there is no PDF.
#[derive(Debug, Error)]
pub enum PdfError {
    /// The letters inside this program cannot be read.
    #[error("the letters inside this program are damaged; build it again")]
    Font,
    /// A paper without an area.
    #[error("this paper has no area")]
    Paper,
    /// The library's word.
    #[error("the PDF could not be written: {0}")]
    Write(String),
}

/// The sheet's pages, one after another.
///
/// # Errors   [`PdfError`]; none of them can be caused by a sheet that the page shows.
pub fn write(sheet: &SheetPage) -> Result<Vec<u8>, PdfError> {
    let font = |data: &'static [u8]| Font::new(data.into(), 0).ok_or(PdfError::Font);
    let (regular, bold) = (font(dejavu::sans::regular())?, font(dejavu::sans::bold())?);
    let (width, height) = sheet.grid.paper.size();
    let mut document = Document::new();
    document.set_metadata(Metadata::new().title("Labels".to_owned()).language("en".to_owned()));
    for at in 0..sheet.n_sheets {
        let size = PageSettings::from_wh(points(width.mm()), points(height.mm())).ok_or(PdfError::Paper)?;
        let mut page = document.start_page_with(size);
        let mut surface = page.surface();
        for place in sheet.places.iter().filter(|place| place.sheet == at) {
            draw(&mut surface, place, &regular, &bold);
        }
        surface.finish();
        page.finish();
    }
    document.finish().map_err(|cause| PdfError::Write(format!("{cause:?}")))
}

fn draw(surface: &mut Surface<'_>, place: &Place, regular: &Font, bold: &Font) {
    surface.set_stroke(None);
    surface.set_fill(Some(Fill { paint: rgb::Color::new(0, 0, 0).into(), ..Fill::default() }));
    let [left, top, side] = place.symbol_at;
    let module = side / f64::from(place.symbol.side_with_quiet());
    let mut path = PathBuilder::new();
    for (column, row, length) in &place.symbol.runs {
        let quiet = f64::from(place.symbol.side_with_quiet() - place.symbol.side) / 2.0;
        let x = |n: u8| points(left + (f64::from(n) + quiet) * module);
        let y = |n: u8| points(top + (f64::from(n) + quiet) * module);
        path.move_to(x(*column), y(*row));
        path.line_to(x(column + length), y(*row));
        path.line_to(x(column + length), y(row + 1));
        path.line_to(x(*column), y(row + 1));
        path.close();
    }
    if let Some(path) = path.finish() {
        surface.draw_path(&path);
    }
    for line in &place.lines {
        let font = if line.bold { bold } else { regular };
        let at = Point::from_xy(points(line.x_mm), points(line.y_mm));
        surface.draw_text(at, font.clone(), points(line.size_mm), &line.text, false, TextDirection::Auto);
    }
    if let Some([from, to, at]) = place.write {
        let mut path = PathBuilder::new();
        path.move_to(points(from), points(at));
        path.line_to(points(to), points(at));
        surface.set_fill(None);
        surface.set_stroke(Some(Stroke {
            paint: rgb::Color::new(0, 0, 0).into(),
            width: points(0.2),
            ..Stroke::default()
        }));
        if let Some(path) = path.finish() {
            surface.draw_path(&path);
        }
    }
}

/// Millimetres in the PDF's unit.
#[expect(
    clippy::cast_possible_truncation,
    reason = "PDF numbers are single precision; a sheet is 300 mm long"
)]
fn points(mm: f64) -> f32 {
    (mm * POINTS_PER_MM) as f32
}
