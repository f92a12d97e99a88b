//! How stacks fall, as the trade tells it: each as it stood, and the line that would have caught it.
//!
//! Of that list the record cannot know whether the floor is level, and that is said; whether a post is stuck to a
//! shelf it knows when somebody put it on hold for that.
use super::{
    INSET_MM, Load, NewPost, Outcome, SIDES, caught, layer_of, lines, mm, piece, rectangle, spot, ware,
};
use crate::event::plan::{KeepOut, PlannedSupport};
use crate::event::values::{Face, HoldReason, KeepOutKind, Material, Piece, Ring};
use crate::event::{CrackFound, KilnChamberSet, PieceHeld, PieceRetired};
use crate::ids::CrackId;
use crate::judge::shelf::bench::Bench;
use crate::judge::stack::{CheckKind, LoadVerdict};
use crate::outline::Spot;
use crate::view::Shape;

#[test]
fn a_post_not_over_the_post_below() -> Outcome {
    let mut load = Load::sound()?;
    // Half a post's width is 19 mm: 25 is more.
    load.support(1, 0)?.at = spot(INSET_MM + 25.0, INSET_MM);
    let post = load.post_of(1, 0)?;
    caught(&load, CheckKind::PostOverPost, 2, Shape::Stop, post)?;
    // 10 mm is over the 6 mm that are good.
    load.support(1, 0)?.at = spot(INSET_MM + 10.0, INSET_MM);
    caught(&load, CheckKind::PostOverPost, 2, Shape::Look, post)?;
    assert!(lines(&load.check(), CheckKind::PostOverPost, 2).iter().all(|line| line.shape < Shape::Stop));
    // 5 mm is not.
    load.support(1, 0)?.at = spot(INSET_MM + 5.0, INSET_MM);
    assert_eq!(lines(&load.check(), CheckKind::PostOverPost, 2), Vec::<&_>::new());
    Ok(())
}

#[test]
fn a_bottom_post_worn_out() -> Outcome {
    let mut load = Load::sound()?;
    // All three worn alike, so that nothing tilts: 1 mm of 25 is 4 %, over the 1 %.
    let worn = NewPost { height_mm: 24.0, ..NewPost::of(25.0) };
    for at in 0..3 {
        let post = load.put(0, at, worn)?;
        caught(&load, CheckKind::Short, 1, Shape::Look, post)?;
    }
    Ok(())
}

#[test]
fn three_bottom_posts_of_one_age() -> Outcome {
    let mut load = Load::sound()?;
    let old = NewPost { firings: 350, ..NewPost::of(25.0) };
    let mut posts = Vec::new();
    for at in 0..3 {
        posts.push(load.put(0, at, old)?);
    }
    for post in posts {
        caught(&load, CheckKind::SameAge, 1, Shape::Look, post)?;
    }
    // One newer post among them, and they no longer fail together.
    load.put(0, 1, NewPost::of(25.0))?;
    assert_eq!(lines(&load.check(), CheckKind::SameAge, 1), Vec::<&_>::new());
    Ok(())
}

#[test]
fn a_tall_thin_post() -> Outcome {
    let mut load = Load::sound()?;
    // 38 mm wide: 240 is 6.3 times, 310 is 8.2 times as high as wide.
    for (height, shape) in [(240.0, Shape::Look), (310.0, Shape::Stop)] {
        let mut post = load.post_of(2, 0)?;
        for at in 0..3 {
            post = load.put(2, at, NewPost::of(height))?;
        }
        caught(&load, CheckKind::Slender, 3, shape, post)?;
    }
    Ok(())
}

#[test]
fn ends_not_square() -> Outcome {
    let mut load = Load::sound()?;
    // The trade's own: 1.6 mm across 38 mm.
    let crooked = NewPost { out_of_square_mm: Some(1.6), ..NewPost::of(100.0) };
    let post = load.put(1, 2, crooked)?;
    let said = caught(&load, CheckKind::Square, 2, Shape::Look, post)?;
    assert!(said.contains("2.4"), "{said}");
    Ok(())
}

#[test]
fn one_short_post() -> Outcome {
    let mut load = Load::sound()?;
    let short = NewPost { height_mm: 97.0, ..NewPost::of(97.0) };
    let post = load.put(1, 2, short)?;
    caught(&load, CheckKind::Spread, 2, Shape::Stop, post)?;
    Ok(())
}

