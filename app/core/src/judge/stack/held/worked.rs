//! Sums written out by hand, and the published cases of the calculations again, through the check.
//!
//! What this does not do: repeat tests/reference, which asks the calculations alone.
use super::{
    Load, NewPost, Outcome, SIDES, laid, layer_of, lines, mm, near, piece, rectangle, shelf_of, spot,
};
use super::{support, ware};
use crate::event::plan::{PlannedLayer, PlannedShelf};
use crate::event::values::Material;
use crate::geometry::stack::{LaidShelf, Layer, PlacedLoad, stand};
use crate::geometry::three_post::Post;
use crate::geometry::{Face, PlanPoint, three_post};
use crate::judge::stack::{CheckKind, StackCheck};
use crate::outline::Outline;
use crate::view::Shape;

/// High alumina: 3.2 g/cm³, the upper end of its range.
const DENSITY: f64 = 3.2;
/// Mass of a shelf of 400 by 300 by 19 mm.
const SHELF_KG: f64 = DENSITY * 0.4 * 0.3 * 19.0;

#[test]
fn one_shelf_a_layer_on_three_posts_is_the_calculation_of_a_stack() -> Outcome {
    let mut load = Load::sound()?;
    let heights = [[25.0, 25.4, 24.7], [100.0, 99.2, 100.5], [101.0, 100.1, 99.8]];
    let moves = [[0.0, 0.0], [3.0, -2.0], [5.0, 4.0]];
    for (layer, (heights, by)) in heights.iter().zip(moves).enumerate() {
        for (at, height) in heights.iter().enumerate() {
            load.put(layer, at, NewPost::of(*height))?;
            let from = load.support(layer, at)?.at;
            load.support(layer, at)?.at = spot(from.x_nm.mm() + by[0], from.y_nm.mm() + by[1]);
        }
        load.laid(layer)?.ware = ware(0.0, 80.0);
        load.laid(layer)?.ware.pieces = vec![piece(120.0, 90.0, 2.5), piece(300.0, 200.0, 1.25)];
    }
    let found = load.check();
    let by_hand: Vec<Layer> = (0..3)
        .map(|layer| {
            let supports = &load.plan.stacks[0].layers[layer].supports;
            let post = |at: usize| Post {
                x_mm: supports[at].at.x_nm.mm(),
                y_mm: supports[at].at.y_nm.mm(),
                height_mm: heights[layer][at],
            };
            let on = |x_mm, y_mm, mass_kg| PlacedLoad {
                at: PlanPoint { x_mm, y_mm },
                mass_kg,
                centre_height_mm: 30.0,
            };
            Layer {
                posts: [post(0), post(1), post(2)],
                shelf: LaidShelf { length_mm: 400.0, width_mm: 300.0, thickness_mm: 19.0, mass_kg: SHELF_KG },
                loads: vec![on(120.0, 90.0, 2.5), on(300.0, 200.0, 1.25)],
            }
        })
        .collect();
    let wanted = stand(&by_hand).map_err(|cause| cause.to_string())?;
    let close = |what: &str, found: f64, wanted: f64| {
        assert!((found - wanted).abs() <= 1e-9 * wanted.abs().max(1.0), "{what}: {found} for {wanted}");
    };
    for (layer, wanted) in wanted.layers.iter().enumerate() {
        let (figures, shelf) = (layer_of(&found, layer)?, shelf_of(&found, layer, 0)?);
        close("top", figures.top_mm, wanted.top_mm);
        close("slope", figures.slope_mm_per_m, wanted.slope_mm_per_m);
        close("lean", figures.lean_mm, wanted.lean_mm);
        close("carried", figures.carried_kg, wanted.carried_kg);
        close("margin", shelf.margin_mm.ok_or("no margin")?, wanted.margin_mm);
    }
    close("height", found.stacks[0].height_mm, wanted.height_mm);
    close("lean", found.stacks[0].lean_mm, wanted.lean_mm);
    Ok(())
}

