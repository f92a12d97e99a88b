//! What must hold of any load.
//!
//! What this does not do: say how much. `worked` does.
use super::{Load, NewPost, SIDES, near, piece, rectangle, shelf_of, spot, ware};
use crate::event::plan::{PlannedLayer, PlannedShelf, PlannedStack, PlannedSupport, PlannedWare};
use crate::event::values::{Material, Use};
use crate::ids::{PostId, ShelfId};
use crate::judge::stack::{LoadVerdict, PlateCache, StackCheck, check_with};
use crate::outline::{Outline, Spot};
use crate::units::{Length, Mass};
use proptest::prelude::*;
use std::collections::BTreeMap;

fn fail(cause: impl ToString) -> TestCaseError {
    TestCaseError::fail(cause.to_string())
}

/// Three layers on three posts of these heights, each with these pieces by hand.
fn three_layers(heights: &[[f64; 3]], pieces: &[Vec<(f64, f64, f64)>]) -> Result<Load, TestCaseError> {
    let mut load = Load::sound().map_err(fail)?;
    for (layer, heights) in heights.iter().enumerate() {
        for (at, height) in heights.iter().enumerate() {
            load.put(layer, at, NewPost::of(*height)).map_err(fail)?;
        }
    }
    for (layer, pieces) in pieces.iter().enumerate() {
        let own = load.laid(layer).map_err(fail)?;
        own.ware = ware(0.0, 60.0);
        own.ware.pieces = pieces.iter().map(|(x, y, kg)| piece(*x, *y, *kg)).collect();
    }
    Ok(load)
}

fn a_height() -> impl Strategy<Value = f64> {
    (990..1010_i32).prop_map(|tenths| f64::from(tenths) / 10.0)
}

fn some_heights() -> impl Strategy<Value = Vec<[f64; 3]>> {
    prop::collection::vec([a_height(), a_height(), a_height()], 3)
}

fn some_pieces() -> impl Strategy<Value = Vec<Vec<(f64, f64, f64)>>> {
    let one = (30..370_i32, 30..270_i32, 1..40_i32)
        .prop_map(|(x, y, tenths)| (f64::from(x), f64::from(y), f64::from(tenths) / 10.0));
    prop::collection::vec(prop::collection::vec(one, 0..5), 3)
}

fn margins(found: &StackCheck) -> Result<Vec<f64>, TestCaseError> {
    let shelves = found.stacks.iter().flat_map(|stack| &stack.layers).flat_map(|layer| &layer.shelves);
    shelves.map(|shelf| shelf.margin_mm.ok_or_else(|| fail("no margin"))).collect()
}

