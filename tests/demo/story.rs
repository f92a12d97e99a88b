//! What happens besides firing: the bench after each firing, and the particular misfortunes that every
//! page of the demo has something true to show for.
use crate::diary::Device;
use crate::pieces::read_shelf;
use crate::studio::Studio;
use jiff::civil::{Date, date};
use tripoise_core::event::values::{
    Face, GrindMethod, HoldReason, Instrument, Mask, Material, Piece, RetireReason, Ring, Typed,
};
use tripoise_core::event::{
    CrackFound, EventsWithdrawn, NoteAdded, PieceHeld, PieceReleased, PieceRetired, PostDressed,
    PostMeasured, SettingChanged, ShelfFlipped, ShelfGround, ShelfTapped,
};
use tripoise_core::ids::CrackId;
use tripoise_core::outline::Spot;
use tripoise_core::settings::SettingKey;
use tripoise_core::units::Length;

/// The bench after a firing: some shelves are ground, now and then everything is read again.
pub fn after_firing(studio: &mut Studio, day: Date, n_fired: usize) {
    studio.diary.turn_to(day, 43);
    for idx in 0..studio.shelves.len() {
        if !studio.shelves[idx].out && studio.diary.chance.happens(0.012) {
            grind(studio, idx, GrindMethod::Dry);
            if studio.diary.chance.happens(0.6) {
                studio.wash(idx);
            }
        }
    }
    if n_fired.is_multiple_of(24) {
        read_again(studio);
    }
    if n_fired.is_multiple_of(45) {
        for idx in 0..studio.posts.len() {
            if !studio.posts[idx].out && idx % 29 != 28 {
                studio.measure_post(idx);
            }
        }
    }
    particular(studio, n_fired);
}

fn read_again(studio: &mut Studio) {
    for idx in 0..studio.shelves.len() {
        if !studio.shelves[idx].out {
            let full = idx % 4 == 1;
            let reading = read_shelf(&studio.shelves[idx], full, &mut studio.diary.chance);
            studio.diary.write(Device::BenchPhone, reading);
        }
    }
}

/// Grinds the face that is up: takes a little of the dish away.
fn grind(studio: &mut Studio, idx: usize, method: GrindMethod) {
    let minutes = u32::try_from(4 + studio.diary.chance.bits() % 15).unwrap_or(8);
    let shelf = &mut studio.shelves[idx];
    shelf.dish_mm *= 0.9;
    let mask = if minutes % 7 == 0 { Mask::Disposable } else { Mask::Fitted };
    let removed_nm = Some(Length::from_um(50 + 10 * i64::from(minutes)));
    let body =
        ShelfGround { shelf: shelf.id, face: shelf.up, removed_nm, minutes: Some(minutes), method, mask };
    studio.diary.write(Device::BenchPhone, body);
}

fn spot(x_mm: f64, y_mm: f64) -> Spot {
    Spot { x_nm: Length::from_mm(x_mm), y_nm: Length::from_mm(y_mm) }
}

/// Each at its own firing, counted over both kilns.
fn particular(studio: &mut Studio, n_fired: usize) {
    match n_fired {
        30 => mistyped_post(studio, 4),
        40 => undone_grinding(studio, 16),
        52 => flip(studio, 15),
        60 => crack(studio, 16, 1, [spot(410.0, 0.0), spot(402.0, 46.0)], Ring::Rings, "hairline"),
        75 => retire(
            studio,
            5,
            RetireReason::Cracked,
            "two cracks facing each other, dull; cut into tiles for cones",
        ),
        90 => change_setting(studio),
        110 => hold_and_release(studio, 36),
        130 => {
            crack(studio, 16, 1, [spot(410.0, 0.0), spot(398.0, 82.0)], Ring::Rings, "longer since spring")
        }
        140 => retire(studio, 18, RetireReason::Warped, "6.9 mm dish after cone 10; rocked on every set"),
        // One post of a set stands nearest the burner and wears faster from now on.
        95 => hot_corner(studio),
        150 => note(studio, 30, "corner chipped by the trolley, 8 mm, does not touch ware"),
        _ => {}
    }
}

fn mistyped_post(studio: &mut Studio, idx: usize) {
    let post = studio.posts[idx].id;
    let wrong = PostMeasured {
        post,
        height: Typed { nm: Length::from_mm(109.94), text: "109.94".to_owned() },
        instrument: Instrument::Caliper,
        out_of_square: None,
    };
    let entry = studio.diary.write(Device::BenchPhone, wrong.clone());
    let right =
        PostMeasured { height: Typed { nm: Length::from_mm(99.94), text: "99.94".to_owned() }, ..wrong };
    studio.diary.write_over(Device::Tablet, right, Some(entry));
}

fn undone_grinding(studio: &mut Studio, idx: usize) {
    let shelf = &studio.shelves[idx];
    let body = ShelfGround {
        shelf: shelf.id,
        face: shelf.up,
        removed_nm: None,
        minutes: Some(10),
        method: GrindMethod::Dry,
        mask: Mask::Fitted,
    };
    let entry = studio.diary.write(Device::BenchPhone, body);
    let reason = "wrong shelf in the hand".to_owned();
    studio.diary.write(Device::BenchPhone, EventsWithdrawn { events: vec![entry], reason });
}

