//! Verdicts by the numbers, and sets made and measured by events.
use super::*;
use crate::code::Code;
use crate::event::values::Instrument;
use crate::event::values::{GrindMethod, HoldReason, Mask, Piece, RetireReason, Typed};
use crate::event::{PieceHeld, PieceRetired, PostDressed, PostMeasured, SetMade, SetParted};
use crate::ids::KilnId;
use crate::settings::Settings;
use crate::testing::Studio;

const CALIPER_NM: i64 = 30_000;
const TAPE_NM: i64 = 300_000;

fn mm(value: f64) -> Length {
    Length::from_mm(value)
}

fn shelf() -> Outline {
    Outline::Rectangle { length_nm: mm(600.0), width_nm: mm(300.0) }
}

fn posts(heights: &[f64], u_nm: i64) -> Vec<SetPost> {
    let instrument = if u_nm == TAPE_NM { Instrument::Tape } else { Instrument::Caliper };
    let post = |(at, height): (usize, &f64)| SetPost {
        code: format!("P{:02}", at + 1),
        height: Some(mm(*height)),
        u: Length(u_nm),
        instrument: Some(instrument),
        on: "2026-03-15".to_owned(),
        dressed: false,
        barred: String::new(),
    };
    heights.iter().enumerate().map(post).collect()
}

fn judged(heights: &[f64], u_nm: i64) -> SetJudgement {
    let limits = Limits::of(&Settings::default());
    judge_heights(&limits, &posts(heights, u_nm), Some(&shelf()), mm(40.0))
}

fn check(heights: &[f64], verdict: Verdict, said: &str) {
    let found = judged(heights, CALIPER_NM);
    assert_eq!((found.verdict, found.said.as_str()), (verdict, said), "{heights:?}");
}

#[test]
fn three_posts_by_the_caliper() {
    // Guard band 1.96 * sqrt 2 * 0.03 = 0.083 mm around 0.5, 1 and 2 mm.
    check(&[150.0, 150.0, 150.0], Verdict::Good, "matched: 0 mm apart");
    check(&[150.0, 150.41, 150.2], Verdict::Good, "matched: 0.41 mm apart");
    check(&[150.0, 150.43, 150.2], Verdict::Accepted, "matched, accepted: 0.43 mm apart");
    check(&[150.0, 150.91, 150.2], Verdict::Accepted, "matched, accepted: 0.91 mm apart");
    check(&[150.0, 150.93, 150.2], Verdict::Undecided, "undecided: 0.93 mm apart is too near 1 mm to tell");
    check(&[150.0, 151.07, 150.2], Verdict::Undecided, "undecided: 1.07 mm apart is too near 1 mm to tell");
    check(&[150.0, 152.0, 151.9], Verdict::Undecided, "undecided: 2 mm apart is too near 2 mm to tell");
    check(&[150.0, 152.1, 151.9], Verdict::NotTogether, "not together: 2.1 mm apart");
    // The pair is low: a shim on one of the two cannot mend the third.
    check(&[150.0, 151.5, 150.1], Verdict::NotTogether, "not together: 1.5 mm apart");
    check(&[150.0, 151.95, 150.9], Verdict::Undecided, "undecided: 1.95 mm apart is too near 2 mm to tell");
    check(
        &[150.0, 151.9, 150.9],
        Verdict::Undecided,
        "undecided: the two higher 1 mm apart is too near 1 mm to tell",
    );
}

#[test]
fn a_tape_cannot_decide_what_a_caliper_can() {
    assert_eq!(judged(&[150.0, 150.9, 150.5], CALIPER_NM).verdict, Verdict::Accepted);
    let by_tape = judged(&[150.0, 150.9, 150.5], TAPE_NM);
    assert_eq!(
        (by_tape.verdict, by_tape.fix.as_str()),
        (Verdict::Undecided, "measure again with the caliper")
    );
    assert!(by_tape.rests_on.contains("guard band 0.83 mm"), "{}", by_tape.rests_on);
    assert!(by_tape.rests_on.contains("(tape or rule)"), "{}", by_tape.rests_on);
}