#[test]
fn a_post_a_little_short_always_in_the_same_column() -> Outcome {
    // Each layer's spread of 0.9 mm is accepted; nine of them in one column are not.
    let mut load = Load::empty()?;
    for layer in 0..9 {
        load.layer(if layer == 0 { 25.0 } else { 150.0 }, 3)?;
        let height = if layer == 0 { 24.1 } else { 149.1 };
        load.put(layer, 2, NewPost { height_mm: height, ..NewPost::of(height) })?;
        load.laid(layer)?.ware = ware(1.0, 80.0);
    }
    // The chamber is high enough for that in this test.
    let found = load.check();
    let leans: Vec<_> = found.lines.iter().filter(|line| line.check == CheckKind::Lean).collect();
    assert!(!leans.is_empty(), "{:#?}", found.lines);
    // The lean grows with the square of the layers: each is worse than the one below it.
    let lean = |layer| layer_of(&found, layer).map(|figures| figures.lean_mm);
    for layer in 1..9 {
        assert!(lean(layer)? > lean(layer - 1)?);
    }
    // By hand: g = 0.9 / 320 mm per mm; E_9 = 19 g (1 + 2 + … + 9) + 149.7 g (1 + … + 8), the first posts' lean being 0.
    let g = 0.9 / 320.0;
    super::near("lean", lean(8)?, g * (19.0 * 45.0 + 149.7 * 36.0));
    Ok(())
}

fn crack(load: &mut Load, layer: usize, [from, to]: [Spot; 2]) -> Outcome {
    let (shelf, crack) = (load.shelf_of(layer)?, CrackId(load.bench.id()));
    load.bench.did(CrackFound { shelf, crack, from, to, ring: Ring::Rings, note: String::new() })?;
    Ok(())
}

#[test]
fn a_known_crack_on_the_bottom_layer_under_the_biggest_load() -> Outcome {
    let mut load = Load::sound()?;
    // In from the front edge between the two columns, a third of the way across.
    crack(&mut load, 0, [spot(200.0, 0.0), spot(200.0, 100.0)])?;
    let shelf = load.shelf_of(0)?;
    let said = caught(&load, CheckKind::Crack, 1, Shape::Stop, shelf)?;
    assert!(said.contains("100 mm"), "{said}");
    Ok(())
}

/// What mends the crack in this layer, as its line says it.
fn fix_of_crack(load: &Load, layer: u32) -> Result<String, String> {
    let found = load.check();
    let all = lines(&found, CheckKind::Crack, layer);
    all.first().map(|line| line.fix.clone()).ok_or_else(|| "no crack is told".to_owned())
}

#[test]
fn a_cracks_line_names_the_shelf_to_swap_with() -> Outcome {
    let mut load = Load::sound()?;
    crack(&mut load, 0, [spot(200.0, 0.0), spot(200.0, 50.0)])?;
    let (low, high) = (load.shelf_of(0)?, load.shelf_of(2)?);
    assert_eq!(fix_of_crack(&load, 1)?, format!("swap it with {}, layer 3", load.code_of(high)));
    let offered = lines(&load.check(), CheckKind::Crack, 1).first().and_then(|line| line.exchange.clone());
    assert_eq!(offered, Some([load.code_of(low), load.code_of(high)]));
    // Once that is done, the bottom layer has no crack.
    load.laid(0)?.shelf = Some(high);
    load.laid(2)?.shelf = Some(low);
    assert_eq!(lines(&load.check(), CheckKind::Crack, 1), Vec::<&_>::new());
    // With none above that is sound, one from the racks is named; one that stands in the plan already is not.
    let mut load = Load::sound()?;
    for layer in 0..3 {
        crack(&mut load, layer, [spot(200.0, 0.0), spot(200.0, 50.0)])?;
    }
    assert_eq!(fix_of_crack(&load, 1)?, "swap it with a sound one from above");
    // Of two, the one that somebody graded, whichever came first.
    load.ungraded_shelf()?;
    let spare = load.shelf(super::rectangle(super::SIDES), Material::HighAlumina)?;
    assert_eq!(fix_of_crack(&load, 1)?, format!("take {} from the racks instead", load.code_of(spare)));
    Ok(())
}

#[test]
fn a_crack_with_no_post_by_it() -> Outcome {
    let mut load = Load::sound()?;
    // A short one, high up; the nearest post stands 134 mm from its end.
    crack(&mut load, 2, [spot(200.0, 0.0), spot(200.0, 60.0)])?;
    let shelf = load.shelf_of(2)?;
    caught(&load, CheckKind::Crack, 3, Shape::Look, shelf)?;
    let all = load.check();
    let says = lines(&all, CheckKind::Crack, 3).iter().any(|line| line.said.contains("no post"));
    assert!(says, "{:#?}", all.lines);
    Ok(())
}

