//! Plans as people make and change them, through the pages' own path.
use crate::event::plan::{Chamber, StackPlace};
use crate::event::values::Piece;
use crate::event::{Body, KilnChamberSet, PlanSaved, SetMade};
use crate::form::{FormValues, Problem, Submission};
use crate::ids::{KilnId, PlanId, SetId};
use crate::outline::Spot;
use crate::testing::{Studio, said};
use crate::units::Length;
use crate::view::plans::PlansPage;
use crate::view::plans::layer::LayerPage;
use crate::view::{Page, PageData};
use uuid::Uuid;

/// A gas kiln with one place for shelves of 600 × 300, three shelves, and three sets of three posts of 150 mm.
pub(super) fn studio() -> (Studio, KilnId) {
    let (mut studio, kiln) = Studio::with_kiln();
    let mm = Length::from_mm;
    let chamber = Chamber::Box { width_nm: mm(800.0), depth_nm: mm(600.0), height_nm: mm(900.0) };
    let at = Spot { x_nm: mm(100.0), y_nm: mm(150.0) };
    let place = StackPlace { name: "middle".to_owned(), at, length_nm: mm(600.0), width_nm: mm(300.0) };
    studio.record(KilnChamberSet { kiln, chamber, places: vec![place], keep_outs: Vec::new() });
    for code in ["F01", "F02", "F03"] {
        studio.shelf(code, kiln);
    }
    for set in 0..3_u128 {
        let posts: Vec<_> = (1..=3)
            .map(|n| {
                let post = studio.post(&format!("P{:02}", set * 3 + n), 150.0, kiln);
                studio.height(post, 150.0);
                post
            })
            .collect();
        let code = format!("K{:02}", set + 1).parse_code();
        let id = SetId(Uuid::from_u128(900 + set));
        studio.record(SetMade { set: id, code, posts, shelf: None, inset_nm: mm(40.0) });
    }
    (studio, kiln)
}

trait ParseCode {
    fn parse_code(self) -> crate::code::Code;
}

impl ParseCode for String {
    fn parse_code(self) -> crate::code::Code {
        crate::code::Code::read(&self).unwrap_or_else(|cause| panic!("{cause}"))
    }
}

/// A plan of so many layers of 150 mm, recorded; its address.
pub(super) fn planned(studio: &mut Studio, kiln: KilnId, n_layers: &str) -> String {
    let fields =
        [("do", "plan"), ("name", "week 9"), ("ware", "glaze"), ("cone", "10"), ("count_1_1", n_layers)];
    let read = studio.submit(&format!("/plans/new?kiln={kiln}"), &fields);
    let read = read.unwrap_or_else(|problems| panic!("{:?}", said(&problems)));
    let next = read.next.clone();
    studio.take(read);
    next
}

fn saved(studio: &Studio) -> PlanSaved {
    let world = studio.world();
    let plan = world.plans.values().next().unwrap_or_else(|| panic!("a plan is on record"));
    plan.as_saved()
}

fn layer_page(page: &Page) -> LayerPage {
    match &page.data {
        PageData::Plans(PlansPage::Layer(data)) => (**data).clone(),
        other => panic!("not a layer: {other:?}"),
    }
}

/// The layer's form as it begins, with some fields changed.
fn change(studio: &mut Studio, address: &str, changed: &[(&str, &str)]) -> Result<Submission, Vec<Problem>> {
    let page = studio.get(address);
    let mut values = page.form.values.clone();
    values.insert("do".to_owned(), vec!["layer".to_owned()]);
    for (name, value) in changed {
        values.insert((*name).to_owned(), vec![(*value).to_owned()]);
    }
    super::read(
        &page,
        match &page.data {
            PageData::Plans(data) => data,
            other => panic!("{other:?}"),
        },
        &FormValues(values),
        &mut || Uuid::nil(),
    )
}

