//! Reads the QR symbols (ISO/IEC 18004) in a picture.
//!
//! The browser loads this as a module of its own, and only when a camera opens or a photo is given: what it
//! calls stands in [`exports`]. [`scene`] draws what a camera would see, for tests and measurements.
//!
//! What this does not do: find and decode by itself, which the `quircs` crate does; or know what a text means,
//! which `tripoise_core::view::scan` does. It imports nothing: no clock, no network, no JavaScript.

pub mod exports;
pub mod scene;

/// The smallest symbol has 21 modules on a side (ISO/IEC 18004, 6.3.1): less cannot hold one.
const LEAST_SIDE: usize = 21;
/// House choice: 4096 × 4096, more than any frame is scaled to; keeps `width * height` far from overflow.
const MOST_PIXELS: usize = 1 << 24;

/// House choice: the middle third of the picture, in thousandths from its middle to its edge.
const AIMED: i64 = 333;

/// A picture in shades of grey, row by row from the upper left corner.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Grey {
    width: usize,
    height: usize,
    shades: Vec<u8>,
}

impl Grey {
    /// A picture of these shades, 0 black to 255 white; `None` where their number does not fit its sides, or
    /// it is too small to hold a symbol or too large.
    #[must_use]
    pub fn new(width: usize, height: usize, shades: Vec<u8>) -> Option<Self> {
        let n_pixels = width.checked_mul(height).filter(|n| *n <= MOST_PIXELS)?;
        let fits = n_pixels == shades.len() && width >= LEAST_SIDE && height >= LEAST_SIDE;
        fits.then_some(Self { width, height, shades })
    }

    /// A picture from a canvas: four bytes a pixel, red, green, blue and opacity, which is left aside.
    #[must_use]
    pub fn from_rgba(width: usize, height: usize, rgba: &[u8]) -> Option<Self> {
        let (pixels, rest) = rgba.as_chunks::<4>();
        if !rest.is_empty() {
            return None;
        }
        Self::new(width, height, pixels.iter().map(luma).collect())
    }

    /// Width and height in pixels.
    #[must_use]
    pub fn size(&self) -> (usize, usize) {
        (self.width, self.height)
    }

    /// The shades, row by row.
    #[must_use]
    pub fn shades(&self) -> &[u8] {
        &self.shades
    }

    /// The same at half the size, each pixel the mean of four: noise and a little blur go.
    fn halved(&self) -> Option<Self> {
        let (width, height) = (self.width / 2, self.height / 2);
        let shades = (0..height).flat_map(|row| {
            let upper = &self.shades[2 * row * self.width..][..self.width];
            let lower = &self.shades[(2 * row + 1) * self.width..][..self.width];
            let pairs = upper.as_chunks::<2>().0.iter().zip(lower.as_chunks::<2>().0);
            pairs.map(|([a, b], [c, d])| mean([*a, *b, *c, *d]))
        });
        Self::new(width, height, shades.collect())
    }
}

/// The texts of the symbols in a picture, the one nearest to its middle first: that is what the hand aims at.
///
/// Half the size is tried first: it takes a quarter of the time, and most labels are held near enough. Of 120
/// spoilt frames it finds a tenth that the whole one does not, for the noise that it evens out. The whole one
/// follows unless something was read where the hand aims.
///
/// # Returns  Nothing where no symbol can be read. Bytes that are no UTF-8 are replaced.
#[must_use]
pub fn read(picture: &Grey) -> Vec<String> {
    let mut found = picture.halved().map(|half| symbols(&half)).unwrap_or_default();
    if !found.iter().any(|symbol| symbol.off_middle <= AIMED) {
        found.extend(symbols(picture));
    }
    found.sort();
    let mut texts: Vec<String> = Vec::new();
    for Symbol { text, .. } in found {
        if !texts.contains(&text) {
            texts.push(text);
        }
    }
    texts
}

#[derive(PartialEq, Eq, PartialOrd, Ord)]
struct Symbol {
    /// How far its middle is from the picture's, across or down, in thousandths of the picture's half.
    off_middle: i64,
    text: String,
}

fn symbols(picture: &Grey) -> Vec<Symbol> {
    let Grey { width, height, shades } = picture;
    let mut finder = quircs::Quirc::default();
    let codes = finder.identify(*width, *height, shades);
    codes
        .filter_map(|code| {
            let code = code.ok()?;
            let data = code.decode().ok()?;
            let text = String::from_utf8_lossy(&data.payload).into_owned();
            Some(Symbol { off_middle: off_middle(picture, &code.corners), text })
        })
        .collect()
}

fn off_middle(picture: &Grey, corners: &[quircs::Point; 4]) -> i64 {
    let off = |part: fn(&quircs::Point) -> i32, side: usize| {
        let side = i64::try_from(side).unwrap_or(i64::MAX / 2000);
        // Four corners: their sum less twice the side is four times as far as the middle is off.
        let off = corners.iter().map(|at| i64::from(part(at))).sum::<i64>() - 2 * side;
        off.abs() * 500 / side
    };
    off(|at| at.x, picture.width).max(off(|at| at.y, picture.height))
}

/// Luma of a pixel: 0.299, 0.587 and 0.114 of red, green and blue (ITU-R BT.601-7, 2.5.1), in 256ths.
fn luma(pixel: &[u8; 4]) -> u8 {
    let [red, green, blue, _] = pixel.map(u32::from);
    // At most 255 × 256 before the shift.
    ((77 * red + 150 * green + 29 * blue) >> 8) as u8
}

fn mean(four: [u8; 4]) -> u8 {
    (four.map(u32::from).iter().sum::<u32>() / 4) as u8
}

#[cfg(test)]
mod tests;