#[test]
fn a_post_too_soft_for_the_cone() -> Outcome {
    let mut load = Load::sound()?;
    let soft = NewPost { material: Material::Cordierite, ..NewPost::of(25.0) };
    let post = load.put(0, 0, soft)?;
    assert_eq!(lines(&load.check(), CheckKind::Heat, 1), Vec::<&_>::new());
    load.plan.cone = "10".to_owned().try_into().map_err(|cause| format!("{cause}"))?;
    caught(&load, CheckKind::Heat, 1, Shape::Look, post)?;
    // Past 1300 °C it is not used at all; the proposal leaves it out by the same rule.
    load.plan.cone = "12".to_owned().try_into().map_err(|cause| format!("{cause}"))?;
    caught(&load, CheckKind::Heat, 1, Shape::Stop, post)?;
    Ok(())
}

#[test]
fn a_post_crushed_by_age() -> Outcome {
    let mut load = Load::sound()?;
    // Cordierite at cone 8 and up is seen to last 60 to 120 firings.
    let old = NewPost { material: Material::Cordierite, firings: 200, ..NewPost::of(25.0) };
    let post = load.put(0, 1, old)?;
    caught(&load, CheckKind::Age, 1, Shape::Look, post)?;
    Ok(())
}

fn held(bench: &mut Bench, piece: Piece, reason: HoldReason, note: &str) -> Outcome {
    bench.did(PieceHeld { piece, reason, note: note.to_owned() }).map(|_| ())
}

#[test]
fn a_wet_shelf_of_silicon_carbide() -> Outcome {
    let mut load = Load::sound()?;
    let shelf = load.shelf(rectangle(SIDES), Material::DenseThinSic)?;
    load.laid(1)?.shelf = Some(shelf);
    held(&mut load.bench, Piece::Shelf(shelf), HoldReason::Wet, "left in the rain")?;
    caught(&load, CheckKind::Hold, 2, Shape::Stop, shelf)?;
    Ok(())
}

#[test]
fn a_shelf_set_down_on_a_handle() -> Outcome {
    let mut load = Load::sound()?;
    // 100 mm posts, and a jug of 103 mm with its handle: the next shelf would rest on it.
    load.laid(1)?.ware = ware(3.0, 103.0);
    let shelf = load.shelf_of(1)?;
    caught(&load, CheckKind::Headroom, 2, Shape::Stop, shelf)?;
    // 100 mm less 103, less the 6 mm to the rim.
    assert_eq!(layer_of(&load.check(), 1)?.clear, Some(mm(-9.0)));
    load.laid(1)?.ware = ware(3.0, 80.0);
    assert_eq!(layer_of(&load.check(), 1)?.clear, Some(mm(14.0)));
    Ok(())
}

#[test]
fn a_post_stuck_to_a_shelf() -> Outcome {
    let mut load = Load::sound()?;
    let post = load.post_of(2, 1)?;
    held(&mut load.bench, Piece::Post(post), HoldReason::Drip, "stuck to F08")?;
    caught(&load, CheckKind::Hold, 3, Shape::Stop, post)?;
    Ok(())
}

#[test]
fn a_sagged_shelf_on_hard_posts() -> Outcome {
    let mut load = Load::sound()?;
    let shelf = load.shelf_of(2)?;
    let level = layer_of(&load.check(), 1)?.clear;
    // A dish of 6 mm in its middle, read on the face that is up.
    load.bench.quick(shelf, Face::A, &[6.0, 6.0, 4.0])?;
    caught(&load, CheckKind::Flatness, 3, Shape::Look, shelf)?;
    // It hangs into the layer below, whose ware has so much less room.
    let sagged = layer_of(&load.check(), 1)?.clear;
    let less = level.zip(sagged).map(|(before, after)| (before - after).mm()).unwrap_or_default();
    assert!((4.0..8.0).contains(&less), "{less}");
    Ok(())
}

#[test]
fn a_floor_out_of_level_is_said_to_be_unknown() -> Outcome {
    let found = Load::sound()?.check();
    let line = found.lines.iter().find(|line| line.check == CheckKind::FloorLevel).ok_or("nothing said")?;
    assert_eq!((line.shape, line.layer, line.place.as_str()), (Shape::Unknown, 0, ""));
    assert!(!line.fix.is_empty());
    Ok(())
}

