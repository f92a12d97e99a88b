//! What opens a job, and what closes it.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]
use super::*;
use crate::event::values::{
    Face, Flaw, GrindMethod, HoldReason, Mask, Material, RetireReason, Ring, Typed, Use,
};
use crate::event::*;
use crate::ids::{CrackId, ShelfId};
use crate::outline::Spot;
use crate::testing::Studio;
use crate::units::Length;
use uuid::Uuid;

/// A shelf that nothing is open on: graded by eye.
fn graded() -> (Studio, ShelfId) {
    let (mut studio, kiln) = Studio::with_kiln();
    let shelf = studio.shelf("F01", kiln);
    studio.record(ShelfGraded { shelf, fit_for: Use::General });
    (studio, shelf)
}

fn open(studio: &Studio, on: Subject) -> Vec<Job> {
    of(&studio.world(), on).iter().map(|open| open.job).collect()
}

fn see(studio: &mut Studio, piece: Piece, flaw: Flaw) -> crate::ids::EventId {
    studio.record(FindingNoted { piece, flaw, firing: None, note: String::new() })
}

fn crack(shelf: ShelfId, ring: Ring) -> Body {
    let spot = |x, y| Spot { x_nm: Length::from_mm(x), y_nm: Length::from_mm(y) };
    let crack = CrackId(Uuid::from_u128(9));
    CrackFound { shelf, crack, from: spot(300.0, 0.0), to: spot(300.0, 40.0), ring, note: String::new() }
        .into()
}

fn ground(shelf: ShelfId) -> Body {
    let (method, mask) = (GrindMethod::Dry, Mask::Fitted);
    ShelfGround { shelf, face: Face::A, removed_nm: None, minutes: None, method, mask }.into()
}

fn washed(shelf: ShelfId) -> Body {
    ShelfWashed { shelf, face: Face::A, recipe: "halves".to_owned(), coats: 2 }.into()
}

