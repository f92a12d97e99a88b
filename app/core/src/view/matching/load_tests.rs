//! Sets for a load on a small rack: what is asked, shown, ticked and made.
use super::load::{Load, LoadAnswer};
use crate::code::Code;
use crate::event::values::Fuel;
use crate::event::{Body, SetMade};
use crate::ids::{KilnId, PostId, SetId};
use crate::testing::{Studio, said};
use crate::units::Length;
use crate::view::PageData;
use uuid::Uuid;

fn load(studio: &Studio, address: &str) -> Load {
    match studio.get(address).data {
        PageData::Match(data) => data.load.unwrap_or_else(|| panic!("{address}: no load")),
        other => panic!("{address}: {other:?}"),
    }
}

fn answer(studio: &Studio, address: &str) -> LoadAnswer {
    load(studio, address).answer.unwrap_or_else(|| panic!("{address}: no answer"))
}

/// K01 of P01 to P03, a new set in P04 to P06, and P07, P09, P14 that need grinding or a shim.
fn rack() -> (Studio, KilnId, Vec<PostId>) {
    let (mut studio, kiln) = Studio::with_kiln();
    let rows = [
        ("P01", 150.0),
        ("P02", 150.1),
        ("P03", 150.2),
        ("P04", 151.4),
        ("P05", 151.5),
        ("P06", 151.5),
        ("P07", 148.6),
        ("P09", 149.6),
        ("P14", 149.9),
    ];
    let mut posts = Vec::new();
    for (code, height) in rows {
        let post = studio.post(code, 150.0, kiln);
        studio.height(post, height);
        posts.push(post);
    }
    let code = Code::read("K01").unwrap_or_else(|cause| panic!("{cause}"));
    let set = SetId(Uuid::from_u128(0xA001));
    let inset_nm = Length::from_mm(40.0);
    studio.record(SetMade { set, code, posts: posts[..3].to_vec(), shelf: None, inset_nm });
    (studio, kiln, posts)
}

#[test]
fn a_kiln_is_chosen_where_there_are_several_and_asked_for_nothing_else_where_there_is_one() {
    let (mut studio, kiln, _) = rack();
    let one = load(&studio, "/match");
    let layers = one.asked.map(|asked| asked.layers).unwrap_or_default();
    assert_eq!(layers, [["h150000000", "150 mm", ""].map(str::to_owned)]);
    assert!(one.answer.is_none());
    let other = studio.kiln("small", Fuel::Electric, "6");
    studio.post("P20", 100.0, other);
    let two = load(&studio, "/match");
    assert!(two.asked.is_none() && two.kilns.len() == 2 && two.kilns.iter().all(|(_, here)| !here));
    let chosen = load(&studio, &format!("/match?kiln={kiln}"));
    assert_eq!(chosen.kilns.iter().filter(|(_, here)| *here).count(), 1);
}

#[test]
fn what_is_asked_for_is_answered_set_by_set() {
    let (studio, kiln, _) = rack();
    let found = answer(&studio, &format!("/match?kiln={kiln}&h150000000=3"));
    assert_eq!(found.said, "2 sets of the 3 wanted: 1 stands as it is, 1 is new, 1 is missing");
    let height = &found.heights[0];
    assert_eq!(height.title, "150 mm: 2 of 3");
    let sets: Vec<(String, bool)> =
        height.sets.iter().map(|set| (set.code.to_string(), set.made.is_some())).collect();
    assert_eq!(sets, [("K01".to_owned(), false), ("K02".to_owned(), true)]);
    assert_eq!(height.sets[1].said, "P04 151.4 mm, P05 151.5 mm, P06 151.5 mm; 0.1 mm apart");
    assert_eq!(height.dressing[0].said, "P07, P09 and P14: dress P14 by 0.39 mm and P09 by 0.09 mm");
    assert_eq!(height.dressing[0].jobs[0].href, "/post/P14/dressed?removed=0.39");
    assert_eq!(height.dressing[0].jobs[0].text, "P14: 0.39 mm off; level at 1.3 mm");
    assert!(height.shims[0].said.starts_with("P07, P09 and P14: one hard shim of "), "{:?}", height.shims);
    let struck: usize = height
        .comb
        .iter()
        .flat_map(|comb| &comb.strips)
        .flat_map(|strip| &strip.bars)
        .filter(|bar| bar.look == crate::view::comb::Look::Out)
        .count();
    assert_eq!(struck, 2, "P14 and P09 are struck");
    // The job's page opens with the amount filled in.
    let job = studio.get("/post/P14/dressed?removed=0.39");
    assert_eq!(job.form.values.get("removed").map(Vec::as_slice), Some(&["0.39".to_owned()][..]));
}

#[test]
fn ticked_sets_are_made_and_then_stand() -> Result<(), Vec<String>> {
    let (mut studio, kiln, posts) = rack();
    let at = format!("/match?kiln={kiln}&h150000000=2&mode=keep&size=3");
    let found = answer(&studio, &at);
    let token = found.heights[0].sets[1].made.as_ref().map(|made| made.token.clone()).unwrap_or_default();
    let refused = |read: Result<_, Vec<crate::form::Problem>>| {
        read.map_err(|found| said(&found)).err().unwrap_or_default()
    };
    let none = refused(studio.submit(&at, &[("do", "make")]));
    assert_eq!(none, ["sets: tick at least one set to make"]);
    for stale in [("set_K02", "P04 P05 P07"), ("set_K09", token.as_str())] {
        let found = refused(studio.submit(&at, &[("do", "make"), stale]));
        assert!(found[0].starts_with("sets: the posts have changed"), "{found:?}");
    }
    let read = studio.submit(&at, &[("do", "make"), ("set_K02", &token)]).map_err(|found| said(&found))?;
    assert_eq!(read.next, at);
    let made: Vec<Vec<PostId>> = read
        .bodies
        .iter()
        .filter_map(|body| match body {
            Body::SetMade(set) => Some(set.posts.clone()),
            _ => None,
        })
        .collect();
    assert_eq!(made.len(), 1);
    assert!(made[0].iter().all(|post| posts[3..6].contains(post)), "{made:?}");
    studio.take(read);
    let again = answer(&studio, &at);
    assert_eq!(again.said, "2 sets of the 2 wanted: 2 stand as they are");
    assert!(again.heights[0].sets.iter().all(|set| set.made.is_none()));
    Ok(())
}

#[test]
fn a_count_that_is_none_is_said_beside_its_field_and_stays() {
    let (studio, kiln, _) = rack();
    for wrong in ["some", "-1", "61", "1.5"] {
        let page = studio.get(&format!("/match?kiln={kiln}&h150000000={wrong}"));
        let fields: Vec<&str> = page.form.problems.iter().map(|problem| problem.field.as_str()).collect();
        assert_eq!(fields, ["h150000000"], "{wrong}");
        let typed = page.form.values.get("h150000000").and_then(|values| values.first());
        assert_eq!(typed.map(String::as_str), Some(wrong));
    }
    assert!(load(&studio, &format!("/match?kiln={kiln}&h150000000=0")).answer.is_none());
}
