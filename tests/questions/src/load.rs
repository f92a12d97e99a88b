//! A load that a proposal is measured on: 20 layers in two stacks, from 200 shelves and 1,000 posts.
//!
//! The studio is made up by a fixed seed, as records that are read and folded like any other. The roof is low enough that
//! thickness counts, so that the search has to branch.
//!
//! What this does not do: time anything.
use crate::chance::Chance;
use anyhow::{Context, ensure};
use serde_json::{Value, json};
use tripoise_core::event::plan::PlannedWare;
use tripoise_core::event::values::{Use, Ware};
use tripoise_core::grouping::SetSize;
use tripoise_core::ids::KilnId;
use tripoise_core::planning::{Order, Wanted, WantedLayer, WantedStack};
use tripoise_core::record::Record;
use tripoise_core::units::{Length, Mass};
use tripoise_core::world::World;

/// Shelves in the kiln's racks.
pub const N_SHELVES: usize = 200;
/// Posts in the kiln's racks.
pub const N_POSTS: usize = 1_000;
/// Nominal heights, each with how many in a hundred posts are of it.
const HEIGHTS_MM: [(usize, usize); 4] = [(25, 8), (100, 20), (150, 48), (200, 24)];

/// Records one after another.
#[derive(Default)]
struct Book(Vec<Value>);

impl Book {
    fn write(&mut self, kind: &str, body: &Value) {
        let n = self.0.len() + 1;
        let hlc = format!("{:016x}", 0x18b_cfe5_d560_0000_u64 + n as u64);
        self.0.push(json!({
            "id": id(1, n), "device": id(2, 1), "device_seq": n, "hlc": hlc,
            "observed_at": "2026-03-01T12:00:00Z", "kind": kind, "schema": 1, "body": body,
        }));
    }
}

fn id(family: usize, n: usize) -> String {
    format!("00000000-0000-7000-8{family:03x}-{n:012x}")
}

fn nm(mm: f64) -> i64 {
    // Hundredths of a millimetre, as a caliper shows.
    (mm * 100.0).round() as i64 * 10_000
}

/// The studio, and what is asked for.
///
/// # Errors   where a record cannot be read, which would be this file's mistake.
pub fn load() -> anyhow::Result<(World, Wanted)> {
    let mut book = Book::default();
    let kiln = id(3, 1);
    book.write("kiln_added", &json!({"kiln": kiln, "name": "Plover", "fuel": "gas", "usual_cone": "6"}));
    let place = |name: &str, x_mm: f64| {
        let at = json!({"x_nm": nm(x_mm), "y_nm": nm(80.0)});
        json!({"name": name, "at": at, "length_nm": nm(620.0), "width_nm": nm(320.0)})
    };
    let chamber =
        json!({"form": "box", "width_nm": nm(1_400.0), "depth_nm": nm(500.0), "height_nm": nm(1_920.0)});
    let places = json!([place("left", 60.0), place("right", 700.0)]);
    let inside = json!({"kiln": kiln, "chamber": chamber, "places": places, "keep_outs": []});
    book.write("kiln_chamber_set", &inside);
    let mut chance = Chance::new(11);
    shelves(&mut book, &kiln, &mut chance);
    posts(&mut book, &kiln, &mut chance);
    let records: Vec<Record> = book.0.into_iter().map(serde_json::from_value).collect::<Result<_, _>>()?;
    let (world, skipped) = World::fold(&records);
    ensure!(skipped.is_empty(), "{:?}", skipped.first());
    Ok((world, wanted(kiln.parse().context("no kiln")?)?))
}

