//! From places on a shelf to places on a drawing, and back.
//!
//! What this does not do: scale heights; only the plan.
use crate::outline::{Outline, Spot};
use crate::units::Length;

/// Width of a drawing in its own units: a phone's screen less its margins.
pub const WIDTH: f64 = 358.0;
/// House choice: what stands around the outline, so that lines on the edge are whole.
pub(super) const PAD: f64 = 9.0;

/// From places on a shelf to places on a drawing: x to the right, the back of the shelf at the top.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Scale {
    per_mm: f64,
    width_mm: f64,
}

impl Scale {
    /// The scale that fits the outline into [`WIDTH`].
    #[must_use]
    pub fn of(outline: &Outline) -> Self {
        let (length, width) = outline.bounds();
        Self { per_mm: (WIDTH - 2.0 * PAD) / length.mm().max(1.0), width_mm: width.mm() }
    }

    /// The drawing's height.
    #[must_use]
    pub fn height(&self) -> f64 {
        tenth(self.width_mm * self.per_mm + 2.0 * PAD)
    }

    /// A place on the drawing.
    #[must_use]
    pub fn at(&self, x_mm: f64, y_mm: f64) -> (f64, f64) {
        (tenth(PAD + x_mm * self.per_mm), tenth(PAD + (self.width_mm - y_mm) * self.per_mm))
    }

    /// A spot on the drawing.
    #[must_use]
    pub fn spot(&self, spot: Spot) -> (f64, f64) {
        self.at(spot.x_nm.mm(), spot.y_nm.mm())
    }

    /// The spot under a place on the drawing given as shares of its width and height.
    #[must_use]
    pub fn back(&self, across: f64, down: f64) -> Spot {
        let x_mm = (across * WIDTH - PAD) / self.per_mm;
        let y_mm = self.width_mm - (down * self.height() - PAD) / self.per_mm;
        // Whole millimetres: a finger is no finer.
        Spot { x_nm: Length::from_mm(libm::round(x_mm)), y_nm: Length::from_mm(libm::round(y_mm)) }
    }

    /// The outline as an SVG path.
    #[must_use]
    pub fn outline(&self, outline: &Outline) -> String {
        let (length, width) = outline.bounds();
        let (left, bottom) = self.at(0.0, 0.0);
        let (right, top) = self.at(length.mm(), width.mm());
        let radius = tenth(length.mm() / 2.0 * self.per_mm);
        match outline {
            Outline::Rectangle { .. } => format!("M{left} {bottom}H{right}V{top}H{left}Z"),
            Outline::Round { .. } => {
                let middle = tenth((bottom + top) / 2.0);
                format!(
                    "M{left} {middle}A{radius} {radius} 0 1 1 {right} {middle}A{radius} {radius} 0 1 1 {left} {middle}Z"
                )
            }
            Outline::HalfRound { .. } => {
                format!("M{left} {bottom}A{radius} {radius} 0 0 1 {right} {bottom}Z")
            }
        }
    }

    /// A straight line between two spots as an SVG path.
    #[must_use]
    pub fn line(&self, from: Spot, to: Spot) -> String {
        let ((x0, y0), (x1, y1)) = (self.spot(from), self.spot(to));
        format!("M{x0} {y0}L{x1} {y1}")
    }
}

/// Tenths are enough on a drawing and keep the page small.
pub(super) fn tenth(value: f64) -> f64 {
    libm::round(value * 10.0) / 10.0 + 0.0
}