#[test]
fn the_trades_own_sum_of_a_leaning_column() -> Outcome {
    // Layers on a triangle of 254 mm, posts of 171 mm, one of them 1.6 mm short and always in one column; here the
    // shelf is 19 mm thick, and its own slope adds 19 (1 + 2 + … + n) to the trade's 171 (1 + 2 + … + (n − 1)).
    let mut load = Load::empty()?;
    for layer in 0..6 {
        load.layer(171.0, 3)?;
        for (at, (x, y)) in [(40.0, 23.0), (40.0, 277.0), (294.0, 150.0)].into_iter().enumerate() {
            let height = if at == 2 { 169.4 } else { 171.0 };
            load.put(layer, at, NewPost::of(height))?;
            load.support(layer, at)?.at = spot(x, y);
        }
        load.laid(layer)?.ware = ware(0.0, 0.0);
    }
    let found = load.check();
    let slope = 1.6 / 254.0;
    let mean = 171.0 - 1.6 / 3.0;
    for (layer, steps) in [0.0, 1.0, 3.0, 6.0, 10.0, 15.0].into_iter().enumerate() {
        let n = layer as f64 + 1.0;
        near("lean", layer_of(&found, layer)?.lean_mm, slope * (mean * steps + 19.0 * (steps + n)));
        near("slope", layer_of(&found, layer)?.slope_mm_per_m, 1000.0 * n * slope);
    }
    Ok(())
}

#[test]
fn free_corners_are_those_of_the_three_post_calculation() -> Outcome {
    let mut load = Load::sound()?;
    load.laid(2)?.ware = ware(0.0, 0.0);
    let found = load.check();
    let post = |x_mm, y_mm| Post { x_mm, y_mm, height_mm: 100.0 };
    let lie = three_post::judge(&three_post::Setting {
        posts: [post(40.0, 40.0), post(40.0, 260.0), post(360.0, 150.0)],
        face: Face::from(&rectangle(SIDES)),
        shelf_mass_kg: SHELF_KG,
        loads: Vec::new(),
        u_height_mm: None,
    });
    let lie = lie.map_err(|cause| cause.to_string())?;
    let corners = &shelf_of(&found, 2, 0)?.corners;
    assert_eq!(corners.len(), 4);
    for corner in corners {
        let (right, back) = (corner.at.x_nm.mm() > 200.0, corner.at.y_nm.mm() > 150.0);
        let which = match (right, back) {
            (false, false) => 0,
            (true, false) => 1,
            (true, true) => 2,
            (false, true) => 3,
        };
        let wanted = lie.corner_tip_kg[which].ok_or("the corner tips at no mass")?;
        near(&corner.place, corner.bare_kg.ok_or("no mass")?, wanted);
    }
    near("margin", shelf_of(&found, 2, 0)?.margin_mm.ok_or("no margin")?, lie.margin_mm);
    Ok(())
}

#[test]
fn between_two_corners_one_is_loaded_first() -> Outcome {
    let mut load = Load::sound()?;
    // 1.9 kg in each free corner by the one post, 7.296 kg of shelf. One of them alone, about the slanted side beyond
    // which it stands: the shelf's 52.01 mm inside against its own 107.27 outside, (52.01 · 7.296 − 107.27 · 1.9) / 9.196
    // = 19.1 mm. Both: the middle is at 200 + 170 · 3.8 / 11.096 = 258.2, and from there 33.0 mm inside.
    load.laid(2)?.ware = ware(0.0, 60.0);
    load.laid(2)?.ware.pieces = vec![piece(370.0, 40.0, 1.9), piece(370.0, 260.0, 1.9)];
    let found = load.check();
    let slanted =
        |at: [f64; 2]| (320.0 * (at[1] - 40.0) - 110.0 * (at[0] - 40.0)) / libm::hypot(320.0, 110.0);
    let alone = (slanted([200.0, 150.0]) * SHELF_KG + slanted([370.0, 40.0]) * 1.9) / (SHELF_KG + 1.9);
    let both = slanted([200.0 + 170.0 * 3.8 / (SHELF_KG + 3.8), 150.0]);
    assert!((alone - 19.1).abs() < 0.1 && (both - 33.0).abs() < 0.1, "{alone} {both}");
    let shelf = shelf_of(&found, 2, 0)?;
    near("with both", shelf.margin_mm.ok_or("none")?, both);
    near("with one", shelf.least_margin_mm.ok_or("none")?, alone);
    // 20 mm are wanted, so the state on the way is told before anyone meets it.
    let told = lines(&found, CheckKind::Loading, 3);
    assert!(told.iter().any(|line| line.said.contains("19.1 mm")), "{:#?}", found.lines);
    Ok(())
}

