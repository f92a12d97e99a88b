//! What is around a stack, and what the record says of its pieces: walls, arch, door, the next stack, other racks,
//! heights not measured, and lines that were overruled.
//!
//! What this does not do: the stack by itself; `collapses` and `worked` do.
use super::{Load, NewPost, Outcome, SIDES, caught, layer_of, lines, mm, near, piece, rectangle, spot, ware};
use crate::event::plan::{Chamber, KeepOut};
use crate::event::values::{Fuel, GrindMethod, KeepOutKind, Mask, Material, Ware};
use crate::event::{KilnAdded, KilnChamberSet, PieceMoved, PostDressed};
use crate::ids::KilnId;
use crate::judge::stack::{CheckKind, LoadVerdict, PlateCache, StackCheck, check_with};
use crate::view::Shape;
use crate::world::{Overruled, Stamp};
use std::collections::BTreeMap;

fn inside(load: &mut Load, chamber: Chamber, keep_outs: Vec<KeepOut>) -> Outcome {
    let kiln = load.bench.kiln;
    load.bench.did(KilnChamberSet { kiln, chamber, places: Vec::new(), keep_outs }).map(|_| ())
}

fn boxed(width: f64, depth: f64, height: f64) -> Chamber {
    Chamber::Box { width_nm: mm(width), depth_nm: mm(depth), height_nm: mm(height) }
}

/// The stack moved to another place in the chamber.
fn at(load: &mut Load, x: f64, y: f64) {
    load.plan.stacks[0].at = spot(x, y);
}

fn worst(found: &StackCheck, kind: CheckKind) -> Shape {
    let own = found.lines.iter().filter(|line| line.check == kind);
    own.map(|line| line.shape).max().unwrap_or(Shape::Plain)
}

#[test]
fn walls_are_kept_by_25_mm_and_door_and_back_by_50() -> Outcome {
    let mut load = Load::sound()?;
    // The shelves are 400 by 300, the chamber 800 by 700.
    let cases = [
        ((26.0, 150.0), Shape::Plain),
        ((24.0, 150.0), Shape::Look),
        ((-1.0, 150.0), Shape::Stop),
        ((390.0, 150.0), Shape::Look),
        ((150.0, 51.0), Shape::Plain),
        ((150.0, 49.0), Shape::Look),
        ((150.0, 351.0), Shape::Look),
        ((150.0, 401.0), Shape::Stop),
    ];
    for ((x, y), wanted) in cases {
        at(&mut load, x, y);
        let found = load.check();
        assert_eq!(worst(&found, CheckKind::Wall), wanted, "{x} {y}: {:#?}", found.lines);
    }
    Ok(())
}

#[test]
fn a_round_chamber_is_met_by_the_corners() -> Outcome {
    let mut load = Load::sound()?;
    // A shelf of 400 by 300 has a diagonal of 500: in the middle of 560 mm its corners are 30 mm from the wall.
    inside(&mut load, Chamber::Cylinder { diameter_nm: mm(560.0), height_nm: mm(900.0) }, Vec::new())?;
    at(&mut load, 80.0, 130.0);
    assert_eq!(worst(&load.check(), CheckKind::Wall), Shape::Plain);
    // 18 mm to the side: one corner is at |(218, 150)| = 264.6 of 280.
    at(&mut load, 98.0, 130.0);
    assert_eq!(worst(&load.check(), CheckKind::Wall), Shape::Look);
    at(&mut load, 140.0, 130.0);
    assert_eq!(worst(&load.check(), CheckKind::Wall), Shape::Stop);
    Ok(())
}

#[test]
fn under_an_arch_the_corners_have_the_least_room() -> Outcome {
    let mut load = Load::sound()?;
    // The top shelf is at 44 + 119 + 119 = 282, its ware 80 more: 362. Spring line 300, crown 500 over 800: radius
    // (400² + 200²) / 400 = 500. Over a shelf from x = 150 the arch is 500 − 500 + √(500² − 250²) = 433.0 high.
    let arch = |crown: f64| Chamber::Arched {
        width_nm: mm(800.0),
        depth_nm: mm(700.0),
        height_nm: mm(crown),
        spring_nm: mm(crown - 200.0),
    };
    inside(&mut load, arch(500.0), Vec::new())?;
    let found = load.check();
    let clear = layer_of(&found, 2)?.clear.ok_or("not known")?.mm();
    near("clear", clear, (500.0_f64 * 500.0 - 250.0 * 250.0).sqrt() - 362.0 - 25.0);
    assert_eq!(worst(&found, CheckKind::Roof), Shape::Plain);
    // 50 mm lower it is 4 mm too low.
    inside(&mut load, arch(450.0), Vec::new())?;
    let shelf = load.shelf_of(2)?;
    caught(&load, CheckKind::Roof, 3, Shape::Stop, shelf)?;
    // An empty shelf, too, has to go under it.
    inside(&mut load, arch(350.0), Vec::new())?;
    load.laid(2)?.ware = ware(0.0, 0.0);
    caught(&load, CheckKind::Roof, 3, Shape::Stop, shelf)?;
    Ok(())
}

