//! `/shelf/CODE/bend`: how the shelf bends under a load on its posts, drawn, and where three posts bend it least.
//!
//! The address carries the case (`?load=12&inset=40&posts=3`), so that it works as a plain link. With the
//! program loaded, [`Bend::shown`] runs in the browser at every change.
//!
//! What this does not do: record anything, or promise anything; see [`crate::judge::shelf::bending`].
mod draw;
mod shown;
#[cfg(test)]
mod tests;

pub use draw::{BendPlan, BendSide};
pub use shown::{Layout, Shown};

use crate::form::quantity::read_mass;
use crate::judge::limit_said;
use crate::judge::shelf::bending::{self, NEAREST_EDGE, POISSON, Slab};
use crate::outline::Spot;
use crate::settings::SettingKey;
use crate::units::{Length, Mass};
use crate::view::history::unit_of;
use crate::view::route::Request;
use crate::view::set::choose::{read_inset, usual_inset};
use crate::view::text::{self, LengthUnit, length, length_input};
use crate::world::{Shelf, World};
use serde::{Deserialize, Serialize};

/// The heaviest load taken. House choice: 500 kg on one shelf is a slip of the keyboard.
const HEAVIEST: Mass = Mass(500_000_000);

/// The page.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Bend {
    /// The card's address.
    pub path: String,
    /// The shelf; none where its bending is not worked out.
    pub slab: Option<Slab>,
    /// Why not; empty where it is.
    pub refused: String,
    /// What the fields begin with: load, inset, number of posts.
    pub asked: Asked,
    /// Where three posts bend it least; none where the search has no answer.
    pub best: Option<[Spot; 3]>,
    /// Where the load comes from, unless another is typed.
    pub load_said: String,
    /// What grinding has cost in stiffness.
    pub ground: String,
    /// "It has 2 cracks on record ..."; empty for a whole shelf.
    pub cracked: String,
    /// The figures that it rests on, with where each comes from.
    pub rests_on: Vec<String>,
}

/// The case as typed.
#[derive(Clone, PartialEq, Eq, Debug, Default, Serialize, Deserialize)]
pub struct Asked {
    /// The load: "12", "26 lb".
    pub load: String,
    /// The inset.
    pub inset: String,
    /// "3" or "4".
    pub posts: String,
}

/// The case as read.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Case {
    /// The load on the face.
    pub load: Mass,
    /// How far posts stand in.
    pub inset: Length,
    /// Three or four.
    pub n_posts: usize,
}

/// The page's data.
#[must_use]
pub fn bend(world: &World, request: &Request, shelf: &Shelf) -> Bend {
    let unit = unit_of(world);
    let path = super::path(world, shelf);
    let cracked = match shelf.cracks.len() as u64 {
        0 => String::new(),
        n => format!(
            "It has {} on record: a cracked shelf bends and breaks otherwise than this says",
            text::count(n, "crack", "cracks")
        ),
    };
    let slab = Slab::of(world, shelf);
    let refused = slab.as_ref().err().map(ToString::to_string).unwrap_or_default();
    let slab = slab.ok();
    let own = own_case(world, shelf, slab.as_ref());
    let typed = |name: &str, otherwise: String| match request.query(name).trim() {
        "" => otherwise,
        typed => typed.to_owned(),
    };
    let asked = Asked {
        load: typed("load", mass_input(own.load)),
        inset: typed("inset", length_input(own.inset, unit)),
        posts: typed("posts", own.n_posts.to_string()),
    };
    Bend {
        path,
        best: slab.as_ref().and_then(|slab| bending::best_three(slab).ok()),
        load_said: slab.as_ref().map_or_else(String::new, load_said),
        ground: slab.as_ref().map_or_else(String::new, |slab| ground(slab, unit)),
        rests_on: slab.as_ref().map_or_else(Vec::new, |slab| rests_on(world, shelf, slab, unit)),
        slab,
        refused,
        asked,
        cracked,
    }
}

/// The case of the shelf's own set, else three posts at the usual inset, under a usual load.
#[must_use]
pub fn own_case(world: &World, shelf: &Shelf, slab: Option<&Slab>) -> Case {
    let set = bending::own_set(world, shelf);
    Case {
        load: slab.map_or(Mass::default(), Slab::usual_load),
        inset: set.map_or_else(|| usual_inset(world), |set| set.inset),
        n_posts: set.map_or(3, |set| set.posts.len()),
    }
}

