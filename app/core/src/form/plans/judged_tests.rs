//! What the check says of a plan, where people meet it: on the plan, on the first page, in what if, on the firing.
use super::tests::{planned, studio};
use crate::event::values::{Piece, RetireReason};
use crate::event::{Body, PieceRetired};
use crate::judge::stack::PlateCache;
use crate::testing::{Studio, said};
use crate::view::plans::PlansPage;
use crate::view::plans::one::OnePlan;
use crate::view::plans::what_if::Asked;
use crate::view::{PageData, Shape};

fn one(studio: &Studio, address: &str) -> OnePlan {
    match studio.get(address).data {
        PageData::Plans(PlansPage::One(data)) => *data,
        other => panic!("not the plan: {other:?}"),
    }
}

/// A plan whose bottom shelf is retired after it was planned; its address and the shelf's code.
fn spoilt() -> (Studio, String, String) {
    let (mut studio, kiln) = studio();
    let address = planned(&mut studio, kiln, "2");
    let world = studio.world();
    let plan = world.plans.values().next().unwrap_or_else(|| panic!("a plan"));
    let shelf = plan.stacks[0].layers[0].shelves[0].shelf.unwrap_or_else(|| panic!("a shelf"));
    let code = world.code_of(Piece::Shelf(shelf));
    let (reason, note) = (RetireReason::Cracked, String::new());
    studio.record(PieceRetired { piece: Piece::Shelf(shelf), reason, note });
    (studio, address, code)
}

#[test]
fn a_plan_not_to_be_loaded_stands_on_the_first_page_until_it_is_given_up() {
    let (mut studio, address, code) = spoilt();
    let line = |studio: &Studio| {
        let PageData::Home(home) = studio.get("/").data else { panic!("the first page") };
        home.jobs.into_iter().find(|row| row.href == address)
    };
    let row = line(&studio).unwrap_or_else(|| panic!("a line"));
    assert_eq!(
        (row.code.as_str(), row.mark.shape, row.mark.word.as_str()),
        ("Plan week 9", Shape::Stop, "do not load")
    );
    let plan = one(&studio, &address);
    let under = plan.seen.check.of_layer("middle", 1);
    assert!(under.iter().any(|line| line.said.contains(&code)), "under its layer: {under:?}");
    let read = studio.submit(&address, &[("do", "drop")]).unwrap_or_else(|p| panic!("{p:?}"));
    studio.take(read);
    assert!(line(&studio).is_none());
    assert_eq!(
        one(&studio, &address).became.map(|link| link.text),
        Some("Given up; it stays readable.".to_owned())
    );
}

#[test]
fn a_line_is_overruled_with_a_reason_and_counts_again() {
    let (mut studio, address, _) = spoilt();
    let plan = one(&studio, &address);
    let line = plan.seen.open_lines().next().unwrap_or_else(|| panic!("a line")).clone();
    let overrule = |studio: &mut Studio, action: &str, name: &str, reason: &str| {
        studio.submit(&address, &[("do", action), ("line", name), ("reason", reason)])
    };
    let problems = overrule(&mut studio, "overrule", &line.name, " ").err().unwrap_or_default();
    assert_eq!(
        said(&problems),
        ["reason: say why it may be loaded all the same; it is kept with the firing"]
    );
    let problems = overrule(&mut studio, "overrule", "no such line", "tapped it").err().unwrap_or_default();
    assert_eq!(problems[0].field, "line");
    let read = overrule(&mut studio, "overrule", &line.name, "tapped it").unwrap_or_else(|p| panic!("{p:?}"));
    assert!(matches!(&read.bodies[..], [Body::PlanOverruled(body)] if body.said.contains(&line.said)));
    studio.take(read);
    let shown = |studio: &Studio| {
        let lines = one(studio, &address).seen.check.lines;
        lines.into_iter().map(|(_, _, line)| line).find(|other| other.name == line.name)
    };
    let overruled = shown(&studio).unwrap_or_else(|| panic!("it stays"));
    assert!(overruled.overruled.ends_with(": tapped it") && !overruled.is_open, "{overruled:?}");
    let read = overrule(&mut studio, "restore", &line.name, "").unwrap_or_else(|p| panic!("{p:?}"));
    studio.take(read);
    assert!(shown(&studio).is_some_and(|line| line.is_open));
}

