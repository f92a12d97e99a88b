//! Tests of the shelf pages' judge part, on small worlds of events.
use super::bench::{Bench, Outcome, mm, slab};
use super::{Grade, ShelfJudgement, care, cracks, judge, verdicts};
use crate::cone_name::ConeName;
use crate::event::values::{Face, GrindMethod, HoldReason, Mask, Material, Piece, RetireReason, Ring, Use};
use crate::event::{
    CrackFound, PieceHeld, PieceRetired, SettingChanged, ShelfFlipped, ShelfGraded, ShelfGround, ShelfTapped,
    ShelfWashed,
};
use crate::ids::{CrackId, ShelfId};
use crate::outline::{LineName, Outline, Spot};
use crate::settings::SettingKey;
use crate::view::Shape;

fn spot(x: f64, y: f64) -> Spot {
    Spot { x_nm: mm(x), y_nm: mm(y) }
}

/// Judges the one shelf after `happened`.
fn judged(
    material: Material,
    happened: impl FnOnce(&mut Bench, ShelfId) -> Outcome,
) -> Result<ShelfJudgement, String> {
    let mut bench = Bench::new("10")?;
    let shelf = bench.shelf("F07", material, slab())?;
    happened(&mut bench, shelf)?;
    Ok(judge(&bench.world, bench.get(shelf)?))
}

/// One line a judgement: use, mark, and every finding that is more than plain, with its fix left out.
fn check(
    material: Material,
    happened: impl FnOnce(&mut Bench, ShelfId) -> Outcome,
    fit_for: Option<Use>,
    mark: (Shape, &str),
    findings: &[&str],
) -> Outcome {
    let judged = judged(material, happened)?;
    assert_eq!(judged.fit_for, fit_for, "{judged:?}");
    assert_eq!((judged.mark.shape, judged.mark.word.as_str()), mark, "{judged:?}");
    let said: Vec<&str> =
        judged.findings.iter().filter(|f| f.shape > Shape::Plain).map(|f| f.said.as_str()).collect();
    assert_eq!(said, findings);
    Ok(())
}

const SIC: Material = Material::ClayBondedSic;

#[test]
fn flatness_decides_by_use_with_its_uncertainty() -> Outcome {
    // A bowl 0.5 mm deep in the middle of every line: plates to 0.8 mm are good.
    let flat = |bench: &mut Bench, shelf| bench.quick(shelf, Face::A, &[0.5, 0.5, 0.4]).map(|_| ());
    check(SIC, flat, Some(Use::Flatware), (Shape::Plain, "plates"), &[])?;
    let dish = |bench: &mut Bench, shelf| bench.quick(shelf, Face::A, &[2.4, 2.4, 2.0]).map(|_| ());
    check(SIC, dish, Some(Use::General), (Shape::Plain, "mugs"), &[])?;
    let past = |bench: &mut Bench, shelf| bench.quick(shelf, Face::A, &[9.0, 9.0, 8.0]).map(|_| ());
    check(SIC, past, Some(Use::NoUse), (Shape::Stop, "past use"), &["past every use: 9 mm, a dish on face A"])
}

#[test]
fn a_reading_too_near_the_limit_is_undecided_and_says_what_to_read_with() -> Outcome {
    // 0.25 % of the diagonal of 670.82 mm is 1.677 mm; feelers of 0.06 mm give a band of 0.14 mm around it.
    let near = |bench: &mut Bench, shelf| bench.quick(shelf, Face::A, &[1.6, 1.6, 1.3]).map(|_| ());
    let judged = judged(SIC, near)?;
    assert_eq!(judged.fit_for, Some(Use::General));
    let found =
        judged.findings.iter().find(|f| f.said.starts_with("undecided for plates")).ok_or("nothing")?;
    assert_eq!(found.fix, "undecided: measure again with the caliper");
    assert!(found.rests_on.starts_with("limit 1.68 mm over its 670.82 mm"), "{}", found.rests_on);
    Ok(())
}