fn checked(load: &Load, cache: &mut PlateCache) -> StackCheck {
    check_with(&load.bench.world, &load.plan, &BTreeMap::new(), cache)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    #[test]
    fn a_heavier_bottom_shelf_never_lessens_a_margin_it_should_raise(
        heights in some_heights(), pieces in some_pieces()
    ) {
        let mut cache = PlateCache::default();
        let mut load = three_layers(&heights, &pieces)?;
        let light = load.shelf(rectangle(SIDES), Material::Cordierite).map_err(fail)?;
        let heavy = load.shelf(rectangle(SIDES), Material::HighAlumina).map_err(fail)?;
        load.laid(0).map_err(fail)?.shelf = Some(light);
        let before = checked(&load, &mut cache);
        load.laid(0).map_err(fail)?.shelf = Some(heavy);
        let after = checked(&load, &mut cache);
        // The shelf alone, with nothing on it or over it: where that margin is the greater, mass there raises it.
        load.layers().truncate(1);
        load.laid(0).map_err(fail)?.ware = PlannedWare::default();
        let alone = margins(&checked(&load, &mut cache))?[0];
        let (before, after) = (margins(&before)?, margins(&after)?);
        if alone >= before[0] {
            prop_assert!(after[0] >= before[0] - 1e-9, "{} after {}", after[0], before[0]);
        }
        // Mass below carries nothing above.
        prop_assert!((after[1] - before[1]).abs() < 1e-9 && (after[2] - before[2]).abs() < 1e-9);
    }

    #[test]
    fn a_post_moved_outwards_never_lessens_the_margin(
        pieces in some_pieces(), layer in 0..3_usize, at in 0..3_usize, by in 0.0..1.0_f64
    ) {
        let mut cache = PlateCache::default();
        let level = vec![[25.0; 3], [100.0; 3], [100.0; 3]];
        let mut load = three_layers(&level, &pieces)?;
        let before = margins(&checked(&load, &mut cache))?[layer];
        prop_assume!(before >= 0.0);
        // Along the ray from the centre of what the layer's posts carry, up to where the post is still whole under the
        // shelf.
        let centre = centre_carried(&load, layer)?;
        let support = load.support(layer, at).map_err(fail)?;
        let from = [support.at.x_nm.mm(), support.at.y_nm.mm()];
        let way = [from[0] - centre[0], from[1] - centre[1]];
        let room = (0..2).map(|axis| {
            let far = if way[axis] > 0.0 { SIDES[axis] - 19.0 } else { 19.0 };
            if way[axis] == 0.0 { f64::INFINITY } else { (far - from[axis]) / way[axis] }
        });
        let most = room.fold(f64::INFINITY, f64::min).max(0.0);
        support.at = spot(from[0] + by * most * way[0], from[1] + by * most * way[1]);
        let after = margins(&checked(&load, &mut cache))?[layer];
        // Places are whole nanometres.
        prop_assert!(after >= before - 1e-5, "{after} after {before}");
    }

    #[test]
    fn the_same_height_on_all_posts_of_a_layer_changes_no_slope(
        heights in some_heights(), layer in 0..3_usize, more in 1..300_i32
    ) {
        let mut cache = PlateCache::default();
        let none = vec![Vec::new(); 3];
        let before = checked(&three_layers(&heights, &none)?, &mut cache);
        let mut taller = heights.clone();
        taller[layer].iter_mut().for_each(|height| *height += f64::from(more) / 10.0);
        let after = checked(&three_layers(&taller, &none)?, &mut cache);
        for (one, two) in before.stacks[0].layers.iter().zip(&after.stacks[0].layers) {
            prop_assert!((one.slope_mm_per_m - two.slope_mm_per_m).abs() < 1e-9);
        }
    }

    #[test]
    fn the_mirrored_plan_has_the_mirrored_answers(heights in some_heights(), pieces in some_pieces()) {
        let mut cache = PlateCache::default();
        let mut load = three_layers(&heights, &pieces)?;
        let before = checked(&load, &mut cache);
        let across = |at: &mut Spot| at.x_nm = Length::from_mm(SIDES[0]) - at.x_nm;
        for layer in load.layers() {
            layer.supports.iter_mut().for_each(|support| across(&mut support.at));
            layer.shelves[0].ware.pieces.iter_mut().for_each(|piece| across(&mut piece.at));
        }
        let after = checked(&load, &mut cache);
        prop_assert_eq!(before.verdict, after.verdict);
        for (one, two) in before.stacks[0].layers.iter().zip(&after.stacks[0].layers) {
            near("slope", two.slope_mm_per_m, one.slope_mm_per_m);
            near("lean", two.lean_mm, one.lean_mm);
            let (one, two) = (&one.shelves[0], &two.shelves[0]);
            near("margin", two.margin_mm.unwrap_or_default(), one.margin_mm.unwrap_or_default());
            near("least", two.least_margin_mm.unwrap_or_default(), one.least_margin_mm.unwrap_or_default());
        }
    }

    #[test]
    fn what_passes_still_passes_with_ware_taken_out_in_the_stated_order(
        pieces in some_light_pieces(), spread in [0..3_i32, 0..3_i32, 0..3_i32]
    ) {
        let mut cache = PlateCache::default();
        let level = vec![[25.0; 3], [100.0; 3], [100.0; 3]];
        let mut load = three_layers(&level, &pieces)?;
        // A shelf has pieces by hand, or ware that is spread: of both, the plan cannot say that part of the spread
        // was taken out and part not.
        for (layer, kg) in spread.into_iter().enumerate().filter(|(layer, _)| pieces[*layer].is_empty()) {
            load.laid(layer).map_err(fail)?.ware.mass_mg = Mass::from_kg(f64::from(kg));
        }
        let whole = checked(&load, &mut cache);
        prop_assume!(whole.verdict == LoadVerdict::Passes);
        // From the top down; on a shelf in the reverse of the stated order. The empty shelves above stay.
        for layer in (0..3).rev() {
            let stated: Vec<String> = stated_pieces(&whole, layer)?;
            let own = load.laid(layer).map_err(fail)?.ware.pieces.clone();
            let mut left: Vec<usize> = stated.iter().filter_map(|place| which(place)).collect();
            prop_assert_eq!(left.len(), own.len());
            while left.pop().is_some() {
                load.laid(layer).map_err(fail)?.ware.pieces = left.iter().map(|n| own[*n].clone()).collect();
                let less = checked(&load, &mut cache);
                prop_assert_eq!(less.verdict, LoadVerdict::Passes, "{:#?}", less.lines);
            }
            for part in [0.5, 0.0] {
                let ware = &mut load.laid(layer).map_err(fail)?.ware;
                ware.mass_mg = Mass::from_kg(ware.mass_mg.kg() * part);
                let less = checked(&load, &mut cache);
                prop_assert_eq!(less.verdict, LoadVerdict::Passes, "{:#?}", less.lines);
            }
        }
    }
}

