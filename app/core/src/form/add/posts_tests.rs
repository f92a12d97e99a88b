//! Posts entered as people type them.
#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]
use crate::event::Body;
use crate::testing::{Studio, said};

/// Twelve plain posts; `change` replaces or adds fields.
fn post(studio: &mut Studio, address: &str, change: &[(&str, &str)]) -> Result<Vec<String>, Vec<String>> {
    let kiln = studio.world().kilns.keys().next().unwrap().to_string();
    let plain = [
        ("do", "posts"),
        ("count", "12"),
        ("nominal", "150"),
        ("material", "cordierite"),
        ("section", "square"),
        ("width", "38"),
        ("kiln", kiln.as_str()),
    ];
    let kept = plain.into_iter().filter(|(name, _)| change.iter().all(|(changed, _)| changed != name));
    let fields: Vec<_> = kept.chain(change.iter().copied()).collect();
    match studio.submit(address, &fields) {
        Ok(read) => {
            let line = |body: &Body| match body {
                Body::PostAdded(post) => {
                    format!("{} {} {}", post.code, post.nominal_nm.mm(), post.width_nm.mm())
                }
                other => panic!("not a post: {other:?}"),
            };
            let lines = read.bodies.iter().map(line).collect();
            studio.take(read);
            Ok(lines)
        }
        Err(problems) => Err(said(&problems)),
    }
}

fn check(change: &[(&str, &str)], expected: &[&str]) {
    let (mut studio, _) = Studio::with_kiln();
    let problems = post(&mut studio, "/add/posts", change).err().unwrap_or_default();
    assert_eq!(problems, expected, "{change:?}");
}

#[test]
fn a_dozen_posts_and_the_run_that_measures_them() {
    let (mut studio, _) = Studio::with_kiln();
    let posts = post(&mut studio, "/add/posts", &[("nominal", "5 7/8\""), ("width", "1,5 in")]).unwrap();
    assert_eq!((posts.len(), posts[11].as_str()), (12, "P12 149.225 38.1"));
    let last = studio.world().log[12].event.id;
    let page = studio.get(&format!("/add/posts?done={last}&n=12"));
    let crate::view::PageData::AddPosts(data) = &page.data else { panic!("not the page") };
    let run = data.entered.as_ref().unwrap();
    assert_eq!(run.text, "Measure the 149.23 mm posts in a run");
    assert_eq!(page.banner.unwrap().undo.len(), 12);
    assert_eq!(page.form.values["count"], ["12"]);
}

#[test]
fn heights_that_cannot_be() {
    check(&[("nominal", "800")], &["?nominal: 800 mm is unusual; tick the box if it is right"]);
    check(&[("nominal", "800"), ("confirm_nominal", " 800 ")], &[]);
    check(&[("nominal", "\u{2212}150")], &["nominal: \u{2212}150 mm cannot be; give 1 mm to 3000 mm"]);
    check(
        &[("section", ""), ("width", "thin")],
        &[
            "section: choose one",
            "width: \"thin\" is not a unit here; use mm, cm, in, thou or a feeler such as card",
        ],
    );
    check(&[("count", "100")], &["count: \"100\" is not a count here; type a whole number up to 99"]);
}

#[test]
fn marks_are_kept_and_one_post_is_corrected_alone() {
    let (mut studio, _) = Studio::with_kiln();
    let posts = post(&mut studio, "/add/posts", &[("count", "2"), ("marks", "red1, red2")]).unwrap();
    assert_eq!(posts, ["RED1 150 38", "RED2 150 38"]);
    let entry = studio.world().log[2].event.id;
    let address = format!("/add/posts?corrects={entry}");
    assert_eq!(studio.get(&address).form.values["code"], ["RED2"]);
    post(&mut studio, &address, &[("code", "RED3"), ("nominal", "152")]).unwrap();
    let world = studio.world();
    let now: Vec<String> = world.posts.values().map(|p| format!("{} {}", p.code, p.nominal.mm())).collect();
    assert_eq!(now, ["RED1 150", "RED3 152"]);
}
