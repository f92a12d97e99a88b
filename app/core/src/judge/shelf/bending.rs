//! How a rectangular shelf bends on its posts, and how hard that stresses it, held against a table of materials.
//!
//! Plain data, so that the page can work another load or inset out in the browser, where there is no world.
//!
//! What this does not do: say that a shelf will bear a load. The table's figures at heat are unverified, the
//! model is elastic and knows no creep, no crack and no shock of heat. Round and half-round shelves are refused.
//!
//! Start reading at [`Slab::of`], then [`bend`] and [`held_against`].
use super::material::density_g_cm3;
use crate::event::values::Material;
use crate::geometry::PlanPoint;
use crate::geometry::plate::stiffness_left;
use crate::geometry::plate::{
    EdgeHold, Foot, Found, GRAVITY_M_S2, Plate, PlateAnswer, PlateCase, PlateError, best_three_supports,
    solve_plate,
};
use crate::outline::{Outline, Spot};
use crate::settings::{SettingKey, Settings};
use crate::units::{Length, Mass};
use crate::world::{PostSet, Shelf, World};
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// Poisson's ratio of every material here.
///
/// # Source   House choice: the table's ranges run from 0.15 to 0.25 (from memory, unverified); a change of
/// 0.05 moves the deflection by about 3 %.
pub const POISSON: f64 = 0.2;
/// Width of a post where no set is known. House choice: 38 mm (1 1/2 in), the commonest section.
const USUAL_POST: Length = Length(38_000_000);
/// How near the edge a post's centre may stand in the search for the best places.
///
/// # Source   House choice: 20 mm, under which the trade warns (common practice, no source).
pub const NEAREST_EDGE: Length = Length(20_000_000);
/// Ware on a shelf as a share of the shelf's own mass: a weighed load had 43 % of its mass in shelves and
/// 37 % in ware (common practice, no source): 37 / 43.
const WARE_SHARE: f64 = 37.0 / 43.0;
/// Thickness over short side from which shear shows.
///
/// # Source   at a tenth, shear adds about 5 % to a plate's deflection (see `solve_plate`).
const THICK: f64 = 0.1;

/// Why a shelf's bending is not worked out.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Error)]
pub enum NoBending {
    /// Round or half-round.
    #[error("how a {0} shelf bends is not worked out here: the calculation takes rectangles only")]
    Shape(&'static str),
    /// Nothing is left of it on record.
    #[error("on record more was ground off than the shelf was thick; correct the grinding first")]
    NoThickness,
}

/// A rectangular shelf as the plate calculation takes it.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Slab {
    /// Its outline, a rectangle.
    pub outline: Outline,
    /// Its thickness when new.
    pub new: Length,
    /// Its thickness now, as far as grinding was noted.
    pub now: Length,
    /// Young's modulus at heat, in force.
    pub stiffness_mpa: i64,
    /// Strength in bending at heat, in force.
    pub strength_kpa: i64,
    /// Share of that which may be used, in millionths.
    pub share_ppm: i64,
    /// Density, the upper end.
    pub density_g_cm3: f64,
    /// Width of the posts under it.
    pub post_width: Length,
}

/// How a slab bends on given posts.
#[derive(Clone, PartialEq, Debug)]
pub struct Bent {
    /// The solution.
    pub answer: PlateAnswer,
    /// The greatest stress in MPa, with its place.
    pub stress_mpa: Found,
    /// Whether that stretches the lower face (sagging); otherwise the upper one, over a post.
    pub sagging: bool,
}

impl Bent {
    /// From the highest to the lowest place.
    #[must_use]
    pub fn peak_to_valley(&self) -> Length {
        Length::from_mm(self.answer.deflection_mm.value + self.answer.rise_mm.value)
    }

    /// What one of its posts carries, in kilograms; below 0 where it would have to pull.
    #[must_use]
    pub fn carried_kg(&self) -> Vec<f64> {
        self.answer.reactions_n.iter().map(|newtons| newtons / GRAVITY_M_S2).collect()
    }
}

/// What the table says of a stress.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Serialize, Deserialize)]
pub enum Against {
    /// At most the share of the strength that may be used.
    Within,
    /// Over that share, and under the strength.
    OverShare,
    /// Over the strength.
    OverStrength,
}

/// The two settings that hold a material's strength and stiffness.
#[must_use]
pub const fn keys(material: Material) -> (SettingKey, SettingKey) {
    use SettingKey as Key;
    match material {
        Material::Cordierite => (Key::StrengthCordierite, Key::StiffnessCordierite),
        Material::HighAlumina => (Key::StrengthHighAlumina, Key::StiffnessHighAlumina),
        Material::ClayBondedSic => (Key::StrengthClayBondedSic, Key::StiffnessClayBondedSic),
        Material::NitrideSlitSic => (Key::StrengthNitrideSlitSic, Key::StiffnessNitrideSlitSic),
        Material::DenseThinSic => (Key::StrengthDenseThinSic, Key::StiffnessDenseThinSic),
        Material::RecrystallisedSic => (Key::StrengthRecrystallisedSic, Key::StiffnessRecrystallisedSic),
        Material::InfiltratedSic => (Key::StrengthInfiltratedSic, Key::StiffnessInfiltratedSic),
    }
}

