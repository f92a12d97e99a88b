//! The height of a kiln's arch over its width.
//!
//! What this does not do: know kilns; `event::plan::Chamber` does.

/// The height of an arch at a distance from the left wall: over the spring line a segment of a circle, at the walls and
/// beyond them the spring line.
///
/// # Input   the width and the heights of crown and spring line over the floor, all in millimetres.
/// # Source  rise s over half a chord a has the radius (a² + s²) / 2 s; from the definition of the segment.
#[must_use]
pub fn height_mm(width_mm: f64, crown_mm: f64, spring_mm: f64, x_mm: f64) -> f64 {
    let (half, rise) = (width_mm / 2.0, crown_mm - spring_mm);
    if rise <= 0.0 || half <= 0.0 {
        return crown_mm;
    }
    let radius = (half * half + rise * rise) / (2.0 * rise);
    let off = (x_mm - half).abs().min(half);
    crown_mm - radius + (radius * radius - off * off).max(0.0).sqrt()
}

#[cfg(test)]
mod tests {
    use super::height_mm;

    /// 1000 wide, spring line 900, crown 1200: rise 300 over 500, radius (500² + 300²) / 600 = 566.67; at 250 mm from
    /// the middle the arch is 1200 − 566.67 + √(566.67² − 250²) = 1141.87 mm high.
    #[test]
    fn an_arch_is_a_segment_of_a_circle() {
        let at = |x: f64| height_mm(1000.0, 1200.0, 900.0, x);
        assert!((at(500.0) - 1200.0).abs() < 1e-9);
        assert!((at(0.0) - 900.0).abs() < 1e-9 && (at(1000.0) - 900.0).abs() < 1e-9);
        assert!((at(-50.0) - 900.0).abs() < 1e-9, "beyond the wall");
        assert!((at(250.0) - 1141.8715).abs() < 1e-3, "{}", at(250.0));
    }
}