#[test]
fn limits_scale_with_the_span() -> Outcome {
    let mut bench = Bench::new("6")?;
    let shelf = bench.shelf("F01", SIC, Outline::Round { diameter_nm: mm(320.0) })?;
    bench.quick(shelf, Face::A, &[0.9, 0.9, 0.9, 0.9])?;
    let judged = judge(&bench.world, bench.get(shelf)?);
    let view = judged.flatness.ok_or("no reading")?;
    let verdicts = verdicts(&bench.world, bench.get(shelf)?, &view);
    let first = verdicts.first().ok_or("no verdict")?;
    // Half of 640 mm halves 1.6 mm.
    assert_eq!((first.good, first.limit, first.grade), (mm(0.4), mm(0.8), Grade::Undecided));
    let (key, text, reason) = (SettingKey::FlatwareLimit, "3".to_owned(), "tiles".to_owned());
    bench.did(SettingChanged { key, value: 3_000_000, text, reason })?;
    let relaxed = judge(&bench.world, bench.get(shelf)?);
    assert_eq!(relaxed.fit_for, Some(Use::Flatware));
    Ok(())
}

#[test]
fn one_line_alone_decides_nothing_but_what_is_too_warped() -> Outcome {
    let one = |bench: &mut Bench, shelf: ShelfId| {
        let lines: Vec<_> = bench.get(shelf)?.outline.quick_lines().into_iter().take(1).collect();
        bench.read(shelf, Face::A, &lines, &[0.2]).map(|_| ())
    };
    let judged = judged(SIC, one)?;
    assert_eq!((judged.fit_for, judged.mark.shape), (None, Shape::Look), "{judged:?}");
    Ok(())
}

#[test]
fn grinding_makes_a_reading_stale_and_asks_for_wash_again() -> Outcome {
    let ground = |bench: &mut Bench, shelf| {
        bench.did(ShelfWashed { shelf, face: Face::A, recipe: "alumina and kaolin".to_owned(), coats: 2 })?;
        bench.quick(shelf, Face::A, &[0.5, 0.5, 0.4])?;
        let (method, mask) = (GrindMethod::Dry, Mask::Fitted);
        bench.did(ShelfGround {
            shelf,
            face: Face::A,
            removed_nm: Some(mm(2.0)),
            minutes: Some(20),
            method,
            mask,
        })?;
        Ok(())
    };
    let findings = [
        "2 mm ground off, 11 % of its thickness: 70 % of the stiffness left",
        "face A is bare since it was ground",
        "ground since it was last read",
    ];
    check(SIC, ground, None, (Shape::Look, "thin"), &findings)
}

#[test]
fn a_dish_on_one_face_is_a_hump_on_the_other() -> Outcome {
    let mirrored = |bench: &mut Bench, shelf| {
        bench.quick(shelf, Face::B, &[-0.6, -0.6, -0.5])?;
        bench.quick(shelf, Face::A, &[0.6, 0.6, 0.5]).map(|_| ())
    };
    check(SIC, mirrored, Some(Use::Flatware), (Shape::Plain, "plates"), &[])?;
    let glazed = |bench: &mut Bench, shelf| {
        bench.quick(shelf, Face::B, &[-1.4, -1.4, -1.2])?;
        bench.quick(shelf, Face::A, &[0.6, 0.6, 0.5]).map(|_| ())
    };
    let judged = judged(SIC, glazed)?;
    assert!(judged.findings.iter().any(|f| f.fix.starts_with("it is wash or glaze, not warp")), "{judged:?}");
    Ok(())
}

#[test]
fn readings_that_agree_within_their_uncertainty_name_no_line() -> Outcome {
    let fair = |bench: &mut Bench, shelf: ShelfId| {
        let lines = bench.get(shelf)?.outline.full_lines();
        bench.read(shelf, Face::A, &lines, &[1.05, 0.95, 0.5, 0.45, 0.5, 0.55, 0.5, 0.5]).map(|_| ())
    };
    let view = judged(SIC, fair)?.flatness.ok_or("no reading")?;
    assert_eq!((view.slip, view.undetermined), (None, 0));
    Ok(())
}

#[test]
fn a_slip_of_the_feeler_is_named() -> Outcome {
    let slipped = |bench: &mut Bench, shelf: ShelfId| {
        let lines = bench.get(shelf)?.outline.full_lines();
        // A bowl z = -(u² + v²)/2, 1 mm at the corners' chord; the back edge misread by 1 mm.
        bench.read(shelf, Face::A, &lines, &[1.0, 1.0, 0.5, 0.5, 0.5, 1.5, 0.5, 0.5]).map(|_| ())
    };
    let judged = judged(SIC, slipped)?;
    let slip = judged.flatness.and_then(|view| view.slip).ok_or("no slip")?;
    // One ring of the network: a slip in any of the three looks the same.
    assert_eq!(slip.lines, [LineName::ShortCentre, LineName::FrontEdge, LineName::BackEdge]);
    let fix = "read again, for one of them slipped: middle, front to back or front edge or back edge";
    assert!(judged.findings.iter().any(|f| f.fix == fix), "{:?}", judged.findings);
    Ok(())
}