/// Two shelves of 300 by 300 side by side on six places, the middle column shared: four posts under each.
fn side_by_side(left_ware_kg: f64) -> Result<Load, String> {
    let mut load = Load::empty()?;
    let mut supports = Vec::new();
    for x in [40.0, 300.0, 560.0] {
        for y in [40.0, 260.0] {
            supports.push(support(spot(x, y), load.post(NewPost::of(100.0))?));
        }
    }
    let mut shelves: Vec<PlannedShelf> = Vec::new();
    for x in [0.0, 300.0] {
        shelves.push(laid(load.shelf(rectangle([300.0, 300.0]), Material::HighAlumina)?, x, 0.0));
    }
    shelves[0].ware = ware(left_ware_kg, 80.0);
    load.layers().push(PlannedLayer { set: None, supports, shelves });
    Ok(load)
}

#[test]
fn two_shelves_share_a_column() -> Outcome {
    let found = side_by_side(4.0)?.check();
    // Half of each shared post, 19 mm, bears under either shelf: their middles are at 290.5 and 309.5. The left shelf
    // stands on x 40 to 290.5 and y 40 to 260; its centre, with even ware, is (150, 150): 110 from left, front and
    // back, 140.5 from the shared column.
    near("margin", shelf_of(&found, 0, 0)?.margin_mm.ok_or("no margin")?, 110.0);
    near("margin", shelf_of(&found, 0, 1)?.margin_mm.ok_or("no margin")?, 110.0);
    // Each shelf weighs 3.2 × 0.09 m² × 19 mm = 5.472 kg; the left one carries 4 kg more, and the layer all of it.
    let own = DENSITY * 0.09 * 19.0;
    near("left", shelf_of(&found, 0, 0)?.carried_kg, own + 4.0);
    near("right", shelf_of(&found, 0, 1)?.carried_kg, own);
    near("layer", layer_of(&found, 0)?.carried_kg, 2.0 * own + 4.0);
    Ok(())
}

#[test]
fn what_shares_a_column_goes_together() -> Outcome {
    let mut load = side_by_side(0.0)?;
    // A second layer over the left shelf only, within its own edge.
    let spots = [(40.0, 40.0), (40.0, 260.0), (260.0, 150.0)];
    let mut supports = Vec::new();
    for (x, y) in spots {
        supports.push(support(spot(x, y), load.post(NewPost::of(100.0))?));
    }
    let top = load.shelf(rectangle([300.0, 300.0]), Material::HighAlumina)?;
    load.layers().push(PlannedLayer { set: None, supports, shelves: vec![laid(top, 0.0, 0.0)] });
    let found = load.check();
    let code = |layer, index| shelf_of(&found, layer, index).map(|shelf| shelf.code.clone());
    let goes = |layer, index| shelf_of(&found, layer, index).map(|shelf| shelf.falls_with.join("; "));
    let (left, right, above) = (code(0, 0)?, code(0, 1)?, code(1, 0)?);
    // If a post of the shared column goes, both shelves on it go, and what stands on the left one.
    let from_right = goes(0, 1)?;
    assert!(from_right.contains(&left) && from_right.contains(&above), "{from_right}");
    assert!(goes(0, 0)?.contains(&right) && goes(0, 0)?.contains(&above));
    // The one on top takes nothing with it.
    assert_eq!(goes(1, 0)?, "");
    Ok(())
}

