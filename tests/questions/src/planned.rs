//! The plan that is measured: twelve layers in two stacks, every post measured and every shelf read, as a page holds
//! it while a finger drags a post.
//!
//! What this does not do: time anything; benches/calculations.rs does, and a page in Chromium can.
use crate::chance::Chance;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use tripoise_core::event::PlanSaved;
use tripoise_core::judge::stack::{PlateCache, StackCheck, check_with};
use tripoise_core::record::Record;
use tripoise_core::units::{Length, Mass};
use tripoise_core::world::World;

/// Layers in each stack.
const LAYERS: usize = 12;
/// Where three posts stand under a shelf of 600 by 300 mm.
const PLACES: [(i64, i64); 3] = [(40, 40), (40, 260), (560, 150)];

/// A world, a plan in it, and the plates that were solved.
pub struct Planned {
    world: World,
    plan: PlanSaved,
    cache: PlateCache,
}

/// Makes up records one after another.
struct Diary {
    records: Vec<Record>,
    ids: u64,
}

fn uuid(n: u64) -> String {
    format!("00000000-0000-0000-0000-{n:012x}")
}

fn mm(mm: f64) -> i64 {
    Length::from_mm(mm).0
}

impl Diary {
    fn id(&mut self) -> String {
        self.ids += 1;
        uuid(self.ids)
    }

    fn note(&mut self, kind: &str, body: Value) -> serde_json::Result<()> {
        let seq = self.records.len() + 1;
        let ms = 1_700_000_000_000_u64 + seq as u64 * 1000;
        let record = json!({
            "id": self.id(), "device": uuid(5), "device_seq": seq, "hlc": format!("{:016x}", ms << 16),
            "observed_at": "2026-03-01T10:00:00Z", "kind": kind, "schema": 1, "body": body,
        });
        self.records.push(serde_json::from_value(record)?);
        Ok(())
    }

    fn shelf(&mut self, n: usize, kiln: &str, chance: &mut Chance) -> serde_json::Result<String> {
        let shelf = self.id();
        self.note(
            "shelf_added",
            json!({
                "shelf": shelf, "code": format!("F{n:02}"), "material": "high_alumina", "firings_before": 30,
                "outline": {"shape": "rectangle", "length_nm": mm(600.0), "width_nm": mm(300.0)},
                "thickness_nm": mm(20.0), "kiln": kiln, "place": "rack B",
            }),
        )?;
        let height = |at: usize| {
            let (u, v) = ((at % 5) as f64 / 2.0 - 1.0, (at / 5) as f64 / 2.0 - 1.0);
            let z = 0.3 * (u * u + v * v) + chance.between(-0.05, 0.05);
            json!({"nm": mm(z), "text": format!("{z:.2}")})
        };
        let heights: Vec<Value> = (0..25).map(height).collect();
        self.note(
            "shelf_measured",
            json!({
                "shelf": shelf, "face": "a", "bare": true, "instrument": "dial_indicator",
                "reading": {"grid": {"columns": 5, "rows": 5, "inset_nm": mm(20.0), "heights": heights}},
            }),
        )?;
        Ok(shelf)
    }

    fn post(
        &mut self,
        n: usize,
        nominal_mm: f64,
        kiln: &str,
        chance: &mut Chance,
    ) -> serde_json::Result<String> {
        let post = self.id();
        self.note(
            "post_added",
            json!({
                "post": post, "code": format!("P{n:02}"), "material": "high_alumina", "nominal_nm": mm(nominal_mm),
                "section": "square", "width_nm": mm(38.0), "firings_before": n, "kiln": kiln, "place": "",
            }),
        )?;
        let height = nominal_mm + (chance.between(-0.2, 0.2) * 100.0).round() / 100.0;
        self.note(
            "post_measured",
            json!({"post": post, "instrument": "caliper", "height": {"nm": mm(height), "text": height.to_string()}}),
        )?;
        Ok(post)
    }
}

/// One shelf's layer on three posts, 6 kg of ware on it, and on every third two crocks by hand.
fn layer(n: usize, shelf: &str, posts: &[String]) -> Value {
    let support = |(post, (x, y)): (&String, (i64, i64))| json!({"at": {"x_nm": x * 1_000_000, "y_nm": y * 1_000_000}, "posts": [post], "shim_nm": 0, "wad_nm": 0});
    let supports: Vec<Value> = posts.iter().zip(PLACES).map(support).collect();
    let crock = |x: f64| {
        json!({"at": {"x_nm": mm(x), "y_nm": mm(150.0)}, "diameter_nm": mm(110.0), "height_nm": mm(70.0),
            "mass_mg": Mass::from_kg(1.5).0})
    };
    let pieces = if n.is_multiple_of(3) { vec![crock(220.0), crock(380.0)] } else { Vec::new() };
    let ware = json!({
        "used_for": "general", "tallest_nm": mm(70.0), "mass_mg": Mass::from_kg(6.0).0, "lidded": false,
        "pieces": pieces,
    });
    json!({"supports": supports, "shelves": [{"shelf": shelf, "at": {"x_nm": 0, "y_nm": 0}, "ware": ware}]})
}

