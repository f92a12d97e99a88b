//! What the trade knows of shelf materials: density and life, as bands.
//!
//! What this does not do: say when a shelf is done. A band is what others have seen, never a date.
use crate::cone_name::ConeName;
use crate::event::values::Material;
use crate::world::Shelf;

/// Firings that shelves of a material are said to last.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct LifeBand {
    /// From.
    pub low: u32,
    /// To.
    pub high: u32,
    /// What it holds for: "at cone 10", empty where the trade makes no difference.
    pub holds_for: &'static str,
    /// Said after the numbers: "and more".
    pub beyond: &'static str,
}

/// Where the bands come from, shown beside them.
pub const LIFE_SOURCE: &str = "common practice and memory, unchecked; a band, not a date";

/// The life band of a material in a kiln that usually goes to `cone`; none where none is known.
///
/// # Source   common practice or memory, no published source. House choice: the two rows for cordierite are
/// for cone 6 and cone 10; to cone 7 the first is shown, from cone 8 the second.
#[must_use]
pub fn life_band(material: Material, cone: ConeName) -> Option<LifeBand> {
    let band = |low, high, holds_for, beyond| Some(LifeBand { low, high, holds_for, beyond });
    match material {
        Material::Cordierite if cone.rank() <= 7 => band(150, 300, "at cone 6", ""),
        Material::Cordierite => band(60, 120, "at cone 10", ""),
        Material::HighAlumina => band(200, 400, "", ""),
        Material::ClayBondedSic => band(200, 500, "", ""),
        Material::NitrideSlitSic => band(200, 400, "", ""),
        Material::DenseThinSic => band(500, 1000, "", "and more"),
        Material::RecrystallisedSic | Material::InfiltratedSic => None,
    }
}

/// The cone from which cordierite is not used at all.
///
/// # Source   common practice: 1275 to 1300 °C at most; cone 12 is past it (1306 °C at 60 °C an hour on the chart of large
/// cones, from memory).
const NO_CORDIERITE: i8 = 12;
/// The cone from which silicon-infiltrated silicon carbide is not used at all.
///
/// # Source   common practice: about 1350 °C at most; cone 13 is at 1331 to 1348 °C (from memory).
const NO_INFILTRATED: i8 = 14;

/// Why a material is not used at a cone at all; nothing where it may be.
#[must_use]
pub fn too_soft(material: Material, cone: ConeName) -> Option<String> {
    let (never, about) = match material {
        Material::Cordierite => (NO_CORDIERITE, "1300 \u{b0}C at most"),
        Material::InfiltratedSic => (NO_INFILTRATED, "about 1350 \u{b0}C at most"),
        _ => return None,
    };
    (cone.rank() >= never)
        .then(|| format!("{} at cone {cone}: {about} (common practice, no source)", material.said()))
}

/// The upper end of a material's density in g/cm³: for a caution about lifting, the heavier guess.
///
/// # Source   common practice: suppliers' usual figures.
#[must_use]
pub const fn density_g_cm3(material: Material) -> f64 {
    match material {
        Material::Cordierite => 2.2,
        Material::HighAlumina => 3.2,
        Material::ClayBondedSic | Material::RecrystallisedSic => 2.7,
        Material::NitrideSlitSic | Material::DenseThinSic => 2.8,
        Material::InfiltratedSic => 3.1,
    }
}

/// About how heavy a shelf is: density times area times the thickness left. An upper guess, not a weighing.
#[must_use]
pub fn about_kg(shelf: &Shelf) -> f64 {
    // g/cm³ is 1000 kg/m³; a millimetre is a thousandth of a metre.
    density_g_cm3(shelf.material) * shelf.outline.area_m2() * shelf.thickness_now().mm().max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cordierite_lasts_by_cone() {
        let band = |cone: &str| ConeName::read(cone).ok().and_then(|c| life_band(Material::Cordierite, c));
        assert_eq!(band("6").map(|b| (b.low, b.high)), Some((150, 300)));
        assert_eq!(band("04").map(|b| (b.low, b.high)), Some((150, 300)));
        assert_eq!(band("10").map(|b| (b.low, b.high)), Some((60, 120)));
    }
}