/// The set that was made for this shelf, where one is together.
#[must_use]
pub fn own_set<'a>(world: &'a World, shelf: &Shelf) -> Option<&'a PostSet> {
    world.sets_together().find(|set| set.shelf == Some(shelf.id))
}

impl Slab {
    /// A shelf with its material's figures in force, on posts as wide as its own set's.
    ///
    /// # Errors   [`NoBending`].
    pub fn of(world: &World, shelf: &Shelf) -> Result<Self, NoBending> {
        match shelf.outline {
            Outline::Rectangle { .. } => {}
            Outline::Round { .. } => return Err(NoBending::Shape("round")),
            Outline::HalfRound { .. } => return Err(NoBending::Shape("half-round")),
        }
        if shelf.thickness_now().0 <= 0 || shelf.thickness.0 <= 0 {
            return Err(NoBending::NoThickness);
        }
        let (strength, stiffness) = keys(shelf.material);
        let settings: &Settings = &world.settings;
        let posts = own_set(world, shelf).map_or(&[][..], |set| &set.posts);
        let narrowest = posts.iter().filter_map(|id| world.posts.get(id)).map(|post| post.width).min();
        Ok(Self {
            outline: shelf.outline,
            new: shelf.thickness,
            now: shelf.thickness_now(),
            stiffness_mpa: settings.get(stiffness),
            strength_kpa: settings.get(strength),
            share_ppm: settings.get(SettingKey::StressShare),
            density_g_cm3: density_g_cm3(shelf.material),
            post_width: narrowest.filter(|width| width.0 > 0).unwrap_or(USUAL_POST),
        })
    }

    /// Its own mass, by its material's usual density.
    #[must_use]
    pub fn own_mass(&self) -> Mass {
        // g/cm³ is 1000 kg/m³; a millimetre is a thousandth of a metre.
        Mass::from_kg(self.density_g_cm3 * self.outline.area_m2() * self.now.mm())
    }

    /// A usual load of ware, in whole kilograms: 37/43 of its own mass, and at least 1 kg.
    #[must_use]
    pub fn usual_load(&self) -> Mass {
        Mass::from_kg(libm::round(self.own_mass().kg() * WARE_SHARE).max(1.0))
    }

    /// What grinding left of its stiffness: 0.73 where a tenth of its thickness is gone.
    #[must_use]
    pub fn stiffness_left(&self) -> f64 {
        stiffness_left(self.now.mm(), self.new.mm())
    }

    /// Whether it is so thick that shear, which the calculation leaves out, shows.
    #[must_use]
    pub fn is_thick(&self) -> bool {
        let (length, width) = self.outline.bounds();
        self.now.mm() > THICK * length.mm().min(width.mm())
    }

    /// The stress that may be used, in MPa: the share of the strength.
    #[must_use]
    pub fn allowed_mpa(&self) -> f64 {
        real(self.strength_kpa) / 1e3 * real(self.share_ppm) / 1e6
    }

    /// The strength in MPa.
    #[must_use]
    pub fn strength_mpa(&self) -> f64 {
        real(self.strength_kpa) / 1e3
    }

    /// Young's modulus in GPa.
    #[must_use]
    pub fn youngs_gpa(&self) -> f64 {
        real(self.stiffness_mpa) / 1e3
    }

    pub(crate) fn plate(&self) -> Plate {
        let (length, width) = self.outline.bounds();
        Plate {
            length_mm: length.mm(),
            width_mm: width.mm(),
            thickness_mm: self.now.mm(),
            youngs_gpa: self.youngs_gpa(),
            poisson: POISSON,
            density_g_cm3: Some(self.density_g_cm3),
        }
    }
}

/// A setting's whole number as a number; settings are far below 2^53.
fn real(value: i64) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "settings are far below 2^53")]
    let real = value as f64;
    real
}

/// Bends a slab under its own weight and a load spread evenly over its face.
///
/// # Input    Where the posts' centres stand: three or four spots on the slab.
/// # Errors   [`PlateError`] where they cannot carry it.
/// # Limits   Elastic and at once; posts bear on squares as wide as they are; see [`solve_plate`].
pub fn bend(slab: &Slab, load: Mass, posts: &[Spot]) -> Result<Bent, PlateError> {
    let foot =
        |spot: &Spot| Foot { x_mm: spot.x_nm.mm(), y_mm: spot.y_nm.mm(), pad_mm: slab.post_width.mm() };
    // N/m² is 0.001 kPa.
    let pressure_kpa = load.kg() * GRAVITY_M_S2 / slab.outline.area_m2() / 1e3;
    let answer = solve_plate(&PlateCase {
        plate: slab.plate(),
        supports: posts.iter().map(foot).collect(),
        pressure_kpa,
        loads: Vec::new(),
        edges: EdgeHold::Free,
    })?;
    let stress =
        |moment: Option<Found>| moment.map(|m| Found { value: m.value * answer.mpa_per_n, at: m.at });
    let nowhere = Found { value: 0.0, at: PlanPoint::default() };
    let (lower, upper) = (stress(answer.sagging_n), stress(answer.hogging_n));
    let (lower, upper) = (lower.unwrap_or(nowhere), upper.unwrap_or(nowhere));
    let sagging = lower.value >= upper.value;
    Ok(Bent { stress_mpa: if sagging { lower } else { upper }, sagging, answer })
}