#[test]
fn what_if_tells_the_lines_that_change() {
    let (mut studio, kiln) = studio();
    let address = planned(&mut studio, kiln, "2");
    let PageData::Plans(PlansPage::WhatIf(page)) = studio.get(&format!("{address}/what-if")).data else {
        panic!("the page")
    };
    let world = page.bench.world();
    let mut cache = PlateCache::default();
    let mut compare = |change: &str, shelf: &str, layer: &str, set: &str| {
        let asked = Asked {
            change: change.to_owned(),
            shelf: shelf.to_owned(),
            layer: layer.to_owned(),
            set: set.to_owned(),
            ..Asked::default()
        };
        page.compared(&world, &asked, &mut cache)
    };
    let code = page.shelves[0].0.clone();
    let retired = compare("retire", &code, "", "");
    assert_eq!(retired.after.word, "do not load");
    assert!(retired.new.iter().any(|line| line.said.contains(&code)), "{:?}", retired.new);
    assert_eq!(compare("", "", "", "").problem, "choose what is to change");
    assert_eq!(compare("retire", "F99", "", "").problem, "choose the shelf");
    assert_eq!(compare("raise", "", "1.2", "").problem, "this layer is the topmost already");
    assert_eq!(compare("raise", "", "1.1", "").said, "layer 1 raised over the next");
    assert_eq!(compare("swap", "", "1.1", "K03").said, "K03 under layer 1");
}

#[test]
fn a_change_that_was_tried_is_saved() {
    let (mut studio, kiln) = studio();
    let address = planned(&mut studio, kiln, "2");
    let what_if = format!("{address}/what-if");
    let PageData::Plans(PlansPage::WhatIf(page)) = studio.get(&what_if).data else { panic!("the page") };
    let (first, second) = (page.shelves[0].0.clone(), page.shelves[1].0.clone());
    let spare = page.spare[0].0.clone();
    let codes = |studio: &Studio| -> Vec<String> {
        let plan = one(studio, &address).plan;
        let shelves = plan.stacks[0].layers.iter().filter_map(|layer| layer.shelves[0].shelf);
        shelves.map(|id| studio.world().code_of(Piece::Shelf(id))).collect()
    };
    let save = |studio: &mut Studio, shelf: &str, other: &str| {
        let fields = [("do", "save"), ("change", "exchange"), ("shelf", shelf), ("other", other)];
        let read = studio.submit(&what_if, &fields)?;
        assert_eq!(read.next, address);
        studio.take(read);
        Ok::<(), Vec<crate::form::Problem>>(())
    };
    assert_eq!(codes(&studio), [first.clone(), second.clone()]);
    // Two of the plan change places; one from the racks takes one's place.
    assert!(save(&mut studio, &first, &second).is_ok());
    assert_eq!(codes(&studio), [second.clone(), first.clone()]);
    assert!(save(&mut studio, &first, &spare).is_ok());
    assert_eq!(codes(&studio), [second, spare]);
    let refused = save(&mut studio, "F01", "").err().map(|problems| said(&problems));
    assert!(refused.is_some_and(|said| format!("{said:?}").contains("takes its place")));
    // What a retired shelf would change is not the plan's to save.
    let read = studio.submit(&what_if, &[("do", "save"), ("change", "retire"), ("shelf", &first)]);
    assert!(read.is_err());
}

#[test]
fn a_plan_is_filled_from_its_own_page_and_keeps_heights_and_ware() {
    let (mut studio, address, code) = spoilt();
    let fill = format!("{address}/fill");
    let before = one(&studio, &address).plan;
    let read = studio.submit(&fill, &[("do", "propose")]).unwrap_or_else(|p| panic!("{:?}", said(&p)));
    studio.take(read);
    let after = one(&studio, &address).plan;
    let world = studio.world();
    let codes: Vec<String> = after.stacks[0]
        .layers
        .iter()
        .filter_map(|layer| layer.shelves[0].shelf)
        .map(|id| world.code_of(Piece::Shelf(id)))
        .collect();
    assert!(codes.len() == 2 && !codes.contains(&code), "the retired one is out: {codes:?}");
    let ware = |plan: &crate::event::PlanSaved| {
        plan.stacks[0].layers.iter().map(|layer| layer.shelves[0].ware.clone()).collect::<Vec<_>>()
    };
    assert_eq!(ware(&before), ware(&after));
    // What the program found is taken as it is; what is no list of stacks is not.
    let found = serde_json::to_string(&after.stacks).unwrap_or_default();
    let read = studio.submit(&fill, &[("do", "propose"), ("found", &found)]);
    assert!(read.is_ok_and(|read| read.bodies == [Body::PlanSaved(after)]));
    let problems = studio.submit(&fill, &[("do", "propose"), ("found", "{}")]).err().unwrap_or_default();
    assert_eq!(problems[0].field, "found");
}