impl Planned {
    /// The plan, always the same.
    ///
    /// # Errors   When a record cannot be made, which would be a change of the events' form.
    pub fn new() -> serde_json::Result<Self> {
        let mut chance = Chance::new(7);
        let mut diary = Diary { records: Vec::new(), ids: 1000 };
        let kiln = uuid(1);
        diary.note("kiln_added", json!({"kiln": kiln, "name": "Heron", "fuel": "gas", "usual_cone": "9"}))?;
        let chamber = json!({
            "form": "arched", "width_nm": mm(1500.0), "depth_nm": mm(500.0), "height_nm": mm(1900.0),
            "spring_nm": mm(1500.0),
        });
        let bag_wall = json!({
            "kind": "bag_wall", "at": {"x_nm": 0, "y_nm": 0}, "length_nm": mm(10.0), "width_nm": mm(500.0),
            "from_nm": 0, "to_nm": mm(500.0),
        });
        diary.note(
            "kiln_chamber_set",
            json!({"kiln": kiln, "chamber": chamber, "places": [], "keep_outs": [bag_wall]}),
        )?;
        let mut stacks = Vec::new();
        for (stack, x) in [130.0, 770.0].into_iter().enumerate() {
            let mut layers = Vec::new();
            for n in 0..LAYERS {
                let which = stack * LAYERS + n;
                let shelf = diary.shelf(which + 10, &kiln, &mut chance)?;
                let tall = if n == 0 { 25.0 } else { 100.0 };
                let mut posts = Vec::new();
                for at in 0..3 {
                    posts.push(diary.post(3 * which + at + 10, tall, &kiln, &mut chance)?);
                }
                layers.push(layer(n, &shelf, &posts));
            }
            let at = json!({"x_nm": mm(x), "y_nm": mm(100.0)});
            stacks.push(
                json!({"place": if stack == 0 { "left" } else { "right" }, "at": at, "layers": layers}),
            );
        }
        let plan = serde_json::from_value(json!({
            "plan": uuid(50), "kiln": kiln, "name": "week 9", "ware": "glaze", "cone": "9", "stacks": stacks,
        }))?;
        let (world, _) = World::fold(&diary.records);
        Ok(Self { world, plan, cache: PlateCache::default() })
    }

    /// Checks it as it stands.
    pub fn check(&mut self) -> StackCheck {
        check_with(&self.world, &self.plan, &BTreeMap::new(), &mut self.cache)
    }

    /// Checks it with every plate to be solved anew, as a page does that has just been opened.
    pub fn check_cold(&mut self) -> StackCheck {
        self.cache = PlateCache::default();
        self.check()
    }

    /// Checks it with other ware in the middle of the left stack: what a number field asks for.
    pub fn check_with_ware(&mut self, grams: i64) -> StackCheck {
        if let Some(laid) = self.plan.stacks[0].layers[LAYERS / 2].shelves.first_mut() {
            laid.ware.mass_mg = Mass((5_000 + grams % 2_000) * 1_000);
        }
        self.check()
    }

    /// Checks it with a post of the left stack's sixth layer dragged to another place: that shelf's plate, and the one
    /// that it now stands on off its own post, are new.
    pub fn check_dragged(&mut self, step: i64) -> StackCheck {
        if let Some(support) = self.plan.stacks[0].layers[LAYERS / 2].supports.last_mut() {
            support.at.x_nm = Length((530_000 + step % 30_000) * 1_000);
        }
        self.check()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use tripoise_core::judge::stack::LoadVerdict;

    #[test]
    fn the_measured_plan_is_whole_and_its_answer_does_not_depend_on_the_cache() -> serde_json::Result<()> {
        let mut planned = Planned::new()?;
        let first = planned.check();
        assert_eq!((first.stacks.len(), first.stacks[1].layers.len()), (2, LAYERS));
        assert_ne!(first.verdict, LoadVerdict::DoNotLoad, "{:#?}", first.lines);
        assert!(first.stacks.iter().flat_map(|s| &s.layers).all(|l| l.shelves[0].stress_mpa.is_some()));
        assert_ne!(planned.check_dragged(7), first);
        planned.check_dragged(30_000);
        let dragged = planned.check_with_ware(1);
        assert_eq!(planned.check_cold(), dragged);
        Ok(())
    }
}
