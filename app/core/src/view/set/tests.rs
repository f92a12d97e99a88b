//! Cards and lists of posts and sets, from a small studio.
use crate::code::Code;
use crate::event::values::{Piece, RetireReason};
use crate::event::{PieceRetired, SetMade};
use crate::ids::{PostId, SetId};
use crate::testing::Studio;
use crate::units::Length;
use crate::view::post::card::PostCard;
use crate::view::post::list::PostList;
use crate::view::set::card::SetCard;
use crate::view::set::list::SetList;
use crate::view::set::new::SetNew;
use crate::view::{PageData, Shape};

/// Shelf F01, posts P01 to P06 of 150 mm; K01 of the first three, which drifted by P03 a season later.
fn studio() -> (Studio, Vec<PostId>) {
    let (mut studio, kiln) = Studio::with_kiln();
    let shelf = studio.shelf("F01", kiln);
    let mut posts = Vec::new();
    for (code, height) in
        [("P01", 149.9), ("P02", 150.0), ("P03", 149.8), ("P04", 149.2), ("P05", 149.3), ("P06", 149.0)]
    {
        let post = studio.post(code, 150.0, kiln);
        studio.height(post, height);
        posts.push(post);
    }
    studio.post("P07", 150.0, kiln);
    let set = SetId(uuid::Uuid::from_u128(1 << 90));
    let code = Code::read("K01").unwrap_or_else(|cause| panic!("{cause}"));
    let inset_nm = Length::from_mm(40.0);
    studio.record(SetMade { set, code, posts: posts[..3].to_vec(), shelf: Some(shelf), inset_nm });
    studio.later(90);
    studio.height(posts[2], 148.7);
    (studio, posts)
}

fn post_card(studio: &Studio, address: &str) -> PostCard {
    match studio.get(address).data {
        PageData::PostCard(data) => *data,
        other => panic!("{address}: {other:?}"),
    }
}

fn set_card(studio: &Studio, address: &str) -> SetCard {
    match studio.get(address).data {
        PageData::SetCard(data) => *data,
        other => panic!("{address}: {other:?}"),
    }
}

#[test]
fn a_drifted_set_says_so_on_its_card_and_on_its_posts() {
    let (studio, _) = studio();
    let card = set_card(&studio, "/set/k01");
    assert_eq!(card.mark.shape, Shape::Look);
    let drift = card.drift.unwrap_or_else(|| panic!("no drift"));
    assert_eq!(drift.said, "drifted past 1 mm: 0.2 mm apart on 2026-03-15, 1.3 mm apart now");
    assert_eq!(
        drift.rows,
        [["P03", "149.8 mm", "2026-03-15", "148.7 mm", "2026-06-13", "0 firings", "\u{2212}1.1 mm"]
            .map(str::to_owned)]
    );
    assert_eq!(
        card.said.numerals,
        [("1.3".to_owned(), "mm".to_owned(), "spread, highest less lowest".to_owned())]
    );
    // P01 and P02 at the left, P03 alone at the right: 1.25 over 520 mm along, 0.1 over 220 mm across.
    assert!(
        card.said.tilt.starts_with("tilt 0.14\u{b0} (2.4 mm per metre), down to the right"),
        "{}",
        card.said.tilt
    );
    assert!(
        card.said.fix.starts_with("put one hard shim of 1.3 mm on the top end of P03"),
        "{}",
        card.said.fix
    );
    assert!(card.said.plan.as_ref().is_some_and(|plan| plan.posts.len() == 3 && plan.arrow.is_some()));
    let post = post_card(&studio, "/post/P01");
    assert!(post.findings[0].said.starts_with("its set K01: drifted past 1 mm"), "{:?}", post.findings);
    assert_eq!(post.set.map(|set| set.href), Some("/set/K01".to_owned()));
}

