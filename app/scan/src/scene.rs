//! What a camera would see of printed symbols: turned, tilted, out of focus, grainy, unevenly lit.
//!
//! For tests and measurements; the same scene always gives the same picture. The browser's module leaves it out.
//! What this does not do: model a lens. Blur is a box, grain is uniform, light falls off in a straight line.
use crate::Grey;

/// A symbol somewhere in the picture.
#[derive(Clone, PartialEq, Debug)]
pub struct Printed {
    /// Modules on a side, without the quiet zone.
    pub side: u8,
    /// Runs of dark modules: column, row, length.
    pub runs: Vec<(u8, u8, u8)>,
    /// Where its middle is, as shares of the picture's width and height.
    pub at: (f64, f64),
    /// How many pixels a module is wide.
    pub module_px: f64,
    /// How far it is turned, in degrees.
    pub turned_deg: f64,
    /// How far it leans away: 0 seen squarely; at 0.3 the near edge looks some 1.3 times as long as at the middle.
    pub lean: f64,
}

/// The picture and what spoils it.
#[derive(Clone, PartialEq, Debug)]
pub struct Scene {
    /// Pixels across.
    pub width: usize,
    /// Pixels down.
    pub height: usize,
    /// What lies in it.
    pub printed: Vec<Printed>,
    /// Pixels on each side that run into one.
    pub blur_px: usize,
    /// Half the width of the grain, in shades.
    pub grain: u8,
    /// How much darker the right edge is than the left: 0 evenly lit, 1 black.
    pub shade: f64,
    /// Where the grain begins; any number.
    pub seed: u64,
}

/// Modules of quiet zone (ISO/IEC 18004, 9.1), printed white.
const QUIET: f64 = 4.0;
/// House choice: what lies around the label, a grey like a shelf's.
const AROUND: f64 = 120.0;
/// House choice: ink and paper under a lamp, not black and white.
const INK: f64 = 35.0;
const PAPER: f64 = 225.0;
/// Looks per pixel across and down, so that edges are soft as a sensor sees them.
const LOOKS: u32 = 3;

impl Scene {
    /// A clean picture with nothing in it.
    #[must_use]
    pub fn new(width: usize, height: usize) -> Self {
        Self { width, height, printed: Vec::new(), blur_px: 0, grain: 0, shade: 0.0, seed: 1 }
    }

    /// The picture.
    #[must_use]
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to a byte's range")]
    pub fn picture(&self) -> Grey {
        let seen = blurred(&self.seen(), self.width, self.height, self.blur_px);
        let mut state = self.seed;
        let mut shades = Vec::with_capacity(seen.len());
        for (at, shade) in seen.into_iter().enumerate() {
            let across = (at % self.width) as f64 / self.width as f64;
            let lit = shade * (1.0 - self.shade * across);
            let grain = f64::from(self.grain) * (2.0 * chance(&mut state) - 1.0);
            shades.push((lit + grain).round().clamp(0.0, 255.0) as u8);
        }
        Grey { width: self.width, height: self.height, shades }
    }

    /// The same as a canvas gives it: four bytes a pixel.
    #[must_use]
    pub fn rgba(&self) -> Vec<u8> {
        self.picture().shades.iter().flat_map(|shade| [*shade, *shade, *shade, 255]).collect()
    }

    /// Sharp and without grain.
    fn seen(&self) -> Vec<f64> {
        let dark: Vec<Vec<bool>> = self.printed.iter().map(Printed::squares).collect();
        let looks = f64::from(LOOKS);
        let mut seen = Vec::with_capacity(self.width * self.height);
        for row in 0..self.height {
            for column in 0..self.width {
                let mut sum = 0.0;
                for look in 0..LOOKS * LOOKS {
                    let x = column as f64 + (f64::from(look % LOOKS) + 0.5) / looks;
                    let y = row as f64 + (f64::from(look / LOOKS) + 0.5) / looks;
                    let hit =
                        self.printed.iter().zip(&dark).find_map(|(one, dark)| one.shade(self, dark, x, y));
                    sum += hit.unwrap_or(AROUND);
                }
                seen.push(sum / (looks * looks));
            }
        }
        seen
    }
}

impl Printed {
    fn squares(&self) -> Vec<bool> {
        let side = usize::from(self.side);
        let mut dark = vec![false; side * side];
        for (column, row, length) in &self.runs {
            let start = usize::from(*row) * side + usize::from(*column);
            dark.iter_mut().skip(start).take((*length).into()).for_each(|square| *square = true);
        }
        dark
    }

    /// Ink or paper at a place of the picture; `None` beside the label.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "checked to be a column and row"
    )]
    fn shade(&self, scene: &Scene, dark: &[bool], x: f64, y: f64) -> Option<f64> {
        let half = f64::from(self.side) / 2.0 + QUIET;
        let (dx, dy) = (x - self.at.0 * scene.width as f64, y - self.at.1 * scene.height as f64);
        let (sin, cos) = self.turned_deg.to_radians().sin_cos();
        let (u, v) = ((cos * dx + sin * dy) / self.module_px, (cos * dy - sin * dx) / self.module_px);
        // Central projection of a plane that leans about its middle line: the way back from picture to plane.
        let away = 1.0 / (1.0 - self.lean * v / half).max(0.05);
        let (u, v) = (u * away, v * away);
        if u.abs() > half || v.abs() > half {
            return None;
        }
        let (column, row) = ((u + half - QUIET).floor(), (v + half - QUIET).floor());
        let inside = |at: f64| at >= 0.0 && at < f64::from(self.side);
        let is_dark =
            inside(column) && inside(row) && dark[row as usize * usize::from(self.side) + column as usize];
        Some(if is_dark { INK } else { PAPER })
    }
}

/// The mean of a square around each pixel, twice, rows then columns.
fn blurred(seen: &[f64], width: usize, height: usize, blur_px: usize) -> Vec<f64> {
    if blur_px == 0 {
        return seen.to_vec();
    }
    let line = |at: &dyn Fn(usize) -> f64, length: usize, middle: usize| {
        let from = middle.saturating_sub(blur_px);
        let to = (middle + blur_px).min(length - 1);
        (from..=to).map(at).sum::<f64>() / (to - from + 1) as f64
    };
    let index = |n: usize| (n / width, n % width);
    let rows: Vec<f64> = (0..seen.len())
        .map(|n| line(&|column| seen[index(n).0 * width + column], width, index(n).1))
        .collect();
    (0..seen.len()).map(|n| line(&|row| rows[row * width + index(n).1], height, index(n).0)).collect()
}

/// A number from 0 to 1 (`SplitMix64`: Steele, Lea and Flood 2014, figure 17).
fn chance(state: &mut u64) -> f64 {
    *state = state.wrapping_add(0x9E37_79B9_7F4A_7C15);
    let mut mixed = *state;
    mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    ((mixed ^ (mixed >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
}