/// Pieces that stand clear of each other: at most one in each of six parts of the shelf.
fn some_light_pieces() -> impl Strategy<Value = Vec<Vec<(f64, f64, f64)>>> {
    let part = |n: i32| {
        let (x, y) = (115 + 113 * (n % 3), 70 + 160 * (n / 3));
        prop::option::of((0..20_i32, 0..20_i32, 1..50_i32)).prop_map(move |one| {
            one.map(|(dx, dy, tenths)| {
                (f64::from(x + dx - 10), f64::from(y + dy - 10), f64::from(tenths) / 10.0)
            })
        })
    };
    let shelf = ([part(0), part(1), part(2), part(3), part(4), part(5)], any::<bool>())
        .prop_map(|(parts, by_hand)| parts.into_iter().flatten().filter(|_| by_hand).collect::<Vec<_>>());
    prop::collection::vec(shelf, 3)
}

/// The stated order of a layer's pieces by hand, as its steps name them.
fn stated_pieces(found: &StackCheck, layer: usize) -> Result<Vec<String>, TestCaseError> {
    let shelf = shelf_of(found, layer, 0).map_err(fail)?;
    Ok(shelf.loading.iter().map(|step| step.place.clone()).filter(|place| place.contains("piece")).collect())
}

/// Which piece a step is about, from 0.
fn which(place: &str) -> Option<usize> {
    place.rsplit(' ').next()?.parse::<usize>().ok()?.checked_sub(1)
}

/// The centre of what a level stack's layer carries: with everything level nothing has moved sideways.
fn centre_carried(load: &Load, layer: usize) -> Result<[f64; 2], TestCaseError> {
    let (mut kg, mut at) = (0.0, [0.0, 0.0]);
    let own_kg = load.check().stacks[0].layers.iter().map(|l| l.shelves[0].own_kg).collect::<Vec<_>>();
    for (idx, planned) in load.plan.stacks[0].layers.iter().enumerate().skip(layer) {
        let mut add = |x: f64, y: f64, mass: f64| {
            kg += mass;
            at = [at[0] + mass * x, at[1] + mass * y];
        };
        add(SIDES[0] / 2.0, SIDES[1] / 2.0, own_kg[idx]);
        for piece in &planned.shelves[0].ware.pieces {
            add(piece.at.x_nm.mm(), piece.at.y_nm.mm(), piece.mass_mg.kg());
        }
    }
    Ok([at[0] / kg, at[1] / kg])
}

