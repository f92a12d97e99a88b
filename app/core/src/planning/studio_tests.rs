//! Sets and proposals from what a studio has on record.
use super::{Order, Proposal, Wanted, WantedLayer, WantedStack, propose, sets_for_load};
use crate::code::Code;
use crate::event::plan::{Chamber, PlannedWare, StackPlace};
use crate::event::values::{Fuel, HoldReason, Material, Piece, Ring, Use, Ware};
use crate::event::{CrackFound, KilnChamberSet, PieceHeld, PostDressed, SetMade, ShelfGraded};
use crate::grouping::SetSize;
use crate::ids::{CrackId, KilnId, PostId, SetId, ShelfId};
use crate::outline::{Outline, Spot};
use crate::testing::Studio;
use crate::units::{Length, Mass};
use crate::view::text::LengthUnit;
use uuid::Uuid;

const UNIT: LengthUnit = LengthUnit::Mm;

fn mm(value: f64) -> Length {
    Length::from_mm(value)
}

/// Posts of 150 mm with these codes and heights.
fn rack(studio: &mut Studio, kiln: KilnId, posts: &[(&str, f64)]) -> Vec<PostId> {
    let one = |(code, height): &(&str, f64)| {
        let post = studio.post(code, 150.0, kiln);
        studio.height(post, *height);
        post
    };
    posts.iter().map(one).collect()
}

fn together(studio: &mut Studio, code: &str, posts: &[PostId]) -> SetId {
    let set = SetId(Uuid::from_u128(0xB000 + u128::from(code.as_bytes()[2])));
    let code = Code::read(code).unwrap_or_else(|cause| panic!("{cause}"));
    studio.record(SetMade { set, code, posts: posts.to_vec(), shelf: None, inset_nm: mm(40.0) });
    set
}

fn codes(posts: &[super::LoadPost]) -> Vec<&str> {
    posts.iter().map(super::LoadPost::code).collect()
}

#[test]
fn a_set_that_holds_is_kept_and_the_least_grinding_makes_the_missing_one() {
    let (mut studio, kiln) = Studio::with_kiln();
    let posts = rack(&mut studio, kiln, &[("P01", 150.0), ("P02", 150.1), ("P03", 150.2)]);
    let kept = together(&mut studio, "K01", &posts);
    // The guard band of the caliper is 0.083, so 0.917 mm may stay: P09 is 1.0 and P14 1.3 over P07.
    rack(&mut studio, kiln, &[("P07", 148.6), ("P09", 149.6), ("P14", 149.9), ("P20", 152.9)]);
    let found = sets_for_load(&studio.world(), kiln, &[(mm(150.0), 2)], false);
    let height = &found.heights[0];
    assert_eq!(height.sets.iter().map(|set| set.present).collect::<Vec<_>>(), [Some(kept)]);
    assert_eq!((height.missing(), height.dressing.len()), (1, 1));
    assert_eq!(height.dressing[0].said(UNIT), "dress P14 by 0.39 mm and P09 by 0.09 mm");
    assert_eq!(height.dressing[0].jobs[0].level, mm(1.3));
    let exact = height.exact.join(" ");
    assert!(exact.contains("no choice of 1 set takes less off than 0.47 mm in all"), "{exact}");
    assert!(exact.contains("none comes under 148.5 mm"), "{exact}");
    // Two higher posts that agree within 0.3 mm: one shim on the short one does as well.
    assert_eq!(codes(&height.shims[0].posts), ["P07", "P09", "P14"]);
    assert!(
        height.shims[0].on.code() == "P07" && height.shims[0].spread_after <= mm(1.0),
        "{:?}",
        height.shims
    );
}

#[test]
fn a_fresh_match_takes_sets_apart_and_says_whose() {
    let (mut studio, kiln) = Studio::with_kiln();
    let heights = [149.4, 149.9, 150.1, 150.3, 150.9, 151.1];
    let rows: Vec<(String, f64)> =
        heights.iter().enumerate().map(|(n, h)| (format!("P{:02}", n + 1), *h)).collect();
    let rows: Vec<(&str, f64)> = rows.iter().map(|(code, height)| (code.as_str(), *height)).collect();
    let posts = rack(&mut studio, kiln, &rows);
    let old = together(&mut studio, "K01", &posts[1..4]);
    let world = studio.world();
    let asked = [(mm(150.0), 1), (mm(150.0), 1)];
    let kept = sets_for_load(&world, kiln, &asked, false);
    assert_eq!((kept.heights[0].wanted, kept.heights[0].sets.len()), (2, 1));
    let fresh = sets_for_load(&world, kiln, &asked, true);
    assert_eq!(fresh.heights[0].sets.len(), 2);
    assert!(fresh.heights[0].sets.iter().all(|set| set.present.is_none() && set.takes_from == [old]));
}