fn shelves(book: &mut Book, kiln: &str, chance: &mut Chance) {
    for n in 1..=N_SHELVES {
        let shelf = id(4, n);
        book.write(
            "shelf_added",
            &json!({
                "shelf": shelf, "code": format!("F{n:03}"), "material": chance.one_of(&["cordierite", "high_alumina"], ""),
                "outline": {"shape": "rectangle", "length_nm": nm(600.0), "width_nm": nm(300.0)},
                "thickness_nm": nm(chance.between(16.0, 25.0)), "firings_before": chance.whole(0, 150), "kiln": kiln,
                "graded": chance.one_of(&["flatware", "general"], "general"),
            }),
        );
        let line = |name: &str, from: [f64; 2], to: [f64; 2], dip: f64| {
            let at = |[x, y]: [f64; 2]| json!({"x_nm": nm(x), "y_nm": nm(y)});
            let dips = json!([{"at_permille": 500, "dip_nm": nm(dip), "text": "-"}]);
            json!({"line": name, "from": at(from), "to": at(to), "dips": dips})
        };
        let mut dip = || chance.between(0.0, 2.2);
        let lines = json!([
            line("diagonal_up", [0.0, 0.0], [600.0, 300.0], dip()),
            line("diagonal_down", [0.0, 300.0], [600.0, 0.0], dip()),
            line("long_centre", [0.0, 150.0], [600.0, 150.0], dip()),
        ]);
        let reading = json!({"lines": {"against": "straightedge", "lines": lines}});
        let read =
            json!({"shelf": shelf, "face": "a", "bare": true, "instrument": "feeler", "reading": reading});
        book.write("shelf_measured", &read);
        if chance.once_in(12) {
            let (from, to) =
                (json!({"x_nm": nm(40.0), "y_nm": 0}), json!({"x_nm": nm(40.0), "y_nm": nm(30.0)}));
            let crack = json!({"shelf": shelf, "crack": id(5, n), "from": from, "to": to, "ring": "rings", "note": ""});
            book.write("crack_found", &crack);
        }
    }
}

fn posts(book: &mut Book, kiln: &str, chance: &mut Chance) {
    for n in 1..=N_POSTS {
        let mut left = chance.whole(0, 100);
        let of = HEIGHTS_MM.iter().find(|(_, share)| {
            let here = left < *share;
            left = left.saturating_sub(*share);
            here
        });
        let nominal = of.map_or(150.0, |(height, _)| *height as f64);
        let post = id(6, n);
        book.write(
            "post_added",
            &json!({
                "post": post, "code": format!("P{n:04}"), "material": "cordierite", "nominal_nm": nm(nominal),
                "section": "square", "width_nm": nm(50.0), "kiln": kiln,
            }),
        );
        // Short by up to half a per cent, as worn posts are.
        let height = nm(nominal - chance.between(0.0, nominal / 200.0));
        let height = json!({"nm": height, "text": "-"});
        book.write("post_measured", &json!({"post": post, "height": height, "instrument": "caliper"}));
    }
}

fn wanted(kiln: KilnId) -> anyhow::Result<Wanted> {
    let layer = |nominal: f64, used_for, tallest: f64| WantedLayer {
        nominal: Length::from_mm(nominal),
        ware: PlannedWare {
            used_for: Some(used_for),
            tallest_nm: Length::from_mm(tallest),
            mass_mg: Mass::from_kg(6.0),
            ..PlannedWare::default()
        },
    };
    let mut layers = vec![layer(25.0, Use::Flatware, 40.0)];
    layers.extend((0..6).map(|at| layer(150.0, if at < 2 { Use::Flatware } else { Use::General }, 142.5)));
    layers.extend((0..3).map(|_| layer(200.0, Use::General, 180.0)));
    let stack = |place: &str| WantedStack { place: place.to_owned(), layers: layers.clone() };
    Ok(Wanted {
        kiln,
        ware: Ware::Glaze,
        cone: "6".to_owned().try_into()?,
        size: SetSize::Three,
        fresh: false,
        order: Order::TallHigh,
        stacks: vec![stack("left"), stack("right")],
        shelves: Vec::new(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use tripoise_core::planning::{Question, Search};

    #[test]
    fn every_layer_is_filled_and_the_gap_is_said() -> anyhow::Result<()> {
        let (world, wanted) = load()?;
        let question = Question::of(&world, &wanted)?;
        ensure!(question.shelves.len() > 150 && question.sets.len() > 250);
        let mut search = Search::new(question);
        let mut n_slices = 0;
        while !search.has_ended() {
            search.step(10);
            n_slices += 1;
        }
        let found = search.finish();
        println!("{n_slices} slices, gap {} of {}; {:?}", found.gap, found.objective, found.said);
        let full = |layer: &tripoise_core::event::plan::PlannedLayer| {
            layer.supports.len() == 3 && layer.shelves.iter().all(|one| one.shelf.is_some())
        };
        ensure!(
            found.stacks.iter().flat_map(|stack| &stack.layers).filter(|layer| full(layer)).count() == 20
        );
        ensure!(found.objective >= found.bound && found.objective < 1_000_000, "{}", found.objective);
        Ok(())
    }
}