/// Any plan at all: places far off, sizes of nothing, supports without posts, shelves not chosen.
fn any_stack(shelves: Vec<ShelfId>, posts: Vec<PostId>) -> impl Strategy<Value = PlannedStack> {
    let length =
        || prop_oneof![-2_000_000..900_000_000_i64, Just(0), Just(i64::MIN), Just(i64::MAX)].prop_map(Length);
    let near = || prop_oneof![4 => 0..500_000_000_i64, 1 => -2_000_000..2_000_000_000_i64].prop_map(Length);
    let at = move || (near(), near()).prop_map(|(x_nm, y_nm)| Spot { x_nm, y_nm });
    let chosen = prop::sample::select(posts);
    let support = (at(), prop::collection::vec(chosen, 0..3), length(), 0..5_000_000_i64);
    let support = support.prop_map(|(at, posts, shim_nm, wad)| PlannedSupport {
        at,
        posts,
        shim_nm,
        wad_nm: Length(wad),
    });
    let mass = || prop_oneof![0..20_000_000_i64, Just(-1), Just(i64::MAX)].prop_map(Mass);
    let piece = (at(), length(), length(), mass()).prop_map(|(at, diameter_nm, height_nm, mass_mg)| {
        crate::event::plan::PlacedPiece { at, diameter_nm, height_nm, mass_mg }
    });
    let ware = (length(), mass(), any::<bool>(), prop::collection::vec(piece, 0..3)).prop_map(
        |(tallest_nm, mass_mg, lidded, pieces)| PlannedWare {
            used_for: lidded.then_some(Use::Flatware),
            tallest_nm,
            mass_mg,
            lidded,
            pieces,
        },
    );
    let shelf = (prop::option::of(prop::sample::select(shelves)), at(), any::<u8>(), ware);
    let shelf =
        shelf.prop_map(|(shelf, at, quarter_turns, ware)| PlannedShelf { shelf, at, quarter_turns, ware });
    let layer = (prop::collection::vec(support, 0..6), prop::collection::vec(shelf, 0..3))
        .prop_map(|(supports, shelves)| PlannedLayer { set: None, supports, shelves });
    (at(), prop::collection::vec(layer, 0..5)).prop_map(|(at, layers)| PlannedStack {
        place: "left".to_owned(),
        at,
        layers,
    })
}

/// Every number that a check gives, as JSON has it: JSON has no NaN and would say null.
fn numbers_are_numbers(found: &StackCheck) -> Result<(), TestCaseError> {
    let json = serde_json::to_string(found).map_err(fail)?;
    let back: StackCheck = serde_json::from_str(&json).map_err(fail)?;
    prop_assert_eq!(&back, found);
    Ok(())
}

#[test]
fn no_plan_is_too_odd() -> Result<(), TestCaseError> {
    let mut load = Load::sound().map_err(fail)?;
    let outlines = [
        rectangle(SIDES),
        rectangle([600.0, 300.0]),
        Outline::Round { diameter_nm: Length::from_mm(400.0) },
        Outline::HalfRound { diameter_nm: Length::from_mm(500.0) },
    ];
    let mut shelves = Vec::new();
    for outline in outlines {
        shelves.push(load.shelf(outline, Material::Cordierite).map_err(fail)?);
    }
    let mut posts = Vec::new();
    for height in [25.0, 99.0, 150.0, 300.0] {
        posts.push(load.post(NewPost::of(height)).map_err(fail)?);
    }
    let mut runner =
        proptest::test_runner::TestRunner::new(ProptestConfig { cases: 300, ..ProptestConfig::default() });
    let two = prop::collection::vec(any_stack(shelves, posts), 0..3);
    let cache = std::cell::RefCell::new(PlateCache::default());
    let outcome = runner.run(&two, |stacks| {
        let mut plan = load.plan.clone();
        plan.stacks = stacks;
        let found = check_with(&load.bench.world, &plan, &BTreeMap::new(), &mut cache.borrow_mut());
        numbers_are_numbers(&found)?;
        // The same question has the same answer, with and without what the cache knows.
        let again = crate::judge::stack::check(&load.bench.world, &plan, &BTreeMap::new());
        prop_assert_eq!(&again, &found);
        // Names are names: no two lines share one.
        let names: std::collections::BTreeSet<&str> =
            found.lines.iter().map(|line| line.name.as_str()).collect();
        prop_assert_eq!(names.len(), found.lines.len());
        Ok(())
    });
    outcome.map_err(fail)
}