/// One line for the card, with the page's address: "bends 0.4 mm under 9 kg ...".
#[must_use]
pub fn on_the_card(world: &World, shelf: &Shelf) -> String {
    let slab = match Slab::of(world, shelf) {
        Ok(slab) => slab,
        Err(cause) => return text::sentence(&format!("{cause}.")),
    };
    let unit = unit_of(world);
    let case = own_case(world, shelf, Some(&slab));
    shown::one_line(&slab, case, unit)
}

impl Asked {
    /// The case, or what is wrong with load and with inset; empty where nothing is.
    ///
    /// # Errors   The two problems, at least one of them not empty.
    pub fn read(&self, slab: &Slab, unit: LengthUnit) -> Result<Case, [String; 2]> {
        let load = read_mass(&self.load).and_then(|load| {
            let say = || format!("{} kg cannot be; give 0 to {} kg", mass_input(load), mass_input(HEAVIEST));
            if load.0 < 0 || load > HEAVIEST { Err(say()) } else { Ok(load) }
        });
        let (long, wide) = slab.outline.bounds();
        let room = Length(long.min(wide).0 / 2);
        let inset = read_inset(&self.inset, unit).and_then(|inset| {
            let say =
                || format!("{} leaves no room; give less than {}", length(inset, unit), length(room, unit));
            if inset >= room { Err(say()) } else { Ok(inset) }
        });
        let n_posts = if self.posts.trim() == "4" { 4 } else { 3 };
        match (load, inset) {
            (Ok(load), Ok(inset)) => Ok(Case { load, inset, n_posts }),
            (load, inset) => Err([load.err().unwrap_or_default(), inset.err().unwrap_or_default()]),
        }
    }
}

/// A mass in kilograms as a form takes it: "12", "0.5".
fn mass_input(mass: Mass) -> String {
    let text = format!("{:.2}", mass.kg());
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A mass as shown, to a tenth of a kilogram: "12 kg".
fn mass(mass: Mass) -> String {
    let text = text::fixed(mass.kg(), 1);
    format!("{} kg", text.strip_suffix(".0").unwrap_or(&text))
}

fn load_said(slab: &Slab) -> String {
    format!(
        "spread evenly over the face, beside its own {}. Usual: {}, since a weighed load had 37 % of its mass in \
         ware and 43 % in shelves (common practice, no source)",
        mass(slab.own_mass()),
        mass(slab.usual_load())
    )
}

fn ground(slab: &Slab, unit: LengthUnit) -> String {
    let rule = "Stiffness goes with the cube of the thickness: 10 % ground off leaves 73 % (calculated).";
    let off = slab.new - slab.now;
    if off.0 == 0 {
        return format!("No thickness ground off on record: {}. {rule}", length(slab.now, unit));
    }
    let left = slab.stiffness_left();
    format!(
        "{} of {} ground off on record: {} of the stiffness is left, so it bends {} times as much under the same \
         load as when it was new. {rule}",
        length(off, unit),
        length(slab.new, unit),
        text::percent(left),
        text::fixed(1.0 / left, 2)
    )
}

fn rests_on(world: &World, shelf: &Shelf, slab: &Slab, unit: LengthUnit) -> Vec<String> {
    let (strength, stiffness) = bending::keys(shelf.material);
    let said =
        |key: SettingKey| format!("{}; {}", limit_said(&world.settings, key, unit), key.about().source);
    let thick = "Thicker than a tenth of its short side: shear, which is left out, adds 5 % and more";
    let mut lines = vec![
        said(strength),
        said(SettingKey::StressShare),
        said(stiffness),
        format!(
            "density {} g/cm\u{b3} (the heavier end; common practice)",
            text::fixed(slab.density_g_cm3, 1)
        ),
        format!("Poisson\u{2019}s ratio {POISSON} (house choice: the middle of 0.15 to 0.25, unverified)"),
        format!("posts bear on squares of {}", length(slab.post_width, unit)),
        format!(
            "best places are sought no nearer the edge than {} (house choice)",
            length(NEAREST_EDGE, unit)
        ),
    ];
    lines.extend(slab.is_thick().then(|| thick.to_owned()));
    lines
}
