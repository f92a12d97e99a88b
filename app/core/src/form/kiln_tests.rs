//! A kiln's inside as people type it.
use crate::event::Body;
use crate::event::plan::Chamber;
use crate::testing::{Studio, said};
use crate::view::PageData;

const ARCHED: &[(&str, &str)] = &[
    ("do", "inside"),
    ("form", "arched"),
    ("width", "960"),
    ("depth", "80 cm"),
    ("height", "1150"),
    ("spring", "900"),
];

fn check(more: &[(&str, &str)], expected: &[&str]) {
    let (mut studio, kiln) = Studio::with_kiln();
    let fields: Vec<_> = ARCHED.iter().chain(more).copied().collect();
    // The later of two values of a field is the one under test.
    let fields: Vec<_> = fields
        .iter()
        .enumerate()
        .filter(|(at, (name, _))| !fields[at + 1..].iter().any(|(other, _)| other == name))
        .map(|(_, field)| *field)
        .collect();
    let read = studio.submit(&format!("/kiln/{kiln}/inside"), &fields);
    assert_eq!(said(&read.err().unwrap_or_default()), expected, "{more:?}");
}

#[test]
fn what_is_wrong_is_said_at_its_own_row() {
    check(&[], &[]);
    check(&[("form", "")], &["form: choose one"]);
    check(
        &[("spring", "1200")],
        &["spring: the spring line lies below the crown; measure both from the floor"],
    );
    check(
        &[
            ("place_2_name", "left"),
            ("place_2_x", "1"),
            ("place_2_y", ""),
            ("place_2_l", "600"),
            ("place_2_w", "0"),
        ],
        &["place_2_y: type a length, for example 150.4, or 5 7/8 in"],
    );
    check(
        &[("keep_1_kind", ""), ("keep_1_x", "10")],
        &["keep_1_kind: choose what is there, or empty the row"],
    );
    check(
        &[
            ("keep_1_kind", "flue"),
            ("keep_1_x", "400"),
            ("keep_1_y", "790"),
            ("keep_1_l", "160"),
            ("keep_1_w", "10"),
            ("keep_1_from", "200"),
            ("keep_1_to", "0"),
        ],
        &["keep_1_to: it ends above where it begins; measure both from the floor"],
    );
}

#[test]
fn an_inside_is_kept_drawn_and_offered_again_as_it_was_typed() {
    let (mut studio, kiln) = Studio::with_kiln();
    let address = format!("/kiln/{kiln}/inside");
    let fields: Vec<_> = ARCHED
        .iter()
        .chain(&[
            ("place_1_name", "front"),
            ("place_1_x", "180"),
            ("place_1_y", "90"),
            ("place_1_l", "600"),
            ("place_1_w", "300"),
            ("keep_1_kind", "bag_wall"),
            ("keep_1_x", "0"),
            ("keep_1_y", "0"),
            ("keep_1_l", "60"),
            ("keep_1_w", "800"),
            ("keep_1_from", "0"),
            ("keep_1_to", "350"),
            ("keep_1_clear", "4 in"),
        ])
        .copied()
        .collect();
    let read = studio.submit(&address, &fields).unwrap_or_else(|found| panic!("{found:?}"));
    assert_eq!(read.next, format!("/kiln/{kiln}"));
    let [Body::KilnChamberSet(body)] = &read.bodies[..] else { panic!("{:?}", read.bodies) };
    assert!(matches!(body.chamber, Chamber::Arched { .. }));
    studio.take(read);
    let form = studio.get(&address).form;
    assert_eq!(form.values["depth"], ["800"]);
    assert_eq!(form.values["keep_1_clear"], ["101.6"]);
    // By its name too, and the own distance is told from the usual one.
    let PageData::Kiln(page) = studio.get("/kiln/BIG gas").data else { panic!("by its name") };
    let drawn = page.inside.unwrap_or_else(|| panic!("it is drawn"));
    assert!(
        drawn.keep_outs[0][1].ends_with("keep 101.6 mm off (this kiln\u{2019}s own)"),
        "{:?}",
        drawn.keep_outs
    );
    assert!(drawn.section.said.contains("1150 mm high"), "{}", drawn.section.said);
}

#[test]
fn the_button_lays_places_out_and_records_nothing() {
    let (studio, kiln) = Studio::with_kiln();
    let address = format!(
        "/kiln/{kiln}/inside?then=lay_out&form=box&width=960&depth=800&height=1150&lay_n=2&lay_l=600&lay_w=300"
    );
    let form = studio.get(&address).form;
    assert_eq!(
        (&form.values["place_2_name"], &form.values["place_2_y"]),
        (&vec!["back".to_owned()], &vec!["410".to_owned()])
    );
    let too_many = address.replace("lay_n=2", "lay_n=9");
    assert_eq!(studio.get(&too_many).form.problems[0].field, "lay_n");
    assert_eq!(studio.world().log.len(), 1);
}