#[test]
fn the_shim_goes_on_the_short_post_and_leaves_the_least_tilt() {
    // The short post stands alone at the right end: level needs the mean of the pair.
    let found = judged(&[150.0, 150.2, 148.8], CALIPER_NM);
    let shim = found.shim.as_ref().map(|shim| (shim.post.as_str(), shim.amount, shim.spread_after));
    assert_eq!(shim, Some(("P03", mm(1.3), mm(0.2))));
    assert_eq!(found.verdict, Verdict::Shim);
    let (before, after) =
        (found.tilt.map(|tilt| tilt.tilt_deg), found.shim.and_then(|shim| shim.tilt_after_deg));
    assert!(after < before && after.is_some(), "{before:?} {after:?}");
    // On one of the pair, level with the other two in the direction square to the line that joins them.
    let found = judged(&[148.8, 150.0, 150.0], CALIPER_NM);
    assert_eq!(found.shim.map(|shim| (shim.post, shim.amount)), Some(("P01".to_owned(), mm(1.2))));
}

#[test]
fn without_a_shelf_there_is_a_verdict_and_no_tilt() {
    let limits = Limits::of(&Settings::default());
    let found = judge_heights(&limits, &posts(&[150.0, 150.2, 148.8], CALIPER_NM), None, mm(40.0));
    assert_eq!(found.shim.map(|shim| (shim.amount, shim.tilt_after_deg)), Some((mm(1.3), None)));
    assert_eq!((found.tilt, found.spots.len()), (None, 0));
}

#[test]
fn four_posts_by_the_caliper() {
    // The gap of a rectangle is h1 - h2 + h3 - h4; its guard band 1.645 * 2 * 0.03 = 0.099 mm around 0.3.
    check(&[150.0, 150.0, 150.1, 150.0], Verdict::Good, "matched: rocking gap 0.1 mm, 0.1 mm apart");
    check(
        &[150.0, 150.7, 150.7, 150.1],
        Verdict::Accepted,
        "matched, accepted: rocking gap 0.1 mm, 0.7 mm apart",
    );
    check(
        &[150.0, 150.0, 150.25, 150.0],
        Verdict::Undecided,
        "undecided: a rocking gap of 0.25 mm is too near 0.3 mm to tell",
    );
    check(
        &[150.0, 151.5, 151.5, 150.0],
        Verdict::NotTogether,
        "not together: rocking gap 0 mm, 1.5 mm apart",
    );
    let rocks = judged(&[150.0, 150.1, 150.0, 149.2], CALIPER_NM);
    assert_eq!(rocks.verdict, Verdict::Shim);
    // The first and third are the high diagonal by 0.7 mm; the fourth is the shorter of the other two.
    assert_eq!(rocks.gap, Some(mm(0.7)));
    assert_eq!(rocks.carries_nothing, ["P02", "P04"]);
    assert_eq!(rocks.shim.map(|shim| (shim.post, shim.amount)), Some(("P04".to_owned(), mm(0.7))));
    assert_eq!(judged(&[150.0, 150.0, 150.0, 147.5], CALIPER_NM).verdict, Verdict::NotTogether);
}

#[test]
fn what_is_missing_is_asked_for_before_anything_else() {
    let limits = Limits::of(&Settings::default());
    let mut three = posts(&[150.0, 150.2, 150.1], CALIPER_NM);
    three[1].height = None;
    let found = judge_heights(&limits, &three, None, mm(40.0));
    assert_eq!((found.verdict, found.said.as_str()), (Verdict::Measure, "measure P02 first"));
    assert_eq!(found.spread, None);
    let two = judge_heights(&limits, &three[..2], None, mm(40.0));
    assert_eq!(two.verdict, Verdict::Incomplete);
}

