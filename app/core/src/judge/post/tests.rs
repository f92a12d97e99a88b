//! Posts made and measured by events, and what is found of them.
use super::*;
use crate::event::values::{GrindMethod, HoldReason, Instrument, Mask, Piece, RetireReason, Typed, Ware};
use crate::event::{KilnFired, PieceHeld, PieceRetired, PostDressed, PostMeasured};
use crate::ids::{FiringId, PostId};
use crate::testing::{Studio, TODAY};

fn found(studio: &Studio, post: PostId) -> PostJudgement {
    let world = studio.world();
    world.posts.get(&post).map_or_else(|| panic!("no post"), |post| judge(&world, post))
}

fn shapes(judged: &PostJudgement) -> Vec<(Shape, &str)> {
    judged.findings.iter().map(|finding| (finding.shape, finding.said.as_str())).collect()
}

/// A post of 150 mm, 38 mm wide, read so; what is said of its height.
fn check_height(mm: f64, instrument: Instrument, shape: Shape, said: &str) {
    let (mut studio, kiln) = Studio::with_kiln();
    let post = studio.post("P01", 150.0, kiln);
    let height = Typed { nm: Length::from_mm(mm), text: mm.to_string() };
    studio.record(PostMeasured { post, height, instrument, out_of_square: None });
    let judged = found(&studio, post);
    assert!(shapes(&judged).contains(&(shape, said)), "{:?}", judged.findings);
}

#[test]
fn short_of_nominal_by_the_lesser_of_length_and_share() {
    // 1 % of 150 mm is 1.5 mm, less than 2 mm; guard band 1.645 * 0.03 = 0.049 mm.
    check_height(149.0, Instrument::Caliper, Shape::Plain, "1 mm short of nominal");
    check_height(150.4, Instrument::Caliper, Shape::Plain, "0.4 mm over nominal");
    check_height(150.0, Instrument::Caliper, Shape::Plain, "just its nominal height");
    check_height(148.56, Instrument::Caliper, Shape::Plain, "1.44 mm short of nominal");
    let undecided = "undecided: 1.47 mm short of nominal is too near 1.5 mm to tell";
    check_height(148.53, Instrument::Caliper, Shape::Unknown, undecided);
    check_height(148.44, Instrument::Caliper, Shape::Look, "1.56 mm short of nominal");
    let by_tape = "undecided: 1.5 mm short of nominal is too near 1.5 mm to tell";
    check_height(148.5, Instrument::Tape, Shape::Unknown, by_tape);
}

#[test]
fn a_tall_post_is_short_by_length_not_by_share() {
    let (mut studio, kiln) = Studio::with_kiln();
    let post = studio.post("P01", 300.0, kiln);
    studio.height(post, 297.9);
    let judged = found(&studio, post);
    // 1 % would be 3 mm; and 297.9 on 38 is 7.8 times.
    assert_eq!(
        shapes(&judged),
        [(Shape::Look, "2.1 mm short of nominal"), (Shape::Look, "7.8 times as high as wide")]
    );
    assert!(
        judged.findings[0].rests_on.contains("from memory, unchecked"),
        "{}",
        judged.findings[0].rests_on
    );
}

#[test]
fn slender_posts_are_looked_at_and_then_stopped() {
    for (nominal, shape) in
        [(228.0, Shape::Plain), (229.0, Shape::Look), (304.0, Shape::Look), (305.0, Shape::Stop)]
    {
        let (mut studio, kiln) = Studio::with_kiln();
        let post = studio.post("P01", nominal, kiln);
        let judged = found(&studio, post);
        let slender = judged.findings.iter().find(|finding| finding.said.contains("times as high"));
        assert_eq!(slender.map(|finding| finding.shape), Some(shape), "{nominal}");
    }
}

#[test]
fn an_end_out_of_square_leans_the_post() {
    let (mut studio, kiln) = Studio::with_kiln();
    let post = studio.post("P01", 150.0, kiln);
    let typed = |mm: f64| Typed { nm: Length::from_mm(mm), text: mm.to_string() };
    let read = |out: f64| PostMeasured {
        post,
        height: typed(150.0),
        instrument: Instrument::Caliper,
        out_of_square: Some(typed(out)),
    };
    studio.record(read(1.6));
    // The trade's own figure: 1.6 mm across 38 mm leans it 2.4 degrees.
    let said = "end out of square by 1.6 mm across 38 mm: leans 2.4\u{b0}";
    assert_eq!(shapes(&found(&studio, post))[0], (Shape::Look, said));
    studio.record(read(0.76));
    assert_eq!(found(&studio, post).findings[0].shape, Shape::Unknown);
    studio.record(read(0.3));
    assert_eq!(found(&studio, post).mark, Mark::new(Shape::Plain, "fits"));
}

#[test]
fn never_measured_dressed_since_or_not_for_long() {
    let (mut studio, kiln) = Studio::with_kiln();
    let post = studio.post("P01", 150.0, kiln);
    assert_eq!(shapes(&found(&studio, post))[0], (Shape::Unknown, "never measured"));
    studio.height(post, 149.8);
    let fire = |n: u128| KilnFired {
        firing: FiringId(uuid::Uuid::from_u128(n + (1 << 80))),
        kiln,
        ware: Ware::Glaze,
        cone: "10".to_owned().try_into().unwrap_or_else(|_| panic!("no cone")),
        fired_on: TODAY,
        pieces: vec![Piece::Post(post)],
        note: String::new(),
        plan: None,
    };
    (0..39).for_each(|n| {
        studio.record(fire(n));
    });
    assert_eq!(found(&studio, post).mark.shape, Shape::Plain);
    studio.record(fire(39));
    assert_eq!(shapes(&found(&studio, post))[0], (Shape::Look, "not measured for 40 firings"));
    let (method, mask) = (GrindMethod::Wet, Mask::Fitted);
    studio.record(PostDressed { post, removed_nm: None, minutes: Some(5), method, mask });
    assert_eq!(shapes(&found(&studio, post))[0], (Shape::Unknown, "dressed since it was last measured"));
}

#[test]
fn held_and_retired_posts_say_why() {
    let (mut studio, kiln) = Studio::with_kiln();
    let post = studio.post("P01", 150.0, kiln);
    studio.height(post, 149.8);
    let piece = Piece::Post(post);
    studio.record(PieceHeld { piece, reason: HoldReason::Other, note: "chipped foot".to_owned() });
    let judged = found(&studio, post);
    assert_eq!(judged.mark, Mark::new(Shape::Stop, "hold"));
    assert_eq!(judged.findings[0].said, "on hold since 2026-03-15: another reason (chipped foot)");
    studio.record(PieceRetired { piece, reason: RetireReason::Broken, note: "fell".to_owned() });
    let judged = found(&studio, post);
    assert_eq!(judged.mark, Mark::new(Shape::Gone, "retired"));
    assert_eq!(judged.findings[0].said, "retired on 2026-03-15: broken (fell)");
}