fn cracked(from: (f64, f64), to: (f64, f64), ring: Ring) -> impl FnOnce(&mut Bench, ShelfId) -> Outcome {
    move |bench, shelf| {
        bench.did(ShelfGraded { shelf, fit_for: Use::Flatware })?;
        let crack = CrackId(bench.id());
        let (from, to) = (spot(from.0, from.1), spot(to.0, to.1));
        bench.did(CrackFound { shelf, crack, from, to, ring, note: String::new() }).map(|_| ())
    }
}

#[test]
fn cracks_by_how_far_across_they_go() -> Outcome {
    // 60 mm of 300 from the front, its end at (60, 60): 28 mm from the post at (40, 40).
    let short = cracked((60.0, 0.0), (60.0, 60.0), Ring::Rings);
    check(SIC, short, Some(Use::Flatware), (Shape::Look, "look"), &["crack 60 mm, 20 % of the way across"])?;
    let far = cracked((300.0, 0.0), (300.0, 100.0), Ring::Rings);
    let said = [
        "crack 100 mm, 33 % of the way across",
        "crack 100 mm, no post by it: the nearest stands 265 mm from its end",
    ];
    check(SIC, far, Some(Use::Bisque), (Shape::Look, "bisque only"), &said)?;
    let most = cracked((40.0, 0.0), (40.0, 200.0), Ring::Rings);
    let said = [
        "crack 200 mm, 67 % of the way across",
        "crack 200 mm, no post by it: the nearest stands 60 mm from its end",
    ];
    check(SIC, most, Some(Use::NoUse), (Shape::Stop, "cut down"), &said)
}

#[test]
fn cracks_that_face_each_other() {
    let at = |from, to| crate::world::Crack {
        id: CrackId(uuid::Uuid::nil()),
        from,
        to,
        ring: Ring::Rings,
        note: String::new(),
        stamp: crate::world::Stamp {
            event: crate::ids::EventId(uuid::Uuid::nil()),
            at: jiff::Timestamp::UNIX_EPOCH,
        },
    };
    let front = at(spot(300.0, 0.0), spot(300.0, 60.0));
    // Drawn from the inner end outwards: the direction is taken from the edges.
    let back = at(spot(320.0, 240.0), spot(320.0, 300.0));
    let beside = at(spot(500.0, 0.0), spot(500.0, 60.0));
    let far_back = at(spot(560.0, 300.0), spot(560.0, 240.0));
    assert!(cracks::facing(&slab(), &front, &back));
    assert!(!cracks::facing(&slab(), &front, &beside));
    assert!(!cracks::facing(&slab(), &front, &far_back));
}

#[test]
fn a_dull_ring_stops_and_a_wet_shelf_is_only_wet() -> Outcome {
    let dull = |bench: &mut Bench, shelf| bench.did(ShelfTapped { shelf, ring: Ring::Dull }).map(|_| ());
    let judged_dull = judged(SIC, dull)?;
    assert_eq!((judged_dull.fit_for, judged_dull.mark.word.as_str()), (Some(Use::NoUse), "dull"));
    let wet = |bench: &mut Bench, shelf| {
        bench.did(ShelfGraded { shelf, fit_for: Use::General })?;
        let (method, mask) = (GrindMethod::Wet, Mask::Fitted);
        bench.did(ShelfGround { shelf, face: Face::A, removed_nm: None, minutes: None, method, mask })?;
        bench.did(ShelfTapped { shelf, ring: Ring::Dull }).map(|_| ())
    };
    let judged_wet = judged(Material::DenseThinSic, wet)?;
    assert_eq!((judged_wet.fit_for, judged_wet.mark.word.as_str()), (Some(Use::General), "hold"));
    assert!(judged_wet.findings.first().is_some_and(|f| f.fix.contains("24 h")), "{judged_wet:?}");
    Ok(())
}

