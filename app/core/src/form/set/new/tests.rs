//! Sets as they are ticked together.
use crate::event::{Body, SetMade};
use crate::judge::post_set;
use crate::testing::{Studio, said};

/// Shelf F01; P01 to P05 of 150 mm with these heights; K01 of P04, P05 and P06.
fn studio() -> Studio {
    let (mut studio, kiln) = Studio::with_kiln();
    studio.shelf("F01", kiln);
    for (code, height) in
        [("P01", 150.0), ("P02", 151.0), ("P03", 150.1), ("P04", 149.0), ("P05", 149.1), ("P06", 149.2)]
    {
        let post = studio.post(code, 150.0, kiln);
        studio.height(post, height);
    }
    let fields = [
        ("do", "set"),
        ("code", "k01"),
        ("shelf", ""),
        ("inset", "40"),
        ("p_P04", "yes"),
        ("p_P05", "yes"),
        ("p_P06", "yes"),
    ];
    let read =
        studio.submit("/sets/new?nominal=150", &fields).unwrap_or_else(|problems| panic!("{problems:?}"));
    studio.take(read);
    studio
}

fn made(bodies: &[Body]) -> SetMade {
    match bodies {
        [Body::SetMade(body)] => body.clone(),
        other => panic!("{other:?}"),
    }
}

#[test]
fn the_posts_are_put_where_the_shelf_lies_best() {
    let mut studio = studio();
    let fields = [
        ("do", "set"),
        ("code", "K02"),
        ("shelf", "F01"),
        ("inset", "4 cm"),
        ("p_P01", "yes"),
        ("p_P02", "yes"),
        ("p_P03", "yes"),
    ];
    let read =
        studio.submit("/sets/new?nominal=150", &fields).unwrap_or_else(|problems| panic!("{problems:?}"));
    assert_eq!(read.next, "/set/K02");
    let body = made(&read.bodies);
    let world = studio.world();
    let codes: Vec<String> = body.posts.iter().map(|id| world.posts[id].code.to_string()).collect();
    // The high one stands alone, where its millimetre counts over 520 mm and not over 220.
    assert_eq!(codes, ["P01", "P03", "P02"]);
    assert_eq!(body.inset_nm.mm(), 40.0);
    assert!(body.shelf.is_some());
    studio.take(read);
    let world = studio.world();
    assert_eq!(post_set::judge_all(&world).len(), 2);
}

#[test]
fn a_post_out_of_another_set_parts_that_set() {
    let mut studio = studio();
    let fields = [
        ("do", "set"),
        ("code", "K02"),
        ("shelf", ""),
        ("inset", "40"),
        ("p_P01", "yes"),
        ("p_P03", "yes"),
        ("p_P04", "yes"),
    ];
    let read =
        studio.submit("/sets/new?nominal=150", &fields).unwrap_or_else(|problems| panic!("{problems:?}"));
    studio.take(read);
    let world = studio.world();
    let together: Vec<String> = world.sets_together().map(|set| set.code.to_string()).collect();
    assert_eq!(together, ["K02"]);
}

fn check(fields: &[(&str, &str)], expected: &[&str]) {
    let mut studio = studio();
    let all: Vec<(&str, &str)> = [("do", "set")].iter().chain(fields).copied().collect();
    let problems = studio.submit("/sets/new?nominal=150", &all).err().unwrap_or_default();
    assert_eq!(said(&problems), expected, "{fields:?}");
}

#[test]
fn what_is_wrong_is_said_all_at_once() {
    check(
        &[("code", "P01"), ("shelf", "F99"), ("inset", "3"), ("p_P01", "yes"), ("p_P02", "yes")],
        &[
            "posts: a set is three or four posts; 2 are ticked",
            "shelf: no shelf in service has the code F99",
            "inset: 3 mm cannot be; give 5 mm to 300 mm",
            "code: P01 is taken; K02 is free",
        ],
    );
    check(
        &[
            ("code", ""),
            ("shelf", ""),
            ("inset", "-40"),
            ("p_P01", "yes"),
            ("p_P02", "yes"),
            ("p_P03", "yes"),
        ],
        &["inset: \u{2212}40 mm cannot be; give 5 mm to 300 mm", "code: type a code, such as F07"],
    );
}

#[test]
fn a_correction_keeps_the_set_and_may_keep_its_code() {
    let mut studio = studio();
    let world = studio.world();
    let set =
        world.sets_together().next().map(|set| (set.id, set.made.event)).unwrap_or_else(|| panic!("no set"));
    let address = format!("/sets/new?corrects={}", set.1);
    let page = studio.get(&address);
    assert_eq!(page.title, "Correct K01");
    assert!(page.form.values.contains_key("p_P05"));
    let fields = [
        ("do", "set"),
        ("code", "K01"),
        ("shelf", ""),
        ("inset", "50"),
        ("p_P04", "yes"),
        ("p_P05", "yes"),
        ("p_P01", "yes"),
    ];
    let read = studio.submit(&address, &fields).unwrap_or_else(|problems| panic!("{problems:?}"));
    assert_eq!((made(&read.bodies).set, read.corrects), (set.0, Some(set.1)));
    studio.take(read);
    let world = studio.world();
    assert_eq!(world.sets.len(), 1);
    assert_eq!(world.sets[&set.0].inset.mm(), 50.0);
}

#[test]
fn a_set_is_taken_apart_for_a_reason() {
    let mut studio = studio();
    let silent =
        studio.submit("/set/K01/part", &[("do", "part"), ("reason", "  ")]).err().unwrap_or_default();
    assert_eq!(said(&silent), ["reason: say why, in a word or two"]);
    let read = studio.submit("/set/K01/part", &[("do", "part"), ("reason", "P04 is short")]);
    let read = read.unwrap_or_else(|problems| panic!("{problems:?}"));
    assert_eq!(read.next, "/set/K01");
    let events = studio.take(read);
    assert_eq!(studio.world().sets_together().count(), 0);
    let again =
        studio.submit("/set/K01/part", &[("do", "part"), ("reason", "twice")]).err().unwrap_or_default();
    assert_eq!(said(&again), ["reason: K01 is apart already"]);
    let address = format!("/set/K01/part?corrects={}", events[0]);
    let read = studio.submit(&address, &[("do", "part"), ("reason", "P04 is too short")]);
    assert_eq!(read.map(|read| read.corrects), Ok(Some(events[0])));
}