/// Two half-discs of 400 mm across, straight edge to straight edge over y = 200, on posts of 38 mm.
fn half_shelves() -> Result<Load, String> {
    let mut load = Load::empty()?;
    // Two posts under the joint, shared, and one under the middle of each arc.
    let mut supports = Vec::new();
    for (x, y) in [(80.0, 200.0), (320.0, 200.0), (200.0, 360.0), (200.0, 40.0)] {
        supports.push(support(spot(x, y), load.post(NewPost::of(100.0))?));
    }
    let half = Outline::HalfRound { diameter_nm: mm(400.0) };
    let back = laid(load.shelf(half, Material::HighAlumina)?, 0.0, 200.0);
    let front = PlannedShelf { quarter_turns: 2, ..laid(load.shelf(half, Material::HighAlumina)?, 0.0, 0.0) };
    load.layers().push(PlannedLayer { set: None, supports, shelves: vec![back, front] });
    Ok(load)
}

#[test]
fn two_half_shelves_share_two_posts() -> Outcome {
    let found = half_shelves()?.check();
    // A half disc's centre lies 4 · 200 / 3π = 84.8826 mm from its straight edge. Of each shared post 19 mm bear under
    // it, their middle 9.5 mm from the edge; its third post stands 160 mm from the edge. So of its weight W the third
    // carries (84.8826 − 9.5) / (160 − 9.5) and the centre lies 75.3826 mm inside the line of the shared two. The
    // slanted sides run from (80, 9.5) to (200, 160): |120 · 75.3826 − 150.5 · 120| / |(120, 150.5)| = 46.8302 mm.
    let inside = 800.0 / (3.0 * core::f64::consts::PI) - 9.5;
    let slanted = (150.5_f64 * 120.0 - 120.0 * inside) / (120.0_f64 * 120.0 + 150.5 * 150.5).sqrt();
    assert!((slanted - 46.8302).abs() < 1e-3, "{slanted}");
    for index in 0..2 {
        let shelf = shelf_of(&found, 0, index)?;
        near("margin", shelf.margin_mm.ok_or("no margin")?, slanted);
        // π · 200² / 2 mm² of 19 mm.
        near("mass", shelf.own_kg, DENSITY * core::f64::consts::PI * 0.04 / 2.0 * 19.0);
        assert_eq!(shelf.falls_with.len(), 1);
    }
    Ok(())
}

fn on_four(heights: [f64; 4]) -> Result<(Load, StackCheck), String> {
    let mut load = Load::empty()?;
    load.layer(100.0, 4)?;
    for (at, height) in heights.into_iter().enumerate() {
        load.put(0, at, NewPost::of(height))?;
    }
    load.laid(0)?.ware = ware(0.0, 0.0);
    let found = load.check();
    Ok((load, found))
}

#[test]
fn four_posts_of_one_height_carry_alike() -> Outcome {
    let (_, found) = on_four([100.0; 4])?;
    // The posts stand on a rectangle of 320 by 220 about the centre: 110 mm to its nearer sides.
    near("margin", shelf_of(&found, 0, 0)?.margin_mm.ok_or("no margin")?, 110.0);
    assert_eq!(lines(&found, CheckKind::Spread, 1), Vec::<&_>::new());
    near("slope", layer_of(&found, 0)?.slope_mm_per_m, 0.0);
    Ok(())
}

