//! The order of a run, and what its address carries on.
use super::*;
use crate::testing::Studio;

fn measure(studio: &Studio, address: &str) -> PostMeasure {
    match studio.get(address).data {
        PageData::PostMeasure(data) => data,
        other => panic!("{address}: {other:?}"),
    }
}

fn codes(data: &PostMeasure) -> Vec<&str> {
    data.posts.iter().map(|post| post.code.as_str()).collect()
}

/// P01 to P04 of 150 mm, P05 of 300 mm; P01 measured first, then P03.
fn studio() -> Studio {
    let (mut studio, kiln) = Studio::with_kiln();
    let posts: Vec<_> = ["P01", "P02", "P03", "P04"].map(|code| studio.post(code, 150.0, kiln)).to_vec();
    studio.post("P05", 300.0, kiln);
    studio.height(posts[0], 149.6);
    studio.height(posts[2], 149.8);
    studio
}

#[test]
fn a_run_takes_the_unmeasured_first_and_then_the_oldest_reading() {
    let mut studio = studio();
    let mut address = "/posts/measure?nominal=150000000".to_owned();
    let mut seen = Vec::new();
    let mut left = Vec::new();
    for _ in 0..4 {
        let page = measure(&studio, &address);
        seen.push(codes(&page).join(" "));
        left.push(page.run.as_ref().map_or(0, |run| run.left));
        let fields = [("do", "measure"), ("instrument", "tape"), ("height", "149.5")];
        let read = studio.submit(&address, &fields).unwrap_or_else(|problems| panic!("{problems:?}"));
        address = read.next.clone();
        studio.take(read);
    }
    assert_eq!(seen, ["P02", "P04", "P01", "P03"]);
    assert_eq!(left, [4, 3, 2, 1]);
    assert_eq!(address, "/posts?nominal=150000000");
}

#[test]
fn the_instrument_chosen_is_kept_through_the_run() {
    let studio = studio();
    assert_eq!(measure(&studio, "/posts/measure?nominal=150").instrument, "caliper");
    let with_tape = measure(&studio, "/posts/measure?nominal=150&with=tape");
    assert_eq!(with_tape.instrument, "tape");
    assert_eq!(with_tape.next, "/posts/measure?nominal=150&with=tape&at=P04&left=3");
    assert_eq!(with_tape.run.and_then(|run| run.skip).map(|skip| skip.href), Some(with_tape.next));
}

#[test]
fn an_instrument_changed_on_the_way_is_kept_too_and_an_undo_comes_back_to_the_post() {
    let mut studio = studio();
    let address = "/posts/measure?nominal=150&with=caliper";
    let fields = [("do", "measure"), ("instrument", "tape"), ("height", "149.5")];
    let read = studio.submit(address, &fields).unwrap_or_else(|problems| panic!("{problems:?}"));
    assert_eq!(read.next, "/posts/measure?nominal=150&with=tape&at=P04&left=3");
    let next = read.next.clone();
    let events = studio.take(read);
    let undo = studio.submit(&next, &[("do", "undo"), ("event", &events[0].to_string())]);
    let undo = undo.unwrap_or_else(|problems| panic!("{problems:?}"));
    let back = undo.next.clone();
    studio.take(undo);
    let page = measure(&studio, &back);
    assert_eq!((codes(&page), page.run.as_ref().map(|run| run.left)), (vec!["P02"], Some(4)));
}

#[test]
fn a_post_passed_over_stays_for_another_run() {
    let studio = studio();
    let page = measure(&studio, "/posts/measure?nominal=150&at=P01&left=2");
    assert_eq!(
        (codes(&page), page.next.as_str()),
        (vec!["P01"], "/posts/measure?nominal=150&with=caliper&at=P03&left=1")
    );
    let last = measure(&studio, "/posts/measure?nominal=150&at=P03&left=1");
    assert_eq!((last.next.as_str(), last.run.and_then(|run| run.skip)), ("/posts?nominal=150000000", None));
}

#[test]
fn a_list_of_all_has_every_post_and_says_what_was_read() {
    let studio = studio();
    let page = measure(&studio, "/posts/measure?nominal=150&all=1");
    assert_eq!(codes(&page), ["P02", "P04", "P01", "P03"]);
    let said: Vec<&str> = page.posts.iter().map(|post| post.last_said.as_str()).collect();
    assert_eq!(said[..3], ["never measured", "never measured", "149.6 mm by caliper on 2026-03-15"]);
    assert!(matches!(studio.get("/posts/measure?nominal=99").data, PageData::NotFound(_)));
}