fn flip(studio: &mut Studio, idx: usize) {
    let shelf = &mut studio.shelves[idx];
    shelf.up = Face::B;
    shelf.dish_mm = -shelf.dish_mm * 0.9;
    let body = ShelfFlipped { shelf: shelf.id, up: Face::B };
    studio.diary.write(Device::BenchPhone, body);
    let reading = read_shelf(&studio.shelves[idx], true, &mut studio.diary.chance);
    studio.diary.write(Device::BenchPhone, reading);
}

fn crack(studio: &mut Studio, idx: usize, number: u8, ends: [Spot; 2], ring: Ring, note: &str) {
    let shelf = studio.shelves[idx].id;
    // The same crack keeps its id: made from the shelf's own, so that a later reading finds it.
    let mut bytes = *shelf.0.as_bytes();
    bytes[15] ^= number;
    let crack = CrackId(uuid::Uuid::from_bytes(bytes));
    let [from, to] = ends;
    studio
        .diary
        .write(Device::BenchPhone, CrackFound { shelf, crack, from, to, ring, note: note.to_owned() });
}

fn retire(studio: &mut Studio, idx: usize, reason: RetireReason, note: &str) {
    let shelf = &mut studio.shelves[idx];
    shelf.out = true;
    let piece = Piece::Shelf(shelf.id);
    studio.diary.write(Device::Tablet, PieceRetired { piece, reason, note: note.to_owned() });
}

fn change_setting(studio: &mut Studio) {
    let reason = "we fire half as often in the summer term".to_owned();
    let body = SettingChanged { key: SettingKey::RemeasureShelf, value: 20, text: "20".to_owned(), reason };
    studio.diary.write(Device::Tablet, body);
}

fn hold_and_release(studio: &mut Studio, idx: usize) {
    let piece = Piece::Shelf(studio.shelves[idx].id);
    let note = "glaze run along the back edge".to_owned();
    studio.diary.write(Device::BenchPhone, PieceHeld { piece, reason: HoldReason::Drip, note });
    grind(studio, idx, GrindMethod::Dry);
    let because = "run ground off, rings, washed".to_owned();
    studio.diary.write(Device::BenchPhone, PieceReleased { piece, because });
    studio.wash(idx);
}

fn hot_corner(studio: &mut Studio) {
    let heron = studio.heron;
    let of_heron = |studio: &Studio, id| studio.posts.iter().position(|p| p.id == id && p.kiln == heron);
    let found = studio.sets.iter().find_map(|(_, _, posts)| of_heron(studio, posts[0]));
    if let Some(idx) = found {
        studio.posts[idx].wear_per_firing_mm += 0.045;
    }
}

fn note(studio: &mut Studio, idx: usize, text: &str) {
    let piece = Piece::Shelf(studio.shelves[idx].id);
    studio.diary.write(Device::BenchPhone, NoteAdded { piece, text: text.to_owned() });
}

/// The weeks before today: the sets are measured again, one has drifted; one shelf is wet.
pub fn last_weeks(studio: &mut Studio) {
    studio.diary.turn_to(date(2026, 11, 19), 10);
    let heron = studio.heron;
    for idx in 0..studio.posts.len() {
        let set_of = studio.sets.iter().position(|(_, _, posts)| posts.contains(&studio.posts[idx].id));
        if studio.posts[idx].kiln == heron && set_of.is_some_and(|set| set % 2 == 0) {
            studio.measure_post(idx);
        }
    }
    worn_posts(studio);
    studio.diary.turn_to(date(2026, 11, 21), 11);
    tap_round(studio);
    let thin = studio.shelves.iter().position(|s| s.material == Material::DenseThinSic && s.code == "F33");
    if let Some(idx) = thin {
        grind(studio, idx, GrindMethod::Wet);
        studio.shelves[idx].held = true;
    }
    let dull = studio.shelves[27].id;
    studio.diary.write(Device::BenchPhone, ShelfTapped { shelf: dull, ring: Ring::Dull });
    // A second cordierite shelf of the gas kiln ends, at another age than the first: a law can be fitted.
    studio.diary.turn_to(date(2026, 11, 22), 16);
    retire(studio, 20, RetireReason::Broken, "slipped off the trolley after unloading; three pieces");
}

fn tap_round(studio: &mut Studio) {
    for idx in 14..22 {
        let shelf = &studio.shelves[idx];
        if !shelf.out {
            let body = ShelfTapped { shelf: shelf.id, ring: Ring::Rings };
            studio.diary.write(Device::BenchPhone, body);
        }
    }
}

/// One post was dressed and not measured since; one is retired, too short.
fn worn_posts(studio: &mut Studio) {
    let dressed = PostDressed {
        post: studio.posts[70].id,
        removed_nm: Some(Length::from_um(300)),
        minutes: Some(6),
        method: GrindMethod::Wet,
        mask: Mask::Fitted,
    };
    studio.diary.write(Device::BenchPhone, dressed);
    let post = &mut studio.posts[101];
    post.out = true;
    let (reason, note) =
        (RetireReason::Short, "2.4 mm short and out of square; kept for half shelves".to_owned());
    let piece = Piece::Post(post.id);
    studio.diary.write(Device::Tablet, PieceRetired { piece, reason, note });
}