#[test]
fn elements_are_kept_clear_by_their_own_distance() -> Outcome {
    let mut load = Load::sound()?;
    let part = |from_mm: f64, clearance: Option<f64>| KeepOut {
        kind: KeepOutKind::Element,
        at: spot(0.0, 0.0),
        length_nm: mm(130.0),
        width_nm: mm(700.0),
        from_nm: mm(from_mm),
        to_nm: mm(from_mm + 50.0),
        clearance_nm: clearance.map(mm),
    };
    // It ends 20 mm beside the shelves, whose second one lies from 144 to 163.
    inside(&mut load, boxed(800.0, 700.0, 900.0), vec![part(140.0, None)])?;
    let shelf = load.shelf_of(1)?;
    caught(&load, CheckKind::KeepOut, 2, Shape::Look, shelf)?;
    // This kiln's own distance counts before the studio's usual one.
    inside(&mut load, boxed(800.0, 700.0, 900.0), vec![part(140.0, Some(15.0))])?;
    assert_eq!(worst(&load.check(), CheckKind::KeepOut), Shape::Plain);
    // Over the top of everything it is in nobody's way.
    inside(&mut load, boxed(800.0, 700.0, 900.0), vec![part(400.0, None)])?;
    assert_eq!(worst(&load.check(), CheckKind::KeepOut), Shape::Plain);
    Ok(())
}

#[test]
fn two_stacks_are_kept_apart() -> Outcome {
    let mut load = Load::sound()?;
    let mut beside = load.plan.stacks[0].clone();
    beside.place = "right".to_owned();
    // The very pieces again are planned twice; here only their places are looked at.
    for (x, wanted) in [(557.0, Shape::Plain), (554.0, Shape::Look), (500.0, Shape::Stop)] {
        beside.at = spot(x, 150.0);
        load.plan.stacks.truncate(1);
        load.plan.stacks.push(beside.clone());
        assert_eq!(worst(&load.check(), CheckKind::Neighbour), wanted, "{x}");
    }
    assert_eq!(load.check().lines.iter().filter(|line| line.check == CheckKind::Twice).count(), 12);
    Ok(())
}

#[test]
fn pots_stand_clear_of_each_other_of_posts_and_on_the_shelf() -> Outcome {
    let mut load = Load::sound()?;
    let own = load.laid(1)?;
    own.ware = ware(0.0, 60.0);
    let mut stand = |places: &[(f64, f64)]| -> Result<Shape, String> {
        load.laid(1)?.ware.pieces = places.iter().map(|(x, y)| piece(*x, *y, 0.5)).collect();
        Ok(worst(&load.check(), CheckKind::Pieces))
    };
    // 60 mm wide each: 67 apart leaves 7 mm, 64 leaves 4.
    assert_eq!(stand(&[(150.0, 150.0), (217.0, 150.0)])?, Shape::Plain);
    assert_eq!(stand(&[(150.0, 150.0), (214.0, 150.0)])?, Shape::Look);
    // The next layer's post stands at (360, 150).
    assert_eq!(stand(&[(315.0, 150.0)])?, Shape::Look);
    assert_eq!(stand(&[(420.0, 40.0)])?, Shape::Look);
    // Bisque may touch.
    load.plan.ware = Ware::Bisque;
    load.laid(1)?.ware.pieces = vec![piece(150.0, 150.0, 0.5), piece(211.0, 150.0, 0.5)];
    assert_eq!(worst(&load.check(), CheckKind::Pieces), Shape::Plain);
    Ok(())
}

#[test]
fn silicon_carbide_in_an_electric_kiln() -> Outcome {
    let mut load = Load::sound()?;
    let shelf = load.shelf(rectangle(SIDES), Material::DenseThinSic)?;
    load.laid(1)?.shelf = Some(shelf);
    assert_eq!(worst(&load.check(), CheckKind::Electric), Shape::Plain);
    let kiln = KilnId(load.bench.id());
    let usual_cone = load.plan.cone;
    load.bench.did(KilnAdded { kiln, name: "Wren".to_owned(), fuel: Fuel::Electric, usual_cone })?;
    load.plan.kiln = kiln;
    caught(&load, CheckKind::Electric, 2, Shape::Look, shelf)?;
    Ok(())
}

#[test]
fn pieces_of_other_racks_are_a_note() -> Outcome {
    let mut load = Load::sound()?;
    let kiln = KilnId(load.bench.id());
    let usual_cone = load.plan.cone;
    load.bench.did(KilnAdded { kiln, name: "Wren".to_owned(), fuel: Fuel::Gas, usual_cone })?;
    let shelf = load.shelf_of(0)?;
    load.bench.did(PieceMoved { piece: shelf.into(), kiln, place: "rack D".to_owned() })?;
    let found = load.check();
    let noted = lines(&found, CheckKind::OtherKiln, 1);
    assert!(noted.iter().any(|line| line.said.contains("Wren")), "{:#?}", found.lines);
    // It does not stand against the load.
    assert_eq!(found.verdict, LoadVerdict::Passes);
    Ok(())
}