/// Where three posts bend the slab least under an even load, none nearer the edge than [`NEAREST_EDGE`].
///
/// # Errors   [`PlateError`] for a shelf too long or too narrow.
pub fn best_three(slab: &Slab) -> Result<[Spot; 3], PlateError> {
    let (length, width) = slab.outline.bounds();
    let best = best_three_supports(length.mm(), width.mm(), POISSON, NEAREST_EDGE.mm())?;
    // Whole millimetres: nobody sets a post down finer, and the optimum is flat.
    let whole = |mm: f64| Length::from_mm(libm::round(mm));
    Ok(best.supports.map(|place| Spot { x_nm: whole(place.x_mm), y_nm: whole(place.y_mm) }))
}

/// Holds a stress against the table.
#[must_use]
pub fn held_against(slab: &Slab, stress_mpa: f64) -> Against {
    if stress_mpa <= slab.allowed_mpa() {
        Against::Within
    } else if stress_mpa <= slab.strength_mpa() {
        Against::OverShare
    } else {
        Against::OverStrength
    }
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;

    /// Cordierite, 600 x 300 x 20 mm with nothing ground off.
    fn slab() -> Slab {
        let mm = Length::from_mm;
        Slab {
            outline: Outline::Rectangle { length_nm: mm(600.0), width_nm: mm(300.0) },
            new: mm(20.0),
            now: mm(20.0),
            stiffness_mpa: 4_000,
            strength_kpa: 5_000,
            share_ppm: 250_000,
            density_g_cm3: 2.0,
            post_width: mm(38.0),
        }
    }

    fn three(slab: &Slab) -> Vec<Spot> {
        slab.outline.post_spots(3, Length::from_mm(40.0))
    }

    #[test]
    fn the_posts_carry_shelf_and_load() {
        // 0.18 m² of 20 mm at 2 g/cm³ is 7.2 kg.
        let bent = bend(&slab(), Mass::from_kg(12.0), &three(&slab())).unwrap();
        let carried: f64 = bent.carried_kg().iter().sum();
        assert!((carried - 19.2).abs() < 1e-6, "{carried}");
        // By moments about the pair: the third has 260 of 520 mm, half.
        assert!((bent.carried_kg()[2] - 9.6).abs() < 1e-6);
        assert!((slab().own_mass().kg() - 7.2).abs() < 1e-9);
        // 37/43 of it is 6.2 kg.
        assert_eq!(slab().usual_load(), Mass::from_kg(6.0));
    }

    #[test]
    fn a_tenth_ground_off_leaves_73_per_cent_and_bends_more_under_the_load() {
        let whole = Slab { density_g_cm3: 0.000_001, ..slab() };
        let thin = Slab { now: Length::from_mm(18.0), ..whole.clone() };
        assert!((thin.stiffness_left() - 0.729).abs() < 1e-12);
        let of = |slab: &Slab| bend(slab, Mass::from_kg(12.0), &three(slab)).unwrap();
        let (new, now) = (of(&whole), of(&thin));
        let ratio = new.answer.deflection_mm.value / now.answer.deflection_mm.value;
        assert!((ratio - 0.729).abs() < 1e-4, "{ratio}");
        // Stress goes with the square.
        let ratio = new.stress_mpa.value / now.stress_mpa.value;
        assert!((ratio - 0.81).abs() < 1e-4, "{ratio}");
    }

    #[test]
    fn at_their_best_places_three_posts_bend_it_less() {
        let slab = slab();
        let load = Mass::from_kg(12.0);
        let best = bend(&slab, load, &best_three(&slab).unwrap()).unwrap();
        let usual = bend(&slab, load, &three(&slab)).unwrap();
        assert!(best.peak_to_valley().mm() < 0.5 * usual.peak_to_valley().mm(), "{best:?}");
    }

    #[test]
    fn the_table_decides_by_share_and_strength() {
        let slab = slab();
        let check = |mpa: f64, expected| assert_eq!(held_against(&slab, mpa), expected, "{mpa}");
        check(1.25, Against::Within);
        check(1.26, Against::OverShare);
        check(5.0, Against::OverShare);
        check(5.1, Against::OverStrength);
    }
}