#[test]
fn what_is_due_is_counted_in_firings() -> Outcome {
    let old = |bench: &mut Bench, shelf| {
        bench.did(ShelfWashed { shelf, face: Face::A, recipe: "alumina and kaolin".to_owned(), coats: 2 })?;
        bench.quick(shelf, Face::A, &[0.5, 0.5, 0.4])?;
        bench.fire(shelf, 25)
    };
    let said = ["wash on face A is 25 firings old", "not read for 25 firings"];
    check(Material::Cordierite, old, Some(Use::Flatware), (Shape::Look, "wash"), &said)?;
    let turned = |bench: &mut Bench, shelf| {
        bench.did(ShelfWashed { shelf, face: Face::A, recipe: "alumina and kaolin".to_owned(), coats: 2 })?;
        bench.did(ShelfGraded { shelf, fit_for: Use::Flatware })?;
        bench.did(ShelfFlipped { shelf, up: Face::B }).map(|_| ())
    };
    check(SIC, turned, Some(Use::Flatware), (Shape::Look, "strip"), &["wash on face A, which is down"])
}

#[test]
fn cordierite_is_warned_of_by_cone() -> Outcome {
    let mut bench = Bench::new("10")?;
    let shelf = bench.shelf("F07", Material::Cordierite, slab())?;
    let at = |cone: &str| {
        let cone = ConeName::read(cone).map_err(|cause| cause.to_string())?;
        Ok::<_, String>(care::cordierite_at(&bench.world, bench.get(shelf)?, cone).map(|f| f.said))
    };
    assert_eq!(at("9")?, None);
    assert_eq!(at("10")?.as_deref(), Some("cordierite at cone 10"));
    Ok(())
}

#[test]
fn a_hold_and_a_retirement_say_why() -> Outcome {
    let held = |bench: &mut Bench, shelf| {
        bench.did(ShelfGraded { shelf, fit_for: Use::General })?;
        let (piece, reason) = (Piece::Shelf(shelf), HoldReason::Drip);
        bench.did(PieceHeld { piece, reason, note: "celadon run".to_owned() }).map(|_| ())
    };
    let judged_held = judged(SIC, held)?;
    assert_eq!((judged_held.mark.shape, judged_held.mark.word.as_str()), (Shape::Stop, "hold"));
    let retired = |bench: &mut Bench, shelf| {
        let (piece, reason) = (Piece::Shelf(shelf), RetireReason::Cracked);
        bench.did(PieceRetired { piece, reason, note: "left corner off".to_owned() }).map(|_| ())
    };
    let judged_gone = judged(SIC, retired)?;
    assert_eq!((judged_gone.fit_for, judged_gone.mark.shape), (None, Shape::Gone));
    assert!(
        judged_gone.findings.iter().any(|f| f.said.ends_with("cracked: left corner off")),
        "{judged_gone:?}"
    );
    Ok(())
}

#[test]
fn the_stricter_of_a_later_eye_and_the_reading_counts() -> Outcome {
    let chipped = |bench: &mut Bench, shelf| {
        bench.quick(shelf, Face::A, &[0.5, 0.5, 0.4])?;
        bench.did(ShelfGraded { shelf, fit_for: Use::Bisque }).map(|_| ())
    };
    check(SIC, chipped, Some(Use::Bisque), (Shape::Plain, "bisque"), &[])?;
    let replaced = |bench: &mut Bench, shelf| {
        bench.did(ShelfGraded { shelf, fit_for: Use::Bisque })?;
        bench.quick(shelf, Face::A, &[0.5, 0.5, 0.4]).map(|_| ())
    };
    check(SIC, replaced, Some(Use::Flatware), (Shape::Plain, "plates"), &[])
}

#[test]
fn a_grid_from_a_dial_indicator_is_read_finer() -> Outcome {
    let grid = |bench: &mut Bench, shelf| {
        bench.grid(shelf, (3, 3), &[0.0, 0.1, 0.0, 0.1, 1.55, 0.1, 0.0, 0.1, 0.0]).map(|_| ())
    };
    let judged = judged(SIC, grid)?;
    // 1.55 mm and 1.645 * 1.41 * 0.015 = 0.035 stay under 1.677: feelers could not have told.
    assert_eq!(judged.fit_for, Some(Use::Flatware), "{judged:?}");
    assert_eq!(judged.flatness.and_then(|view| view.bend()), Some("hump"));
    Ok(())
}
