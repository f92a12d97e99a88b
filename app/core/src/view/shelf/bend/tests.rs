//! How a shelf bends, as its page and its card say it.
use super::super::ShelfPage;
use super::{Asked, Bend, Shown};
use crate::code::Code;
use crate::event::values::{Face, GrindMethod, Mask, Material};
use crate::event::{SetMade, ShelfGround};
use crate::ids::SetId;
use crate::testing::Studio;
use crate::units::Length;
use crate::view::{LengthUnit, PageData, Shape};

fn bend(studio: &Studio, address: &str) -> Bend {
    match studio.get(address).data {
        PageData::Shelf(ShelfPage::Bend(data)) => *data,
        other => panic!("{address}: {other:?}"),
    }
}

fn shown(data: &Bend) -> Shown {
    data.shown(&data.asked, LengthUnit::Mm)
}

#[test]
fn the_page_bends_the_shelf_on_its_own_inset_under_a_usual_load() {
    let (mut studio, kiln) = Studio::with_kiln();
    studio.shelf("F01", kiln);
    let data = bend(&studio, "/shelf/F01/bend");
    // 600 x 300 x 19 mm at 2.2 g/cm³ is 7.5 kg; 37/43 of it 6.5.
    assert_eq!(data.asked, Asked { load: "6".to_owned(), inset: "40".to_owned(), posts: "3".to_owned() });
    let shown = shown(&data);
    let now = shown.now.unwrap_or_else(|| panic!("no layout"));
    assert_eq!(now.title, "Three posts 40 mm in, 6 kg of ware");
    let verdict = "which is unverified: 0.41 MPa against 1.25 MPa, 25 % of a strength of 5 MPa at heat";
    assert_eq!(now.mark.word, "within the table\u{2019}s figure");
    assert_eq!(now.verdict, verdict);
    assert_eq!(now.numerals[0], ["0.32", "mm", "bends down at most, front middle"]);
    assert_eq!(now.numerals[1], ["0.41", "MPa", "greatest stress: pulls at the lower face, front middle"]);
    let facts: Vec<&str> = now.facts.iter().map(|[_, value]| value.as_str()).collect();
    let stand = "40 mm from the left, 40 mm from the front; 40 mm from the left, 40 mm from the back; 40 mm from \
                 the right, on the middle line";
    let carry = "front left 3.4 kg, back left 3.4 kg, middle right 6.8 kg";
    assert_eq!(facts, ["0.4 mm", "0.3 mm", carry, stand, "35 % of its own mass"]);
    assert_eq!(now.mark.shape, Shape::Plain);
    assert_eq!((now.plan.posts.len(), now.side.posts.len()), (3, 2));
    assert!(now.side.caption.contains("drawn 200 times"), "{}", now.side.caption);
    let corners = "But free corners tip sooner there: at 27 % of the shelf\u{2019}s own mass instead of 35 %";
    assert!(
        shown.compared.starts_with("At their best places three posts leave 0.02 mm"),
        "{}",
        shown.compared
    );
    assert!(shown.compared.contains(corners), "{}", shown.compared);
    let best = shown.best.unwrap_or_else(|| panic!("no best places"));
    assert!(
        best.side.caption.contains("drawn 200 times"),
        "one exaggeration for both: {}",
        best.side.caption
    );
}

#[test]
fn the_address_changes_the_case() {
    let (mut studio, kiln) = Studio::with_kiln();
    studio.shelf("F01", kiln);
    let of = |address: &str| {
        let data = bend(&studio, address);
        shown(&data).now.map(|now| now.numerals[0][0].parse::<f64>().unwrap_or(f64::NAN))
    };
    let at = |address: &str| of(address).unwrap_or_else(|| panic!("{address}"));
    assert!(at("/shelf/F01/bend?load=20") > at("/shelf/F01/bend?load=10"));
    assert!(at("/shelf/F01/bend?inset=60") < at("/shelf/F01/bend?inset=40"));
    assert!(at("/shelf/F01/bend?posts=4") < at("/shelf/F01/bend?posts=3"));
    let wrong = shown(&bend(&studio, "/shelf/F01/bend?load=lots&inset=150"));
    assert_eq!(wrong.load_problem, "\"lots\" is not a mass; type for example 12 kg, or 26 lb");
    assert_eq!(wrong.inset_problem, "150 mm leaves no room; give less than 150 mm");
    assert!(wrong.now.is_none());
    let heavy = shown(&bend(&studio, "/shelf/F01/bend?load=400")).now;
    assert!(heavy.is_some_and(|now| now.mark.shape == Shape::Stop && now.verdict.contains("unverified")));
}

#[test]
fn the_set_made_for_it_gives_inset_and_number_of_posts() {
    let (mut studio, kiln) = Studio::with_kiln();
    let shelf = studio.shelf("F01", kiln);
    let posts = ["P01", "P02", "P03", "P04"].map(|code| studio.post(code, 150.0, kiln)).to_vec();
    let set = SetId(uuid::Uuid::from_u128(1 << 90));
    let code = Code::read("K01").unwrap_or_else(|cause| panic!("{cause}"));
    studio.record(SetMade { set, code, posts, shelf: Some(shelf), inset_nm: Length::from_mm(55.0) });
    let data = bend(&studio, "/shelf/F01/bend");
    assert_eq!((data.asked.inset.as_str(), data.asked.posts.as_str()), ("55", "4"));
    let now = shown(&data).now.unwrap_or_else(|| panic!("no layout"));
    assert!(now.caution.starts_with("Taken as four posts of exactly one height"), "{}", now.caution);
}

#[test]
fn grinding_is_said_in_stiffness_and_a_round_shelf_is_refused() {
    let (mut studio, kiln) = Studio::with_kiln();
    let shelf = studio.shelf_of("F01", kiln, Material::Cordierite);
    studio.record(ShelfGround {
        shelf,
        face: Face::A,
        removed_nm: Some(Length::from_mm(1.9)),
        minutes: None,
        method: GrindMethod::Dry,
        mask: Mask::Fitted,
    });
    let data = bend(&studio, "/shelf/F01/bend");
    assert!(
        data.ground.starts_with("1.9 mm of 19 mm ground off on record: 73 % of the stiffness is left"),
        "{}",
        data.ground
    );
    let round = crate::outline::Outline::Round { diameter_nm: Length::from_mm(530.0) };
    studio.shelf_like("F02", kiln, Material::Cordierite, round);
    let data = bend(&studio, "/shelf/F02/bend");
    assert_eq!(
        data.refused,
        "how a round shelf bends is not worked out here: the calculation takes rectangles only"
    );
    assert!(shown(&data).now.is_none());
    let PageData::Shelf(ShelfPage::Card(card)) = studio.get("/shelf/F02").data else { panic!("no card") };
    assert!(card.bends.starts_with("How a round shelf bends is not worked out here"), "{}", card.bends);
    let PageData::Shelf(ShelfPage::Card(card)) = studio.get("/shelf/F01").data else { panic!("no card") };
    assert!(
        card.bends.contains("of ware on three posts 40 mm in. Stress within the table"),
        "{}",
        card.bends
    );
}