/// An entry on a shelf, and what is left open after it.
type Then = (fn(ShelfId) -> Body, &'static [Job]);

/// What a finding on a fresh shelf opens, and what is left after each of these entries in turn.
fn check(flaw: Flaw, opened: &[Job], then: &[Then]) {
    let (mut studio, shelf) = graded();
    let on = Subject::Shelf(shelf);
    assert_eq!(open(&studio, on), [], "before {flaw:?}");
    see(&mut studio, Piece::Shelf(shelf), flaw);
    assert_eq!(open(&studio, on), opened, "{flaw:?}");
    for (body, left) in then {
        let body = body(shelf);
        let kind = body.kind();
        studio.record(body);
        assert_eq!(open(&studio, on), *left, "{flaw:?} then {kind}");
    }
}

fn rings(shelf: ShelfId) -> Body {
    ShelfTapped { shelf, ring: Ring::Rings }.into()
}

fn released(shelf: ShelfId) -> Body {
    PieceReleased { piece: Piece::Shelf(shelf), because: "24 h at 95 C".to_owned() }.into()
}

#[test]
fn each_finding_opens_its_jobs_and_an_entry_of_the_right_kind_closes_each() {
    check(Flaw::Drip, &[Job::Chisel], &[(rings, &[Job::Chisel]), (ground, &[])]);
    check(Flaw::StuckPot, &[Job::Tap, Job::Chisel], &[(rings, &[Job::Chisel])]);
    check(Flaw::Plucked, &[Job::Grind], &[(rings, &[Job::Grind])]);
    check(Flaw::Flaking, &[Job::Strip], &[(rings, &[Job::Strip]), (washed, &[])]);
    check(Flaw::NewCrack, &[Job::Draw, Job::Tap], &[(|shelf| crack(shelf, Ring::Rings), &[])]);
    check(
        Flaw::NewCrack,
        &[Job::Draw, Job::Tap],
        &[(|shelf| crack(shelf, Ring::NotTapped), &[Job::Tap]), (rings, &[Job::Tap])],
    );
    check(Flaw::DullRing, &[Job::Tap], &[(rings, &[])]);
    check(Flaw::Sag, &[Job::Read, Job::Flip], &[]);
    check(Flaw::Chipped, &[Job::Grind], &[]);
    check(Flaw::Wet, &[Job::DryOut], &[(ground, &[Job::DryOut]), (released, &[])]);
}

#[test]
fn what_plucks_washed_shelves_is_mended_with_wash() {
    let (mut studio, shelf) = graded();
    studio.record(washed(shelf));
    see(&mut studio, Piece::Shelf(shelf), Flaw::Plucked);
    see(&mut studio, Piece::Shelf(shelf), Flaw::Sag);
    // The wash goes down when it is turned over, so it is not.
    assert_eq!(open(&studio, Subject::Shelf(shelf)), [Job::Read, Job::Wash]);
}

#[test]
fn taking_an_entry_back_opens_and_closes_jobs_too() {
    let (mut studio, shelf) = graded();
    let on = Subject::Shelf(shelf);
    let seen = see(&mut studio, Piece::Shelf(shelf), Flaw::Flaking);
    let done = studio.record(washed(shelf));
    assert_eq!(open(&studio, on), []);
    studio.record(EventsWithdrawn { events: vec![done], reason: String::new() });
    assert_eq!(open(&studio, on), [Job::Strip]);
    studio.record(EventsWithdrawn { events: vec![seen], reason: String::new() });
    assert_eq!(open(&studio, on), []);
}

#[test]
fn a_retired_piece_has_no_jobs_and_keeps_none_when_it_comes_back() {
    let (mut studio, shelf) = graded();
    let (piece, on) = (Piece::Shelf(shelf), Subject::Shelf(shelf));
    see(&mut studio, piece, Flaw::Chipped);
    studio.record(PieceRetired { piece, reason: RetireReason::CutDown, note: String::new() });
    assert_eq!(open(&studio, on), []);
    studio.record(PieceReturned { piece, because: "cut down".to_owned() });
    assert_eq!(open(&studio, on), []);
}

#[test]
fn a_hold_calls_for_what_ends_it() {
    let (mut studio, shelf) = graded();
    let (piece, on) = (Piece::Shelf(shelf), Subject::Shelf(shelf));
    studio.record(PieceHeld { piece, reason: HoldReason::Drip, note: String::new() });
    assert_eq!(open(&studio, on), [Job::Chisel]);
    studio.record(ground(shelf));
    studio.record(ShelfGraded { shelf, fit_for: Use::General });
    assert_eq!(open(&studio, on), [Job::Release]);
    studio.record(released(shelf));
    assert_eq!(open(&studio, on), []);
}

#[test]
fn wet_grinding_of_silicon_carbide_opens_drying_out() {
    let (mut studio, kiln) = Studio::with_kiln();
    let shelf = studio.shelf_of("F01", kiln, Material::DenseThinSic);
    let (method, mask) = (GrindMethod::Wet, Mask::Fitted);
    studio.record(ShelfGround { shelf, face: Face::A, removed_nm: None, minutes: None, method, mask });
    studio.record(ShelfGraded { shelf, fit_for: Use::General });
    let jobs = of(&studio.world(), Subject::Shelf(shelf));
    assert_eq!(jobs.iter().map(|open| open.job).collect::<Vec<_>>(), [Job::DryOut]);
    assert_eq!(jobs[0].shape, Shape::Stop);
    assert!(jobs[0].reasons[0].contains("ground wet"), "{jobs:?}");
}

#[test]
fn posts_are_measured_dressed_and_set_aside() {
    let (mut studio, kiln) = Studio::with_kiln();
    let post = studio.post("P01", 150.0, kiln);
    let (piece, on) = (Piece::Post(post), Subject::Post(post));
    assert_eq!(open(&studio, on), [Job::Measure]);
    studio.height(post, 150.0);
    assert_eq!(open(&studio, on), []);
    see(&mut studio, piece, Flaw::DirtyEnd);
    see(&mut studio, piece, Flaw::LeanedLeft);
    assert_eq!(open(&studio, on), [Job::Dress, Job::Measure, Job::Level]);
    let (method, mask) = (GrindMethod::Wet, Mask::Fitted);
    studio.record(PostDressed { post, removed_nm: None, minutes: None, method, mask });
    assert_eq!(open(&studio, on), [Job::Measure, Job::Level]);
    let height = Typed { nm: Length::from_mm(149.8), text: "149.8".to_owned() };
    let instrument = crate::event::values::Instrument::Caliper;
    studio.record(PostMeasured { post, height, instrument, out_of_square: None });
    studio.record(NoteAdded { piece, text: "floor level".to_owned() });
    assert_eq!(open(&studio, on), []);
    // 2.4 mm short of 150 mm is over the 1 %.
    studio.height(post, 147.6);
    assert_eq!(open(&studio, on), [Job::CutDown]);
}

#[test]
fn a_set_whose_posts_do_not_go_together_is_matched_again() {
    let (mut studio, kiln) = Studio::with_kiln();
    let posts: Vec<PostId> = ["P01", "P02", "P03"].map(|code| studio.post(code, 150.0, kiln)).to_vec();
    posts.iter().for_each(|post| {
        studio.height(*post, 150.0);
    });
    let set = SetId(Uuid::from_u128(77));
    let code = crate::code::Code::read("K01").unwrap();
    studio.record(SetMade { set, code, posts: posts.clone(), shelf: None, inset_nm: Length::from_mm(40.0) });
    assert_eq!(open(&studio, Subject::Set(set)), []);
    studio.height(posts[1], 147.0);
    let jobs = all(&studio.world());
    let said: Vec<String> =
        jobs.iter().map(|open| format!("{} {}", code_of(&studio, open.on), open.job.said())).collect();
    assert_eq!(said, ["K01 match again", "P02 cut down or retire"]);
}

fn code_of(studio: &Studio, on: Subject) -> String {
    super::code(&studio.world(), on)
}

#[test]
fn reasons_of_one_job_stand_together() {
    let (mut studio, shelf) = graded();
    let piece = Piece::Shelf(shelf);
    let noted = |flaw, note: &str| FindingNoted { piece, flaw, firing: None, note: note.to_owned() };
    studio.record(noted(Flaw::Chipped, "front left"));
    studio.record(noted(Flaw::Plucked, ""));
    let jobs = of(&studio.world(), Subject::Shelf(shelf));
    assert_eq!(jobs.len(), 1);
    assert_eq!(jobs[0].reasons, ["chipped edge seen (front left)", "plucked seen"]);
    assert!(jobs[0].since.is_some());
}