#[test]
fn posts_that_cannot_stand_so_near_the_edge_are_looked_at() {
    let limits = Limits::of(&Settings::default());
    let inset = |mm_in: f64| {
        let found = judge_heights(&limits, &posts(&[150.0; 3], CALIPER_NM), Some(&shelf()), mm(mm_in));
        found
            .findings
            .into_iter()
            .filter(|finding| finding.shape == Shape::Look)
            .map(|finding| finding.said)
            .collect::<Vec<String>>()
    };
    assert_eq!(inset(40.0), Vec::<String>::new());
    assert_eq!(inset(15.0), ["inset 15 mm is near the edge"]);
    assert_eq!(inset(120.0), ["inset 120 mm is deep, so that corners tip sooner"]);
}

/// A set K01 of posts of these heights, under the shelf F01.
fn set_of(studio: &mut Studio, kiln: KilnId, heights: &[f64]) -> Vec<PostId> {
    let shelf = studio.shelf("F01", kiln);
    let mut ids = Vec::new();
    for (at, height) in heights.iter().enumerate() {
        let post = studio.post(&format!("P{:02}", at + 1), 150.0, kiln);
        studio.height(post, *height);
        ids.push(post);
    }
    let code = Code::read("K01").unwrap_or_else(|cause| panic!("{cause}"));
    let set = SetId(uuid::Uuid::from_u128(1 << 90));
    studio.record(SetMade { set, code, posts: ids.clone(), shelf: Some(shelf), inset_nm: mm(40.0) });
    ids
}

fn only(studio: &Studio) -> SetJudgement {
    let mut all = judge_all(&studio.world());
    assert_eq!(all.len(), 1);
    all.remove(0).1
}

#[test]
fn a_set_that_drifted_says_so_with_the_readings_that_show_it() {
    let (mut studio, kiln) = Studio::with_kiln();
    let ids = set_of(&mut studio, kiln, &[149.9, 150.0, 149.8]);
    let before = only(&studio);
    assert_eq!((before.verdict, before.drift), (Verdict::Good, None));
    studio.later(90);
    studio.height(ids[0], 149.7);
    assert_eq!(only(&studio).drift, None);
    studio.height(ids[1], 149.9);
    studio.height(ids[2], 148.5);
    let after = only(&studio);
    assert_eq!(after.verdict, Verdict::Shim);
    let drift = after.drift.unwrap_or_else(|| panic!("no drift"));
    assert!(drift.certain);
    assert_eq!(drift.within_on, "2026-03-15");
    assert_eq!(
        drift.said,
        "drifted past 1 mm: 0.2 mm apart on 2026-03-15, 1.4 mm apart now; \
         P03 149.8 mm (2026-03-15) then, 148.5 mm (2026-06-13) now; \
         P01 149.9 mm (2026-03-15) then, 149.7 mm (2026-06-13) now; \
         P02 150 mm (2026-03-15) then, 149.9 mm (2026-06-13) now"
    );
    assert_eq!(after.mark, Mark::new(Shape::Look, "shim"));
    assert!(after.findings.iter().any(|finding| finding.said == drift.said && !finding.fix.is_empty()));
    // The posts of the set say it too.
    let world = studio.world();
    let post = world.posts.get(&ids[0]).map(|post| crate::judge::post::judge(&world, post));
    assert!(post.is_some_and(|post| post.findings[0].said.starts_with("its set K01: drifted past 1 mm")));
}

#[test]
fn a_set_measured_twice_on_one_day_has_drifted_too_and_one_made_so_has_not() {
    let (mut studio, kiln) = Studio::with_kiln();
    let ids = set_of(&mut studio, kiln, &[149.9, 150.0, 149.8]);
    studio.height(ids[1], 152.4);
    let found = only(&studio);
    assert_eq!(found.verdict, Verdict::NotTogether);
    let changed: Vec<String> =
        found.drift.into_iter().flat_map(|drift| drift.readings).map(|r| r.code).collect();
    assert_eq!(changed, ["P02"]);
    let (mut studio, kiln) = Studio::with_kiln();
    set_of(&mut studio, kiln, &[149.9, 152.4, 149.8]);
    assert_eq!(only(&studio).drift, None);
}