fn body(read: &Submission) -> &PlanSaved {
    match &read.bodies[..] {
        [Body::PlanSaved(plan)] => plan,
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_new_plan_takes_sets_and_shelves_from_the_rack_and_usual_ware() {
    let (mut studio, kiln) = studio();
    let address = planned(&mut studio, kiln, "3");
    let plan = saved(&studio);
    let layers = &plan.stacks[0].layers;
    assert_eq!(layers.len(), 3);
    assert!(layers.iter().all(|layer| layer.set.is_some() && layer.shelves[0].shelf.is_some()));
    // 150 less 15 is 135, on a five already; the topmost has a mug's height.
    let tallest: Vec<f64> = layers.iter().map(|layer| layer.shelves[0].ware.tallest_nm.mm()).collect();
    assert_eq!(tallest, [135.0, 135.0, 100.0]);
    assert!(layers[0].shelves[0].ware.mass_mg.kg() > 1.0);
    let PageData::Plans(PlansPage::One(page)) = studio.get(&address).data else { panic!("the plan's page") };
    assert_eq!(page.seen.stacks[0].layers.len(), 3);
}

#[test]
fn what_is_missing_for_a_new_plan_is_said() {
    let (mut studio, kiln) = studio();
    let fields = [("do", "plan"), ("name", ""), ("ware", "glaze"), ("cone", "10"), ("count_1_1", "0")];
    let problems = studio.submit(&format!("/plans/new?kiln={kiln}"), &fields).err().unwrap_or_default();
    assert_eq!(
        said(&problems),
        [
            "name: give the plan a name, such as glaze, week 9",
            "count_1_1: ask for at least one layer; a set of that height must be in the rack",
        ]
    );
    let without = studio.kiln("little one", crate::event::values::Fuel::Electric, "6");
    let PageData::Plans(PlansPage::New(page)) = studio.get(&format!("/plans/new?kiln={without}")).data else {
        panic!("the form")
    };
    assert!(page.inside_first.is_some(), "its inside comes first");
}

#[test]
fn a_layer_saved_as_it_was_changes_nothing() {
    let (mut studio, kiln) = studio();
    let address = planned(&mut studio, kiln, "3");
    for layer in 1..=3 {
        let read = change(&mut studio, &format!("{address}/layer/1/{layer}"), &[]);
        let read = read.unwrap_or_else(|problems| panic!("{:?}", said(&problems)));
        assert_eq!(body(&read), &saved(&studio), "layer {layer}");
    }
}

#[test]
fn another_set_brings_its_posts_and_a_post_of_another_set_ends_the_set() {
    let (mut studio, kiln) = studio();
    let address = format!("{}/layer/1/1", planned(&mut studio, kiln, "1"));
    let world = studio.world();
    let now = saved(&studio).stacks[0].layers[0].set;
    let other = world.sets.values().find(|set| Some(set.id) != now).unwrap_or_else(|| panic!("another set"));
    let read =
        change(&mut studio, &address, &[("set", other.code.as_str())]).unwrap_or_else(|p| panic!("{p:?}"));
    let layer = &body(&read).stacks[0].layers[0];
    assert_eq!(layer.set, Some(other.id));
    let posts: Vec<_> = layer.supports.iter().flat_map(|one| one.posts.clone()).collect();
    assert_eq!(posts, other.posts);
    let single = world.code_of(Piece::Post(other.posts[0]));
    let read = change(&mut studio, &address, &[("posts1", &single)]).unwrap_or_else(|p| panic!("{p:?}"));
    let layer = &body(&read).stacks[0].layers[0];
    assert_eq!((layer.set, layer.supports[0].posts.as_slice()), (None, &other.posts[..1]));
}

#[test]
fn two_posts_on_each_other_shims_wads_and_pieces_by_hand_are_kept() {
    let (mut studio, kiln) = studio();
    let address = format!("{}/layer/1/1", planned(&mut studio, kiln, "1"));
    let read = change(
        &mut studio,
        &address,
        &[
            ("posts2", "P01 + P05"),
            ("shim2", "card"),
            ("wad1", "3"),
            ("x2", "42"),
            ("pieces1", "100; 80; 12 cm; 140; 0.9\n\n400; 150; 5 in; 90; 500 g"),
            ("lid1", "yes"),
        ],
    );
    let read = read.unwrap_or_else(|problems| panic!("{:?}", said(&problems)));
    let layer = &body(&read).stacks[0].layers[0];
    let codes: Vec<String> =
        layer.supports[1].posts.iter().map(|id| studio.world().code_of(Piece::Post(*id))).collect();
    assert_eq!(codes, ["P01", "P05"]);
    let (first, second) = (&layer.supports[0], &layer.supports[1]);
    assert_eq!((second.shim_nm.mm(), first.wad_nm.mm(), second.at.x_nm.mm()), (0.76, 3.0, 42.0));
    let ware = &layer.shelves[0].ware;
    assert!(ware.lidded);
    let sizes: Vec<_> = ware.pieces.iter().map(|piece| (piece.diameter_nm.mm(), piece.mass_mg.0)).collect();
    assert_eq!(sizes, [(120.0, 900_000), (127.0, 500_000)]);
}

#[test]
fn what_cannot_be_read_is_said_at_its_field() {
    let (mut studio, kiln) = studio();
    let address = format!("{}/layer/1/1", planned(&mut studio, kiln, "1"));
    let check = |studio: &mut Studio, field: (&str, &str), expected: &[&str]| {
        let problems = change(studio, &address, &[field]).err().unwrap_or_default();
        assert_eq!(said(&problems), expected, "{field:?}");
    };
    check(
        &mut studio,
        ("posts1", "P01 + P02 + P03"),
        &["posts1: at most two posts on each other, the lower one first: P31 + P40"],
    );
    check(&mut studio, ("posts1", "P99"), &["posts1: no post P99 is in this kiln\u{2019}s racks"]);
    check(&mut studio, ("shelf1", "F99"), &["shelf1: no shelf of this kiln has the code F99"]);
    check(&mut studio, ("mass1", "two"), &["mass1: \"two\" is not a mass; type for example 12 kg, or 26 lb"]);
    check(
        &mut studio,
        ("pieces1", "100 80"),
        &["pieces1: line 1: give five numbers with semicolons between: 100; 80; 120; 140; 0.9"],
    );
    check(&mut studio, ("y1", ""), &["y1: type a length, for example 150.4, or 5 7/8 in"]);
}

#[test]
fn layers_are_raised_taken_out_added_and_twinned() {
    let (mut studio, kiln) = studio();
    let plan = planned(&mut studio, kiln, "2");
    let layer = |n: u32| format!("{plan}/layer/1/{n}");
    let shelves =
        |plan: &PlanSaved| plan.stacks[0].layers.iter().map(|l| l.shelves[0].shelf).collect::<Vec<_>>();
    let was = shelves(&saved(&studio));
    let read = change(&mut studio, &layer(1), &[("then", "up")]).unwrap_or_else(|p| panic!("{p:?}"));
    assert_eq!(shelves(body(&read)), [was[1], was[0]]);
    assert_eq!(read.next, layer(2));
    let read = change(&mut studio, &layer(1), &[("then", "remove")]).unwrap_or_else(|p| panic!("{p:?}"));
    assert_eq!(shelves(body(&read)), [was[1]]);
    let read = change(&mut studio, &layer(2), &[("then", "next")]).unwrap_or_else(|p| panic!("{p:?}"));
    assert_eq!((shelves(body(&read)).len(), read.next.clone()), (3, layer(3)));
    let read = change(&mut studio, &layer(1), &[("then", "twin")]).unwrap_or_else(|p| panic!("{p:?}"));
    let twinned = &body(&read).stacks[0].layers[0];
    assert_eq!(twinned.shelves.len(), 2);
    assert_eq!(twinned.shelves[1].at.y_nm, Length::from_mm(300.0), "behind the first");
    // (40, 260) of the front shelf and (40, 340) of the back one, 80 apart, are one post at the seam; the posts at
    // the right, (560, 150) and (560, 450), are two: five columns in all.
    assert_eq!(twinned.supports.len(), 5);
}

#[test]
fn a_posts_place_is_changed_by_hand_and_put_back_by_the_inset() {
    let (mut studio, kiln) = studio();
    let address = format!("{}/layer/1/1", planned(&mut studio, kiln, "1"));
    let read =
        change(&mut studio, &address, &[("x1", "90"), ("y1", "3 in")]).unwrap_or_else(|p| panic!("{p:?}"));
    let at = body(&read).stacks[0].layers[0].supports[0].at;
    assert_eq!((at.x_nm.mm(), at.y_nm.mm()), (90.0, 76.2));
    studio.take(read);
    let read = change(&mut studio, &address, &[("then", "inset")]).unwrap_or_else(|p| panic!("{p:?}"));
    let at = body(&read).stacks[0].layers[0].supports[0].at;
    assert_eq!((at.x_nm.mm(), at.y_nm.mm()), (40.0, 40.0));
}

#[test]
fn the_page_draws_and_checks_by_its_own_part_of_the_world_as_the_whole_would() {
    let (mut studio, kiln) = studio();
    let address = format!("{}/layer/1/2", planned(&mut studio, kiln, "3"));
    let data = layer_page(&studio.get(&address));
    let mut cache = crate::judge::stack::PlateCache::default();
    let carried = data.shown(&data.bench.world(), &data.plan, &mut cache);
    let whole = data.shown(&studio.world(), &data.plan, &mut cache);
    assert_eq!(carried, whole);
    let drawing = carried.drawing.unwrap_or_else(|| panic!("it is drawn"));
    assert_eq!(drawing.handles.len(), 3);
    // A thumb on the first ring is at the post's own place.
    let (width, height) = drawing.figure.size;
    let spot = drawing.back(drawing.handles[0].x / width, drawing.handles[0].y / height);
    assert_eq!(Some(spot), data.planned().map(|layer| layer.supports[0].at));
}

#[test]
fn a_firing_takes_its_pieces_from_the_plan_and_keeps_it_when_corrected() {
    let (mut studio, kiln) = studio();
    let plan = planned(&mut studio, kiln, "2");
    let id: PlanId = plan.trim_start_matches("/plan/").parse().unwrap_or_else(|_| panic!("{plan}"));
    let address = format!("/firings/new?kiln={kiln}&plan={id}");
    let begun = studio.get(&address).form.values;
    assert_eq!(begun["in"].len(), 2 + 6, "two shelves and their posts: {:?}", begun["in"]);
    let fields: Vec<(String, String)> = begun
        .iter()
        .flat_map(|(name, values)| values.iter().map(move |value| (name.clone(), value.clone())))
        .chain([("do".to_owned(), "firing".to_owned())])
        .collect();
    let fields: Vec<(&str, &str)> = fields.iter().map(|(n, v)| (n.as_str(), v.as_str())).collect();
    let read = studio.submit(&address, &fields).unwrap_or_else(|p| panic!("{:?}", said(&p)));
    let entry = studio.take(read)[0];
    assert!(studio.world().plans[&id].fired.is_some());
    let corrected = format!("/firings/new?corrects={entry}");
    let read = studio.submit(&corrected, &fields).unwrap_or_else(|p| panic!("{:?}", said(&p)));
    assert!(matches!(&read.bodies[..], [Body::KilnFired(firing)] if firing.plan == Some(id)));
}

#[test]
fn a_layer_is_ticked_off_and_the_tick_taken_back() {
    let (mut studio, kiln) = studio();
    let sheet = format!("{}/sheet", planned(&mut studio, kiln, "2"));
    let tick = |studio: &mut Studio, layer: &str, loaded: &str| {
        let fields = [("do", "tick"), ("place", "middle"), ("layer", layer), ("loaded", loaded)];
        studio.submit(&sheet, &fields).map(|read| {
            studio.take(read);
        })
    };
    assert!(tick(&mut studio, "2", "yes").is_ok());
    let progress = |studio: &Studio| match studio.get(&sheet).data {
        PageData::Plans(PlansPage::Sheet(sheet)) => sheet.progress,
        other => panic!("{other:?}"),
    };
    assert_eq!(progress(&studio), "1 of 2 layers in the kiln");
    assert!(tick(&mut studio, "2", "no").is_ok());
    assert_eq!(progress(&studio), "0 of 2 layers in the kiln");
    assert!(tick(&mut studio, "7", "yes").is_err());
}
