//! A reading far off the last one of the same place is asked about, never refused.
use crate::event::ShelfGround;
use crate::event::values::{Face, GrindMethod, Mask};
use crate::ids::ShelfId;
use crate::testing::{Studio, said};

const QUICK: [(&str, &str); 5] =
    [("do", "record"), ("face", "a"), ("edge", "straight"), ("instrument", "feeler"), ("bare", "yes")];

/// A shelf whose front-left diagonal was read as 0.7 mm.
fn read_once() -> (Studio, ShelfId) {
    let (mut studio, kiln) = Studio::with_kiln();
    let shelf = studio.shelf("F01", kiln);
    studio.shelf("F02", kiln);
    let read = studio.submit("/shelf/F01/measure", &with(&[("diagonal_up_500", "0.7")]));
    studio.take(read.unwrap_or_else(|p| panic!("{p:?}")));
    (studio, shelf)
}

fn with(more: &[(&'static str, &'static str)]) -> Vec<(&'static str, &'static str)> {
    let own = |name: &str| more.iter().all(|(other, _)| *other != name);
    QUICK.into_iter().filter(|(name, _)| own(name)).chain(more.iter().copied()).collect()
}

/// What is said of a reading typed at `address`: nothing where it is taken.
fn check(studio: &mut Studio, address: &str, more: &[(&'static str, &'static str)], expected: &[&str]) {
    let found = studio.submit(address, &with(more)).map_or_else(|problems| said(&problems), |_| Vec::new());
    assert_eq!(found, expected, "{address} {more:?}");
}

const ASKED: &str = "?diagonal_up_500: a dish of 2.6 mm is 1.9 mm off the last reading there (a dish of 0.7 mm on \
                     2026-03-15); read it again, or tick the box if it is right";

#[test]
fn an_outlier_is_asked_about_and_taken_when_confirmed() {
    let (mut studio, _) = read_once();
    let quick = "/shelf/F01/measure";
    check(&mut studio, quick, &[("diagonal_up_500", "2.6")], &[ASKED]);
    check(&mut studio, quick, &[("diagonal_up_500", "2.6"), ("confirm_diagonal_up_500", "2.6")], &[]);
    check(&mut studio, quick, &[("diagonal_up_500", "1.7")], &[]);
    check(&mut studio, "/shelf/F01/measure?how=full", &[("diagonal_up_500", "2.6")], &[ASKED]);
    let hump = "?diagonal_up_500: a hump of 0.8 mm is 1.5 mm off the last reading there (a dish of 0.7 mm on \
                2026-03-15); read it again, or tick the box if it is right";
    check(&mut studio, quick, &[("diagonal_up_500", "0.8"), ("diagonal_up_bend", "hump")], &[hump]);
    // On spacers the same dip is typed as another feeler.
    let spacers = [("edge", "spacers"), ("spacer", "3"), ("diagonal_up_500", "5.6")];
    check(&mut studio, quick, &spacers, &[ASKED]);
}

#[test]
fn what_is_not_the_same_place_in_the_same_state_is_not_compared() {
    let (mut studio, shelf) = read_once();
    let quick = "/shelf/F01/measure";
    check(&mut studio, quick, &[("diagonal_down_500", "2.6")], &[]);
    check(&mut studio, quick, &[("diagonal_up_500", "2.6"), ("face", "b")], &[]);
    check(&mut studio, quick, &[("diagonal_up_500", "2.6"), ("bare", "no")], &[]);
    let against = [("diagonal_up_500", "2.6"), ("other", "F02")];
    check(&mut studio, "/shelf/F01/measure?how=against", &against, &[]);
    let (face, method, mask) = (Face::A, GrindMethod::Dry, Mask::NotNoted);
    studio.record(ShelfGround { shelf, face, removed_nm: None, minutes: None, method, mask });
    check(&mut studio, quick, &[("diagonal_up_500", "2.6")], &[]);
}

#[test]
fn a_reading_that_is_corrected_is_not_compared_with_itself() {
    let (mut studio, _) = read_once();
    let reading = studio.world().log.iter().rev().map(|entry| entry.event.id).next();
    let address = reading.map(|id| format!("/shelf/F01/measure?corrects={id}")).unwrap_or_default();
    check(&mut studio, &address, &[("diagonal_up_500", "2.6")], &[]);
}