#[test]
fn of_four_posts_one_may_carry_nothing() -> Outcome {
    // 0.6 mm high at one corner: the gap at either neighbour is 0.6 mm, twice the 0.3 mm that are allowed.
    let (load, found) = on_four([100.6, 100.0, 100.0, 100.0])?;
    let line = lines(&found, CheckKind::Spread, 1).first().copied().ok_or("nothing said of the gap")?;
    assert!(line.shape >= Shape::Look, "{line:?}");
    let odd: Vec<String> =
        load.plan.stacks[0].layers[0].supports.iter().map(|s| load.code_of(s.posts[0])).collect();
    assert!(line.said.contains(&odd[1]) || line.said.contains(&odd[3]), "{line:?}");
    // The shelf's centre is over the crossing of the diagonals: it is balanced on the high one and its opposite, and
    // falls from the high corner to the far one by 0.6 mm over |(320, 220)|, plus what it rocks to either side.
    let along = 1000.0 * 0.6 / libm::hypot(320.0, 220.0);
    assert!(layer_of(&found, 0)?.slope_mm_per_m >= along * (1.0 - 1e-9));
    // 0.2 mm is let pass by the geometry, though not every caliper can tell.
    let (_, found) = on_four([100.2, 100.0, 100.0, 100.0])?;
    assert!(lines(&found, CheckKind::Spread, 1).iter().all(|line| line.shape < Shape::Stop));
    Ok(())
}

#[test]
fn a_shelf_turned_a_quarter_is_the_same_shelf() -> Outcome {
    let mut load = Load::sound()?;
    let straight = load.check();
    for layer in 0..3 {
        let own = load.laid(layer)?;
        own.quarter_turns = 1;
        for at in 0..3 {
            let from = load.support(layer, at)?.at;
            // A quarter turn to the left about the corner, moved back beside it: (x, y) to (300 − y, x).
            load.support(layer, at)?.at = spot(300.0 - from.y_nm.mm(), from.x_nm.mm());
        }
    }
    let turned = load.check();
    assert_eq!(straight.verdict, turned.verdict, "{:#?}", turned.lines);
    for layer in 0..3 {
        let (one, two) = (shelf_of(&straight, layer, 0)?, shelf_of(&turned, layer, 0)?);
        near("margin", two.margin_mm.ok_or("none")?, one.margin_mm.ok_or("none")?);
        near("deflection", two.deflection_mm.ok_or("none")?, one.deflection_mm.ok_or("none")?);
        near("stress", two.stress_mpa.ok_or("none")?, one.stress_mpa.ok_or("none")?);
    }
    Ok(())
}

#[test]
fn bending_is_that_of_the_shelfs_own_card() -> Outcome {
    use crate::judge::shelf::bending::{Slab, bend};
    let mut load = Load::sound()?;
    let id = load.shelf_of(2)?;
    let shelf = load.bench.world.shelves.get(&id).ok_or("no shelf")?.clone();
    let slab = Slab::of(&load.bench.world, &shelf).map_err(|cause| cause.to_string())?;
    let places = rectangle(SIDES).post_spots(3, mm(40.0));
    let card = bend(&slab, crate::units::Mass::from_kg(3.0), &places).map_err(|cause| cause.to_string())?;
    let found = load.check();
    let planned = shelf_of(&found, 2, 0)?;
    near("deflection", planned.deflection_mm.ok_or("none")?, card.answer.deflection_mm.value);
    near("stress", planned.stress_mpa.ok_or("none")?, card.stress_mpa.value);
    Ok(())
}

#[test]
fn heights_add_up_as_the_trade_says() -> Outcome {
    let mut load = Load::sound()?;
    for at in 0..3 {
        load.support(1, at)?.shim_nm = mm(0.3);
        load.support(2, at)?.wad_nm = mm(4.0);
    }
    let found = load.check();
    // 25 and 19; then 100.3 and 19; then 104 and 19.
    near("first", layer_of(&found, 0)?.top_mm, 44.0);
    near("second", layer_of(&found, 1)?.top_mm, 163.3);
    near("third", layer_of(&found, 2)?.top_mm, 286.3);
    near("floor", layer_of(&found, 1)?.floor_mm, 44.0);
    // Over the second layer's ware: 104 less 80 less the 6 mm to the rim.
    near("clear", layer_of(&found, 1)?.clear.ok_or("not known")?.mm(), 18.0);
    // Under the roof at 900: 900 − 286.3 − 80, less the 25 mm to it.
    near("roof", layer_of(&found, 2)?.clear.ok_or("not known")?.mm(), 508.7);
    Ok(())
}