#[test]
fn a_post_dressed_and_not_measured_since() -> Outcome {
    let mut load = Load::sound()?;
    let post = load.post_of(1, 0)?;
    load.bench.did(PostDressed {
        post,
        removed_nm: None,
        minutes: None,
        method: GrindMethod::Dry,
        mask: Mask::NotNoted,
    })?;
    caught(&load, CheckKind::NotMeasured, 2, Shape::Unknown, post)?;
    assert_eq!(layer_of(&load.check(), 1)?.spread, None);
    Ok(())
}

#[test]
fn a_line_overruled_counts_for_less_and_only_as_long_as_it_is_about_the_same() -> Outcome {
    let mut load = Load::sound()?;
    let stamp = load.bench.world.shelves.values().next().map(|shelf| shelf.added).ok_or("no shelf")?;
    let overrule = |found: &StackCheck, kind: CheckKind| -> Result<BTreeMap<String, Overruled>, String> {
        let line = found.lines.iter().find(|line| line.check == kind).ok_or("no line")?;
        Ok(BTreeMap::from([(line.name.clone(), overruled(&line.said, stamp))]))
    };
    // A post 10 mm off is to be looked at; overruled, nothing else stands against the load.
    load.support(2, 0)?.at = spot(50.0, 40.0);
    let told = overrule(&load.check(), CheckKind::PostOverPost)?;
    let mut cache = PlateCache::default();
    let mut verdict = |load: &Load| check_with(&load.bench.world, &load.plan, &told, &mut cache).verdict;
    assert_eq!(load.check().verdict, LoadVerdict::LookAt);
    assert_eq!(verdict(&load), LoadVerdict::Passes, "{:#?}", load.check().lines);
    // Moved to where it must not be, it is another line.
    load.support(2, 0)?.at = spot(70.0, 40.0);
    assert_eq!(verdict(&load), LoadVerdict::DoNotLoad);
    // What was overruled about it in other words does not cover this; figures that moved a little do.
    load.support(2, 0)?.at = spot(51.0, 40.0);
    assert_eq!(verdict(&load), LoadVerdict::Passes);
    let mut other = told.clone();
    other.values_mut().for_each(|one| one.said = "its end is chipped".to_owned());
    let found = check_with(&load.bench.world, &load.plan, &other, &mut PlateCache::default());
    assert_eq!(found.verdict, LoadVerdict::LookAt);
    // Another post in its place, too.
    load.support(2, 0)?.at = spot(50.0, 40.0);
    load.put(2, 0, NewPost::of(100.0))?;
    assert_eq!(verdict(&load), LoadVerdict::LookAt);
    // A "do not load" that was overruled is still to be looked at.
    load.support(2, 0)?.at = spot(70.0, 40.0);
    let told = overrule(&load.check(), CheckKind::PostOverPost)?;
    let found = check_with(&load.bench.world, &load.plan, &told, &mut PlateCache::default());
    assert_eq!(found.verdict, LoadVerdict::LookAt);
    Ok(())
}

fn overruled(said: &str, stamp: Stamp) -> Overruled {
    Overruled { said: said.to_owned(), reason: "the head of the post is wide".to_owned(), stamp }
}

#[test]
fn a_plan_that_is_not_finished_says_what_is_missing() -> Outcome {
    let mut load = Load::sound()?;
    load.laid(1)?.shelf = None;
    load.support(2, 1)?.posts.clear();
    let found = load.check();
    for layer in [2, 3] {
        assert!(!lines(&found, CheckKind::Missing, layer).is_empty(), "{:#?}", found.lines);
    }
    assert!(found.verdict >= LoadVerdict::LookAt);
    assert_eq!(worst(&Load::empty()?.check(), CheckKind::Missing), Shape::Unknown);
    Ok(())
}

#[test]
fn shelves_of_a_size_on_posts_in_the_same_places_are_one_plate() -> Outcome {
    let mut load = Load::sound()?;
    let mut cache = PlateCache::default();
    let all = |load: &Load, cache: &mut PlateCache| {
        check_with(&load.bench.world, &load.plan, &BTreeMap::new(), cache).stacks
    };
    let first = all(&load, &mut cache);
    assert_eq!(cache.len(), 1);
    // Heavier ware asks for no new one, and the answer grows with the load: 7.296 kg of shelf, 3 and then 6 of ware.
    load.laid(2)?.ware = ware(6.0, 80.0);
    let second = all(&load, &mut cache);
    assert_eq!(cache.len(), 1);
    let stress = |stacks: &[crate::judge::stack::StackFigures]| stacks[0].layers[2].shelves[0].stress_mpa;
    let (one, two) = (stress(&first).ok_or("none")?, stress(&second).ok_or("none")?);
    near("stress", two / one, (3.2 * 2.28 + 6.0) / (3.2 * 2.28 + 3.0));
    // A post that stands beside the one below bends the shelf under it; that is another plate.
    load.support(2, 0)?.at = spot(60.0, 40.0);
    all(&load, &mut cache);
    assert!(cache.len() > 1);
    Ok(())
}