#[test]
fn a_retired_shelf_drifted_back_into_use() -> Outcome {
    let mut load = Load::sound()?;
    let shelf = load.shelf_of(1)?;
    let reason = crate::event::values::RetireReason::Cracked;
    load.bench.did(PieceRetired { piece: shelf.into(), reason, note: "right across".to_owned() })?;
    let said = caught(&load, CheckKind::Retired, 2, Shape::Stop, shelf)?;
    assert!(said.contains("cracked"), "why it was set aside is not lost: {said}");
    Ok(())
}

#[test]
fn a_corner_that_tips_while_loading() -> Outcome {
    let mut load = Load::sound()?;
    let shelf = load.shelf_of(2)?;
    // The shelf weighs 3.2 g/cm³ × 400 × 300 × 19 mm = 7.3 kg. A crock of 12 kg on the free corner by the one post:
    // about the line from (40, 40) to (360, 150) the middle lies 52 mm inside and (370, 40) 108 mm outside, so 3.5 kg
    // tip it.
    load.laid(2)?.ware = ware(0.0, 80.0);
    load.laid(2)?.ware.pieces = vec![piece(370.0, 40.0, 12.0)];
    let said = caught(&load, CheckKind::Loading, 3, Shape::Stop, shelf);
    let said = said.or_else(|_| caught(&load, CheckKind::Margin, 3, Shape::Stop, shelf))?;
    assert!(!said.is_empty());
    let found = load.check();
    let step = super::shelf_of(&found, 2, 0)?.loading.first().ok_or("no step")?;
    let tips = step.tips_at_kg.ok_or("no mass tips it")?;
    // (110 × (370 − 40) − 320 × 0) / |(320, 110)| = 107.3 outside; 17 600 / 338.4 = 52.0 inside.
    super::near("tips at", tips, 3.2 * 0.4 * 0.3 * 19.0 * 17_600.0 / 36_300.0);
    assert_eq!(step.place, "front right: piece 1");
    Ok(())
}

#[test]
fn two_posts_on_each_other_on_the_floor() -> Outcome {
    let mut load = Load::sound()?;
    let upper = load.post(NewPost::of(25.0))?;
    for at in 0..3 {
        load.support(0, at)?.posts.push(upper);
    }
    let lower = load.post_of(0, 0)?;
    caught(&load, CheckKind::Doubled, 1, Shape::Stop, lower)?;
    // The same post three times over, too.
    assert_eq!(load.check().lines.iter().filter(|line| line.check == CheckKind::Twice).count(), 1);
    Ok(())
}

#[test]
fn a_shelf_on_two_posts_only() -> Outcome {
    let mut load = Load::sound()?;
    load.layers()[1].supports.pop();
    let shelf = load.shelf_of(1)?;
    caught(&load, CheckKind::Carried, 2, Shape::Stop, shelf)?;
    Ok(())
}

#[test]
fn a_post_that_stands_on_nothing() -> Outcome {
    let mut load = Load::sound()?;
    // The shelf below ends at 400 mm.
    let post = load.post_of(1, 2)?;
    *load.support(1, 2)? = PlannedSupport { at: spot(440.0, 150.0), ..load.support(1, 2)?.clone() };
    caught(&load, CheckKind::Footing, 2, Shape::Stop, post)?;
    Ok(())
}

#[test]
fn a_shelf_too_near_the_bag_wall() -> Outcome {
    let mut load = Load::sound()?;
    let inside = load.bench.world.kilns.get(&load.bench.kiln).and_then(|kiln| kiln.inside.clone());
    let inside = inside.ok_or("no inside")?;
    // It ends 100 mm left of the shelves, which begin at 150; the trade keeps 115.
    let keep_out = KeepOut {
        kind: KeepOutKind::BagWall,
        at: spot(0.0, 0.0),
        length_nm: mm(50.0),
        width_nm: mm(700.0),
        from_nm: mm(0.0),
        to_nm: mm(400.0),
        clearance_nm: None,
    };
    let kiln = load.bench.kiln;
    load.bench.did(KilnChamberSet {
        kiln,
        chamber: inside.chamber,
        places: inside.places,
        keep_outs: vec![keep_out],
    })?;
    let shelf = load.shelf_of(0)?;
    let found = load.check();
    assert_ne!(found.verdict, LoadVerdict::Passes);
    caught(&load, CheckKind::KeepOut, 1, Shape::Look, shelf)?;
    Ok(())
}