#[test]
fn a_reading_too_near_the_limit_only_may_have_drifted() {
    let (mut studio, kiln) = Studio::with_kiln();
    let ids = set_of(&mut studio, kiln, &[149.9, 150.0, 149.8]);
    studio.later(30);
    studio.height(ids[2], 148.95);
    let found = only(&studio);
    assert_eq!(found.verdict, Verdict::Undecided);
    assert_eq!(found.mark, Mark::new(Shape::Look, "drifted"));
    assert!(
        found
            .drift
            .is_some_and(|drift| !drift.certain && drift.said.starts_with("may have drifted past 1 mm"))
    );
}

#[test]
fn a_corrected_reading_takes_the_warning_back() {
    let (mut studio, kiln) = Studio::with_kiln();
    let ids = set_of(&mut studio, kiln, &[149.9, 150.0, 149.8]);
    studio.later(30);
    let wrong = studio.height(ids[2], 147.8);
    assert!(only(&studio).drift.is_some());
    let height = Typed { nm: mm(149.8), text: "149.8".to_owned() };
    studio.correct(
        wrong,
        PostMeasured { post: ids[2], height, instrument: Instrument::Caliper, out_of_square: None },
    );
    assert_eq!(only(&studio).drift, None);
}

#[test]
fn dressing_asks_for_a_new_height_and_then_says_what_it_did() {
    let (mut studio, kiln) = Studio::with_kiln();
    let ids = set_of(&mut studio, kiln, &[149.9, 150.0, 149.8]);
    studio.later(30);
    let (method, mask) = (GrindMethod::Wet, Mask::Fitted);
    studio.record(PostDressed { post: ids[0], removed_nm: Some(mm(1.5)), minutes: None, method, mask });
    let found = only(&studio);
    assert_eq!((found.verdict, found.drift), (Verdict::Measure, None));
    studio.height(ids[0], 148.4);
    let drift = only(&studio).drift;
    assert!(drift.is_some_and(|drift| drift.readings.iter().all(|reading| reading.dressed)));
}

#[test]
fn four_posts_drift_by_their_gap() {
    let (mut studio, kiln) = Studio::with_kiln();
    let ids = set_of(&mut studio, kiln, &[150.0, 150.0, 150.0, 150.0]);
    studio.later(30);
    studio.height(ids[3], 149.4);
    let found = only(&studio);
    assert_eq!(found.verdict, Verdict::Shim);
    let said = found.drift.map(|drift| drift.said).unwrap_or_default();
    assert!(
        said.starts_with("drifted past 0.3 mm: rocking gap 0 mm on 2026-03-15, rocking gap 0.6 mm now; P04"),
        "{said}"
    );
}

#[test]
fn a_retired_or_held_post_stops_its_set_and_a_parted_set_is_gone() {
    let (mut studio, kiln) = Studio::with_kiln();
    let ids = set_of(&mut studio, kiln, &[149.9, 150.0, 149.8]);
    let (piece, note) = (Piece::Post(ids[0]), String::new());
    studio.record(PieceHeld { piece, reason: HoldReason::Bench, note: note.clone() });
    let found = only(&studio);
    assert_eq!(
        (found.mark.shape, found.findings[0].said.as_str()),
        (Shape::Stop, "P01 is on hold, on the bench")
    );
    studio.record(PieceRetired { piece, reason: RetireReason::Short, note });
    assert_eq!(only(&studio).findings[0].said, "P01 is retired, too short");
    studio
        .record(SetParted { set: SetId(uuid::Uuid::from_u128(1 << 90)), reason: "P01 is short".to_owned() });
    let world = studio.world();
    let parted: Vec<SetJudgement> = world.sets.values().map(|set| judge(&world, set)).collect();
    assert_eq!(parted[0].verdict, Verdict::Parted);
    assert!(parted[0].said.contains("P01 is short"), "{}", parted[0].said);
}
