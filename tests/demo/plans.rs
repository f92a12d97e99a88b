//! The demo's kilns from inside, and two plans of the gas kiln's next load: one worked through, and one made in a
//! hurry from the racks as they came.
use crate::diary::Device;
use crate::studio::Studio;
use jiff::civil::date;
use tripoise_core::cone_name::ConeName;
use tripoise_core::event::plan::{Chamber, KeepOut, PlannedStack, StackPlace};
use tripoise_core::event::values::{KeepOutKind, Ware};
use tripoise_core::event::{KilnChamberSet, PlanSaved};
use tripoise_core::form::plans::fill::{Asked, fill};
use tripoise_core::ids::PlanId;
use tripoise_core::outline::Spot;
use tripoise_core::units::Length;
use tripoise_core::view::plans::bench::Bench;
use tripoise_core::world::World;

fn mm(value: f64) -> Length {
    Length::from_mm(value)
}

fn spot(x: f64, y: f64) -> Spot {
    Spot { x_nm: mm(x), y_nm: mm(y) }
}

/// A part to keep clear of: corner, size, from and to, all in millimetres.
fn part(kind: KeepOutKind, [x, y, long, wide]: [f64; 4], from: f64, to: f64) -> KeepOut {
    KeepOut {
        kind,
        at: spot(x, y),
        length_nm: mm(long),
        width_nm: mm(wide),
        from_nm: mm(from),
        to_nm: mm(to),
        clearance_nm: None,
    }
}

fn place(name: &str, x: f64, y: f64, long: f64, wide: f64) -> StackPlace {
    StackPlace { name: name.to_owned(), at: spot(x, y), length_nm: mm(long), width_nm: mm(wide) }
}

/// The chambers are measured, and the gas kiln's next load is planned, twice.
pub fn next_loads(studio: &mut Studio) -> Result<(), Box<dyn std::error::Error>> {
    studio.diary.turn_to(date(2026, 11, 23), 9);
    chambers(studio);
    studio.diary.turn_to(date(2026, 11, 23), 17);
    hurried(studio)?;
    studio.diary.turn_to(date(2026, 11, 24), 9);
    worked_through(studio)
}

/// Both chambers from inside.
fn chambers(studio: &mut Studio) {
    let electric = KilnChamberSet {
        kiln: studio.wren,
        chamber: Chamber::Cylinder { diameter_nm: mm(600.0), height_nm: mm(690.0) },
        places: vec![place("middle", 35.0, 35.0, 530.0, 530.0)],
        keep_outs: vec![
            part(KeepOutKind::Probe, [290.0, 574.0, 20.0, 26.0], 330.0, 350.0),
            part(KeepOutKind::SpyHole, [0.0, 285.0, 6.0, 30.0], 330.0, 360.0),
        ],
    };
    studio.diary.write(Device::Tablet, electric);
    let gas = KilnChamberSet {
        kiln: studio.heron,
        chamber: Chamber::Arched {
            width_nm: mm(1_020.0),
            depth_nm: mm(860.0),
            height_nm: mm(1_180.0),
            spring_nm: mm(900.0),
        },
        places: vec![place("front", 210.0, 100.0, 600.0, 300.0), place("back", 210.0, 440.0, 600.0, 300.0)],
        keep_outs: vec![
            part(KeepOutKind::BagWall, [0.0, 60.0, 65.0, 740.0], 0.0, 230.0),
            part(KeepOutKind::BagWall, [955.0, 60.0, 65.0, 740.0], 0.0, 230.0),
            part(KeepOutKind::Flue, [430.0, 850.0, 160.0, 10.0], 0.0, 120.0),
            part(KeepOutKind::Probe, [500.0, 800.0, 20.0, 60.0], 840.0, 860.0),
            part(KeepOutKind::Door, [0.0, 0.0, 1_020.0, 20.0], 0.0, 900.0),
        ],
    };
    studio.diary.write(Device::Tablet, gas);
}

/// The heights of one stack's layers.
fn wanted(place: &str, heights: &[f64]) -> Asked {
    Asked { place: place.to_owned(), layers: heights.iter().map(|height| mm(*height)).collect() }
}

/// What the first filling makes of the rack as it is on record now.
fn filled(
    studio: &Studio,
    wanted: &[Asked],
) -> Result<(World, Vec<PlannedStack>), Box<dyn std::error::Error>> {
    let records: Result<Vec<_>, _> = studio.diary.jsonl()?.lines().map(serde_json::from_str).collect();
    let (world, _) = World::fold(&records?);
    let kiln = world.kilns.get(&studio.heron).ok_or("the gas kiln is on record")?;
    let stacks = fill(&Bench::of(&world, kiln, &[]), Ware::Glaze, ConeName::read("10")?, wanted)?.stacks;
    Ok((world, stacks))
}

fn save(
    studio: &mut Studio,
    name: &str,
    stacks: Vec<PlannedStack>,
) -> Result<(), Box<dyn std::error::Error>> {
    let plan = PlanId(studio.diary.id());
    let (kiln, cone) = (studio.heron, ConeName::read("10")?);
    let body = PlanSaved { plan, kiln, name: name.to_owned(), ware: Ware::Glaze, cone, stacks };
    studio.diary.write(Device::Tablet, body);
    Ok(())
}

/// Made from whatever came to hand: the cracked shelf at the bottom, the wet one over it.
fn hurried(studio: &mut Studio) -> Result<(), Box<dyn std::error::Error>> {
    let heights = [75.0, 150.0, 150.0, 150.0];
    let (world, mut stacks) = filled(studio, &[wanted("front", &heights), wanted("back", &heights)])?;
    let named =
        |code: &str| world.shelves.values().find(|shelf| shelf.code.as_str() == code).map(|one| one.id);
    for (layer, code) in [(0, "F17"), (1, "F33")] {
        stacks[0].layers[layer].shelves[0].shelf = named(code);
    }
    save(studio, "bowls, made in a hurry", stacks)
}

/// The load as it is to stand.
fn worked_through(studio: &mut Studio) -> Result<(), Box<dyn std::error::Error>> {
    let heights = [75.0, 150.0, 150.0, 150.0, 200.0];
    let (_, stacks) = filled(studio, &[wanted("front", &heights), wanted("back", &heights)])?;
    save(studio, "glaze, week 48", stacks)
}