#[test]
fn posts_that_cannot_be_loaded_are_left_out_and_say_why() {
    let (mut studio, kiln) = Studio::with_kiln();
    let other = studio.kiln("small", Fuel::Electric, "6");
    let posts = rack(&mut studio, kiln, &[("P01", 150.0), ("P02", 150.0), ("P03", 147.0), ("P04", 150.0)]);
    rack(&mut studio, other, &[("P05", 150.0)]);
    studio.post("P06", 150.0, kiln);
    studio.record(PieceHeld { piece: Piece::Post(posts[0]), reason: HoldReason::Drip, note: String::new() });
    studio.record(PostDressed {
        post: posts[1],
        removed_nm: None,
        minutes: None,
        method: crate::event::values::GrindMethod::Wet,
        mask: crate::event::values::Mask::Fitted,
    });
    let world = studio.world();
    let found = sets_for_load(&world, kiln, &[(mm(150.0), 1)], false);
    let why: Vec<String> =
        found.left_out.iter().map(|(piece, why)| format!("{} {why}", world.code_of(*piece))).collect();
    assert_eq!(why.len(), 4, "{why:?}");
    assert!(
        why[0].starts_with("P01 on hold") && why[1] == "P02 dressed since it was last measured",
        "{why:?}"
    );
    assert!(why[2] == "P03 3 mm short of nominal" && why[3] == "P06 never measured", "{why:?}");
    assert_eq!(codes(&found.heights[0].loose), ["P04"]);
}

/// A kiln with one place of 620 × 320 mm, and posts for `n` layers of 150 mm that agree.
fn studio_for(n: usize, fuel: Fuel, height: f64) -> (Studio, KilnId) {
    let mut studio = Studio::default();
    let kiln = studio.kiln("tall", fuel, "6");
    let at = Spot { x_nm: mm(100.0), y_nm: mm(90.0) };
    let place = StackPlace { name: "left".to_owned(), at, length_nm: mm(620.0), width_nm: mm(320.0) };
    let chamber = Chamber::Box { width_nm: mm(820.0), depth_nm: mm(500.0), height_nm: mm(height) };
    studio.record(KilnChamberSet { kiln, chamber, places: vec![place], keep_outs: Vec::new() });
    for n in 0..3 * n {
        let post = studio.post(&format!("P{:02}", n + 1), 150.0, kiln);
        studio.height(post, 150.0);
    }
    (studio, kiln)
}

fn layer(used_for: Use, tallest: f64) -> WantedLayer {
    let ware = PlannedWare {
        used_for: Some(used_for),
        tallest_nm: mm(tallest),
        mass_mg: Mass::from_kg(4.0),
        ..PlannedWare::default()
    };
    WantedLayer { nominal: mm(150.0), ware }
}

fn wanted(kiln: KilnId, layers: Vec<WantedLayer>) -> Wanted {
    Wanted {
        kiln,
        ware: Ware::Glaze,
        cone: "6".to_owned().try_into().unwrap_or_else(|_| panic!("cone 6")),
        size: SetSize::Three,
        fresh: false,
        order: Order::TallHigh,
        stacks: vec![WantedStack { place: "left".to_owned(), layers }],
        shelves: Vec::new(),
    }
}

fn proposed(studio: &Studio, wanted: &Wanted) -> Proposal {
    let found = propose(&studio.world(), wanted).unwrap_or_else(|cause| panic!("{cause}"));
    assert!(found.objective >= found.bound && found.gap == found.objective - found.bound);
    found
}

/// The codes of the shelves from the floor up.
fn shelves(studio: &Studio, found: &Proposal) -> Vec<String> {
    let world = studio.world();
    let code = |id: Option<ShelfId>| id.map_or_else(|| "-".to_owned(), |id| world.code_of(Piece::Shelf(id)));
    found.stacks[0].layers.iter().map(|layer| code(layer.shelves[0].shelf)).collect()
}

fn graded(studio: &mut Studio, code: &str, kiln: KilnId, grade: Use) -> ShelfId {
    let shelf = studio.shelf(code, kiln);
    studio.record(ShelfGraded { shelf, fit_for: grade });
    shelf
}

#[test]
fn tall_ware_stands_high_and_the_flatter_shelf_goes_under_plates() {
    let (mut studio, kiln) = studio_for(3, Fuel::Gas, 900.0);
    graded(&mut studio, "F01", kiln, Use::General);
    graded(&mut studio, "F02", kiln, Use::Flatware);
    graded(&mut studio, "F03", kiln, Use::General);
    let asked =
        wanted(kiln, vec![layer(Use::General, 140.0), layer(Use::Flatware, 40.0), layer(Use::General, 90.0)]);
    let found = proposed(&studio, &asked);
    assert_eq!(shelves(&studio, &found)[0], "F02");
    let tallest: Vec<Length> =
        found.stacks[0].layers.iter().map(|layer| layer.shelves[0].ware.tallest_nm).collect();
    assert_eq!(tallest, [mm(40.0), mm(90.0), mm(140.0)]);
    assert!(found.gap == 0 && found.said[0].starts_with("Proved"), "{:?}", found.said);
    // 620 × 320 less 600 × 300 leaves 10 mm all round; posts 40 mm in, over one another.
    let first = &found.stacks[0].layers[0];
    assert_eq!(first.shelves[0].at, Spot { x_nm: mm(10.0), y_nm: mm(10.0) });
    assert_eq!(first.supports[0].at, Spot { x_nm: mm(50.0), y_nm: mm(50.0) });
    for layer in &found.stacks[0].layers {
        let at = |layer: &crate::event::plan::PlannedLayer| {
            layer.supports.iter().map(|one| one.at).collect::<Vec<_>>()
        };
        assert_eq!(at(layer), at(first));
        assert!(layer.supports.iter().all(|support| support.posts.len() == 1));
    }
}

