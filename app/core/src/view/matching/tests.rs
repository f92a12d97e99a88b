//! Matching on small racks: what is kept, what is made, what is said of it.
use super::{Answer, Match};
use crate::event::SetMade;
use crate::ids::{PostId, SetId};
use crate::testing::{Studio, said};
use crate::units::Length;
use crate::view::PageData;
use uuid::Uuid;

fn matched(studio: &Studio, address: &str) -> Match {
    match studio.get(address).data {
        PageData::Match(data) => *data,
        other => panic!("{address}: {other:?}"),
    }
}

fn answer(studio: &Studio, address: &str) -> Answer {
    matched(studio, address).answer.unwrap_or_else(|| panic!("{address}: no answer"))
}

/// Posts of 150 mm with these heights: P01, P02 and so on.
fn rack(heights: &[f64]) -> (Studio, Vec<PostId>) {
    let (mut studio, kiln) = Studio::with_kiln();
    let mut posts = Vec::new();
    for (n, height) in heights.iter().enumerate() {
        let post = studio.post(&format!("P{:02}", n + 1), 150.0, kiln);
        studio.height(post, *height);
        posts.push(post);
    }
    (studio, posts)
}

fn set(studio: &mut Studio, code: &str, posts: &[PostId]) {
    let set = SetId(Uuid::from_u128(0xA000 + u128::from(code.as_bytes()[2])));
    let code = crate::code::Code::read(code).unwrap_or_else(|cause| panic!("{cause}"));
    studio.record(SetMade { set, code, posts: posts.to_vec(), shelf: None, inset_nm: Length::from_mm(40.0) });
}

fn codes(answer: &Answer) -> Vec<(String, Vec<String>)> {
    let mut sets: Vec<(String, Vec<String>)> = answer
        .sets
        .iter()
        .map(|set| {
            let mut codes: Vec<String> = set.posts.iter().map(|(_, code)| code.clone()).collect();
            codes.sort();
            (set.code.to_string(), codes)
        })
        .collect();
    sets.sort();
    sets
}

#[test]
fn a_set_that_holds_is_kept_and_a_fresh_match_takes_it_apart_where_that_makes_more() {
    // By hand, tolerance 1 mm less the guard band of 0.083: P01 P02 P03 and P04 P05 P06 are two sets; K01 holds
    // P02 P03 P04 and leaves P01 and P05 P06 too far apart.
    let (mut studio, posts) = rack(&[149.4, 149.9, 150.1, 150.3, 150.9, 151.1]);
    set(&mut studio, "K01", &posts[1..4]);
    let kept = answer(&studio, "/match?nominal=150");
    assert_eq!(
        codes(&kept),
        [("K01".to_owned(), vec!["P02".to_owned(), "P03".to_owned(), "P04".to_owned()])]
    );
    assert!(
        kept.sets[0].stands && kept.exact.contains("a fresh match would make 1 set more"),
        "{}",
        kept.exact
    );
    let left: Vec<&str> = kept.left.iter().map(|line| line[0].as_str()).collect();
    assert_eq!(left, ["P01", "P05", "P06"]);

    let fresh = answer(&studio, "/match?nominal=150&mode=fresh");
    let sets: Vec<Vec<String>> = codes(&fresh).into_iter().map(|(_, posts)| posts).collect();
    assert_eq!(sets, [["P01", "P02", "P03"], ["P04", "P05", "P06"]]);
    assert_eq!(fresh.said, "2 sets of three from 6 measured posts, 1.5 mm of spread in all");
    assert_eq!(fresh.sets[1].moves, ["P04 leaves K01"]);
}

#[test]
fn what_has_to_be_ground_first_is_said_and_not_made() -> Result<(), Vec<String>> {
    // 151.3 is 1.3 above the lowest; with the band of 1 - 0.083 = 0.917 it comes down by 0.383.
    let (mut studio, _) = rack(&[150.0, 150.2, 151.3, 148.0, 148.1, 148.2]);
    assert_eq!(answer(&studio, "/match?nominal=150").sets.len(), 1);
    let ground = answer(&studio, "/match?nominal=150&dress=0.5");
    let dress: Vec<&String> = ground.sets.iter().flat_map(|set| &set.dress).collect();
    assert_eq!(dress, ["P03 by 0.38 mm"]);
    let at = "/match?nominal=150&dress=0.5";
    let stale = [("do", "match"), ("shown", "K01: P01 P02 P03")];
    let found = studio.submit(at, &stale).map_err(|found| said(&found)).err().unwrap_or_default();
    assert!(found.iter().any(|line| line.starts_with("do: the posts have changed since")), "{found:?}");
    let shown = ground.shown();
    let read = studio.submit(at, &[("do", "match"), ("shown", &shown)]).map_err(|found| said(&found))?;
    studio.take(read);
    let world = studio.world();
    assert_eq!(world.sets_together().count(), 1, "only the set that needs no grinding is made");
    let again = studio.submit("/match?nominal=150", &[("do", "match")]).map_err(|found| said(&found));
    assert_eq!(again.err().unwrap_or_default(), ["do: there is no new set here that can be made now"]);
    Ok(())
}

#[test]
fn what_cannot_be_matched_says_why_and_what_was_typed_wrong_stays() {
    let (mut studio, kiln) = Studio::with_kiln();
    studio.post("P01", 150.0, kiln);
    let found = answer(&studio, "/match?nominal=150");
    assert_eq!(found.left, [["P01", "not measured", "measure it first"].map(str::to_owned)]);
    let page = studio.get("/match?nominal=150&tolerance=-1&dress=x");
    let fields: Vec<&str> = page.form.problems.iter().map(|problem| problem.field.as_str()).collect();
    assert_eq!(fields, ["tolerance", "dress"]);
    let wrong = matched(&studio, "/match?nominal=150&tolerance=-1&dress=x");
    assert!(wrong.answer.is_none());
    let asked = wrong.asked.unwrap_or_else(|| panic!("nothing asked"));
    assert_eq!((asked.tolerance.as_str(), asked.dress.as_str()), ("-1", "x"));
}

#[test]
fn four_posts_are_held_to_half_the_rocking_gap() {
    let (studio, _) = rack(&[150.0, 150.02, 150.05, 150.06, 150.3]);
    let four = matched(&studio, "/match?nominal=150&size=4");
    assert_eq!(four.asked.map(|asked| asked.tolerance), Some("0.15".to_owned()));
    let sets = codes(&four.answer.unwrap_or_else(|| panic!("no answer")));
    assert_eq!(sets.len(), 1);
    assert_eq!(sets[0].1, ["P01", "P02", "P03", "P04"]);
}