#[test]
fn another_shelf_or_inset_is_tried_without_an_event() {
    let (studio, _) = studio();
    let own = set_card(&studio, "/set/K01");
    let deeper = set_card(&studio, "/set/K01?inset=60&shelf=F01");
    assert!(!own.tried && deeper.tried);
    assert_ne!(own.said.tilt, deeper.said.tilt);
    let nowhere = set_card(&studio, "/set/K01?shelf=&inset=40");
    assert!(nowhere.tried && nowhere.said.tilt.is_empty() && nowhere.said.plan.is_none());
    let wrong = set_card(&studio, "/set/K01?shelf=F01&inset=-2");
    assert_eq!(wrong.stand.inset_problem, "\u{2212}2 mm cannot be; give 5 mm to 300 mm");
    assert_eq!((wrong.stand.inset_text.as_str(), wrong.said.tilt), ("-2", own.said.tilt));
}

#[test]
fn a_post_card_has_its_height_its_checks_and_its_readings() {
    let (studio, _) = studio();
    let card = post_card(&studio, "/post/P04");
    assert_eq!((card.height.as_str(), card.unit.as_str()), ("149.2", "mm"));
    assert_eq!(card.difference, "0.8 mm short of nominal, 150 mm");
    assert_eq!(card.read, "by caliper on 2026-03-15, standard uncertainty 0.03 mm");
    let passed: Vec<&str> = card.passed.iter().map(|finding| finding.said.as_str()).collect();
    assert_eq!(passed, ["0.8 mm short of nominal", "3.9 times as high as wide"]);
    assert!(card.findings.is_empty() && card.set.is_none() && card.why_aside.is_empty());
    assert_eq!(card.readings.len(), 1);
    assert!(card.chart.is_some_and(|chart| chart.dots.len() == 1 && chart.levels[0].y < chart.levels[1].y));
    let unread = post_card(&studio, "/post/P07");
    assert_eq!((unread.height.as_str(), unread.read.as_str()), ("\u{2013}", "never measured"));
    assert!(unread.chart.is_none());
    assert!(
        matches!(studio.get("/post/P99").data, PageData::NotFound(said) if said.said == "no post has the code P99")
    );
}

#[test]
fn a_retired_post_says_why_at_the_top_and_may_come_back() {
    let (mut studio, posts) = studio();
    let (piece, note) = (Piece::Post(posts[3]), "burner side".to_owned());
    studio.record(PieceRetired { piece, reason: RetireReason::Short, note });
    let card = post_card(&studio, "/post/P04");
    assert_eq!(card.why_aside, "Set aside on 2026-06-13, too short: burner side");
    assert_eq!(card.usual[0].href, "/post/P04/return");
    let PageData::PostList(PostList { retired, groups, .. }) = studio.get("/posts?nominal=150").data else {
        panic!("no list");
    };
    assert_eq!(retired[0].more, "too short: burner side");
    assert!(groups[0].posts.iter().all(|row| row.code != "P04"));
}

#[test]
fn lists_put_sets_together_and_the_gravest_first() {
    let (studio, _) = studio();
    let PageData::PostList(list) = studio.get("/posts").data else { panic!("no list") };
    let group = &list.groups[0];
    assert_eq!((group.title.as_str(), group.said.as_str()), ("150 mm", "7 posts, 1 not measured, 1 set"));
    let comb = group.comb.clone().unwrap_or_else(|| panic!("no comb"));
    assert_eq!(comb.strips[0].bands[0].label, "K01  1.3");
    assert_eq!(group.sets[0].mark.shape, Shape::Look);
    assert_eq!(group.measure[0].href, "/posts/measure?nominal=150000000");
    let PageData::SetList(SetList { together, parted, new }) = studio.get("/sets").data else {
        panic!("no list")
    };
    assert_eq!((together.len(), parted.len(), new.len()), (1, 0, 1));
    assert!(together[0].more.starts_with("drifted past 1 mm"), "{}", together[0].more);
}