#[test]
fn cracked_worn_held_and_conducting_shelves_go_where_they_may() {
    let (mut studio, kiln) = studio_for(4, Fuel::Electric, 900.0);
    let cracked = graded(&mut studio, "F01", kiln, Use::General);
    // 20 mm of 300 across, by a post: 40 mm in, at the front left.
    let at = |x: f64, y: f64| Spot { x_nm: mm(x), y_nm: mm(y) };
    let crack = CrackId(Uuid::from_u128(1 << 70));
    let (from, to) = (at(40.0, 0.0), at(40.0, 20.0));
    studio.record(CrackFound { shelf: cracked, crack, from, to, ring: Ring::Rings, note: String::new() });
    let held = graded(&mut studio, "F02", kiln, Use::General);
    studio.record(PieceHeld { piece: Piece::Shelf(held), reason: HoldReason::Wet, note: String::new() });
    studio.shelf_of("F03", kiln, Material::ClayBondedSic);
    let worn = graded(&mut studio, "F04", kiln, Use::General);
    for _ in 0..90 {
        studio.fire(kiln, &[Piece::Shelf(worn)]);
    }
    graded(&mut studio, "F05", kiln, Use::General);
    graded(&mut studio, "F06", kiln, Use::General);
    let asked = wanted(kiln, vec![layer(Use::General, 90.0); 4]);
    let found = proposed(&studio, &asked);
    let from_the_floor = shelves(&studio, &found);
    assert!(
        from_the_floor[..2] == ["F05", "F06"] || from_the_floor[..2] == ["F06", "F05"],
        "{from_the_floor:?}"
    );
    assert!(from_the_floor[2..].contains(&"F01".to_owned()), "{from_the_floor:?}");
    let why: Vec<&str> = found.left_out.iter().map(|(_, why)| why.as_str()).collect();
    assert_eq!(why, ["on hold, wet", "silicon carbide conducts electricity: never in an electric kiln"]);
    // With whole ones enough, the cracked one stays out.
    graded(&mut studio, "F07", kiln, Use::General);
    assert!(!shelves(&studio, &proposed(&studio, &asked)).contains(&"F01".to_owned()));
}

#[test]
fn what_does_not_fit_is_said_and_the_rest_is_filled() {
    // Four layers of 150 + 19 mm and wash are 677.2 mm; with 90 mm of ware and 25 mm to the roof, 792.2.
    for (height, over) in [(793.0, None), (790.0, Some("left: too high for the kiln by 2.2 mm"))] {
        let (mut studio, kiln) = studio_for(4, Fuel::Gas, height);
        for code in ["F01", "F02", "F03", "F04"] {
            graded(&mut studio, code, kiln, Use::General);
        }
        let found = proposed(&studio, &wanted(kiln, vec![layer(Use::General, 90.0); 4]));
        let said = found.said.join(" / ");
        match over {
            Some(over) => assert!(said.contains(over), "{said}"),
            None => assert!(!said.contains("too high"), "{said}"),
        }
        assert_eq!(found.stacks[0].layers.len(), 4);
    }
    let (mut studio, kiln) = studio_for(2, Fuel::Gas, 900.0);
    graded(&mut studio, "F01", kiln, Use::General);
    let found =
        proposed(&studio, &wanted(kiln, vec![layer(Use::General, 148.0), layer(Use::General, 148.0)]));
    let said = found.said.join(" / ");
    assert!(said.contains("left, layer 1: its tallest piece needs 4 mm more"), "{said}");
    assert!(said.contains("left, layer 2: no shelf is left that may lie there"), "{said}");
}

#[test]
fn the_order_of_the_candidates_changes_nothing() {
    let (mut studio, kiln) = studio_for(3, Fuel::Gas, 900.0);
    let ids: Vec<ShelfId> = ["F01", "F02", "F03", "F04"]
        .iter()
        .map(|code| graded(&mut studio, code, kiln, Use::General))
        .collect();
    let narrow = Outline::Rectangle { length_nm: mm(500.0), width_nm: mm(300.0) };
    let small = studio.shelf_like("F05", kiln, Material::Cordierite, narrow);
    let mut asked = wanted(kiln, vec![layer(Use::General, 90.0); 3]);
    asked.shelves = ids.iter().copied().chain([small]).collect();
    let one = proposed(&studio, &asked);
    asked.shelves.reverse();
    assert_eq!(one, proposed(&studio, &asked));
    assert!(!shelves(&studio, &one).contains(&"F05".to_owned()), "two sizes in one stack");
}