#[test]
fn free_posts_are_suggested_and_an_address_can_tick_them() {
    let (studio, _) = studio();
    let PageData::SetNew(page) = studio.get("/sets/new?nominal=150").data else { panic!("no page") };
    let SetNew { suggestions, posts, code, .. } = *page;
    assert_eq!(code, "K02");
    // P01 to P03 are in K01 and P07 is not measured.
    assert_eq!(
        suggestions.iter().map(|link| link.text.as_str()).collect::<Vec<_>>(),
        ["P06, P04, P05: 0.3 mm apart"]
    );
    assert!(posts.iter().all(|pick| !pick.ticked));
    let PageData::SetNew(page) = studio.get(&suggestions[0].href).data else { panic!("no page") };
    let ticked: Vec<&str> =
        page.posts.iter().filter(|pick| pick.ticked).map(|pick| pick.known.code.as_str()).collect();
    assert_eq!(ticked, ["P06", "P04", "P05"]);
}

/// P01 and P02 keep their height; P03 wears by 0.05 mm a firing and is read every fourth of twelve.
#[test]
fn a_wearing_post_says_when_it_leaves_its_set() {
    let (mut studio, kiln) = Studio::with_kiln();
    let posts: Vec<PostId> =
        ["P01", "P02", "P03"].iter().map(|code| studio.post(code, 150.0, kiln)).collect();
    let code = Code::read("K01").unwrap_or_else(|cause| panic!("{cause}"));
    let set = SetId(uuid::Uuid::from_u128(1 << 90));
    let inset_nm = Length::from_mm(40.0);
    studio.record(SetMade { set, code, posts: posts.clone(), shelf: None, inset_nm });
    let heights =
        [[150.0, 150.01, 149.98], [150.0, 150.02, 149.76], [149.99, 150.0, 149.61], [150.0, 150.01, 149.38]];
    for (round, heights) in heights.iter().enumerate() {
        if round > 0 {
            let pieces: Vec<Piece> = posts.iter().map(|post| Piece::Post(*post)).collect();
            (0..4).for_each(|_| studio.fire(kiln, &pieces));
        }
        posts.iter().zip(heights).for_each(|(post, height)| {
            studio.height(*post, *height);
        });
    }
    // Its line falls by 0.04875 a firing and is at 149.39 now; the highest other is 150.01, so 149.01 is left in 7.8.
    let outlook = set_card(&studio, "/set/K01").outlook.unwrap_or_else(|| panic!("no outlook"));
    assert_eq!(outlook.said, "At this rate P03 leaves it first, in about 8 firings (4 to 14).");
    assert!(
        outlook.rows[0][2].starts_with("cannot be told: 4 readings over 12 firings"),
        "{:?}",
        outlook.rows
    );
    let card = post_card(&studio, "/post/P03");
    assert_eq!(card.wear.lines[0], "At this rate P03 leaves its set K01 in about 8 firings (4 to 14).");
    assert!(
        card.wear.lines[1].starts_with("At this rate P03 is too short in about"),
        "{:?}",
        card.wear.lines
    );
    let chart = card.chart.unwrap_or_else(|| panic!("no chart"));
    assert!(chart.now.is_some() && chart.fit.is_some_and(|fit| !fit.ahead.is_empty()));
    assert_eq!(chart.levels[2].label, "leaves K01");
    // A dressing begins anew.
    studio.record(crate::event::PostDressed {
        post: posts[2],
        removed_nm: None,
        minutes: None,
        method: crate::event::values::GrindMethod::Wet,
        mask: crate::event::values::Mask::Fitted,
    });
    let card = post_card(&studio, "/post/P03");
    assert_eq!(
        card.wear.lines,
        [
            "Cannot tell yet how fast it wears: no reading since the last dressing, and a line with limits takes 3."
        ]
    );
    assert!(card.chart.is_some_and(|chart| chart.fit.is_none() && chart.dots.iter().all(|dot| !dot.holds)));
}
