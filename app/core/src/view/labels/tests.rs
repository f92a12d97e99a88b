//! Labels from the form to the card that they lead to, on a small studio.
use super::LabelsPage;
use crate::testing::{Studio, said};
use crate::view::PageData;

const ADDRESS: &str = "https://tripoise.local:7443";

fn make(studio: &mut Studio, fields: &[(&str, &str)]) -> Result<String, Vec<String>> {
    let usual = [
        ("do", "labels"),
        ("name", "Kestrel Yard"),
        ("address", ADDRESS),
        ("grid", "A4 of 24"),
        ("kinds", "shelf"),
    ];
    let submission =
        studio.submit("/labels", &[&usual[..], fields].concat()).map_err(|found| said(&found))?;
    let next = submission.next.clone();
    studio.take(submission);
    Ok(next)
}

/// The tokens of a sheet, read from its symbols' places: the texts are not kept, so they are made again.
fn tokens(studio: &Studio, sheet: &str) -> Vec<String> {
    let world = studio.world();
    let id = sheet.rsplit('/').next().unwrap_or_default().parse().unwrap_or_else(|_| panic!("{sheet}"));
    let studio_id = world.labels.studio.as_ref().map_or_else(|| panic!("no studio"), |studio| studio.id);
    let labels = world.labels.sheets.get(&id).map(|sheet| sheet.labels.clone()).unwrap_or_default();
    labels.into_iter().map(|label| crate::label::Token::new(label, studio_id).to_string()).collect()
}

#[test]
fn a_label_leads_to_its_piece_and_says_when_it_was_replaced() -> Result<(), Vec<String>> {
    let (mut studio, kiln) = Studio::with_kiln();
    ["F01", "F02", "F10"].into_iter().for_each(|code| {
        studio.shelf(code, kiln);
    });
    let sheet = make(&mut studio, &[("which", "new")])?;
    let PageData::Labels(LabelsPage::Sheet(page)) = studio.get(&sheet).data else { panic!("no sheet") };
    assert_eq!(page.said, "3 labels on 1 sheet, A4, 3 \u{d7} 8 of 70 \u{d7} 37 mm");
    let codes: Vec<&str> =
        page.places.iter().filter_map(|place| place.lines.first()).map(|line| line.text.as_str()).collect();
    assert_eq!(codes, ["F01", "F02", "F10"]);
    let first = tokens(&studio, &sheet);
    let card = studio.get(&format!("/L/{}", first[1]));
    assert_eq!((card.title.as_str(), card.path.as_str()), ("F02", "/shelf/F02"));
    assert_eq!(card.notices, [""; 0]);

    studio.later(3);
    assert_eq!(
        make(&mut studio, &[("which", "new")]),
        Err(vec!["which: there is nothing of that kind to label".to_owned()])
    );
    make(&mut studio, &[("which", "one"), ("code", "f02")])?;
    let old = studio.get(&format!("/l/{}", first[1].to_lowercase()));
    assert_eq!(
        old.notices,
        ["this label of F02 was replaced on 2026-03-18; take it off and hang the newer one"]
    );
    assert_eq!(studio.get(&format!("/l/{}", first[0])).notices, [""; 0]);
    let PageData::Labels(LabelsPage::Sheet(page)) = studio.get(&sheet).data else { panic!("no sheet") };
    assert_eq!(page.replaced, ["F02"]);
    Ok(())
}

#[test]
fn a_label_of_another_studio_is_told_from_a_bad_scan_and_from_one_not_heard_of() -> Result<(), Vec<String>> {
    let (mut studio, kiln) = Studio::with_kiln();
    studio.shelf("F01", kiln);
    let sheet = make(&mut studio, &[("which", "all")])?;
    let ours = tokens(&studio, &sheet).pop().unwrap_or_default();
    let mark = ours.get(26..).unwrap_or_default();
    let check = |path: String, expected: &str| match studio.get(&path).data {
        PageData::NotFound(found) => assert!(found.said.starts_with(expected), "{path}: {}", found.said),
        other => panic!("{path}: {other:?}"),
    };
    check(format!("/L/0000000000000000000000000Z{mark}"), "this label is of this studio, but not on record");
    check("/L/0000000000000000000000000ZZZZZ".to_owned(), "this label is of another studio");
    check("/L/0000000000".to_owned(), "this is not a label of this tool");
    Ok(())
}

#[test]
fn what_cannot_be_printed_is_said_beside_its_field() {
    let (mut studio, kiln) = Studio::with_kiln();
    studio.shelf("F01", kiln);
    let mut check = |fields: &[(&str, &str)], expected: &[&str]| {
        let usual =
            [("do", "labels"), ("name", "K"), ("address", ADDRESS), ("grid", "A4 of 24"), ("which", "all")];
        let kept: Vec<(&str, &str)> =
            usual.into_iter().filter(|(name, _)| fields.iter().all(|(other, _)| other != name)).collect();
        let fields = [&kept[..], fields].concat();
        let found = studio.submit("/labels", &fields).map_err(|found| said(&found)).err();
        assert_eq!(found.unwrap_or_default(), expected, "{fields:?}");
    };
    check(&[], &["kinds: tick at least one kind"]);
    check(
        &[("kinds", "shelf"), ("name", " ")],
        &["name: give the studio a name; it is printed small on each label"],
    );
    let wrong = "address: type the address that phones open, such as https://tripoise.local:7443";
    check(&[("kinds", "shelf"), ("address", "tripoise.local")], &[wrong]);
    check(&[("kinds", "shelf"), ("address", "https://a b")], &[wrong]);
    check(
        &[("kinds", "shelf"), ("address", "http://127.0.0.1:7450")],
        &[
            "?address: phones cannot open an address of this machine itself; tick the box to print it all the same",
        ],
    );
    check(&[("kinds", "shelf"), ("grid", "none")], &["grid: choose one of the grids"]);
    check(
        &[("kinds", "shelf"), ("skip", "24")],
        &["skip: \"24\" is not a count here; type a whole number up to 23"],
    );
    check(&[("which", "one"), ("code", "F99")], &["code: nothing in service bears the code F99"]);
}

#[test]
fn a_grid_of_the_studio_s_own_is_offered_and_a_common_one_can_be_put_away() -> Result<(), Vec<String>> {
    let (mut studio, _) = Studio::with_kiln();
    let own = [
        ("do", "grid"),
        ("name", "tags"),
        ("paper", "letter"),
        ("columns", "2"),
        ("rows", "4"),
        ("width", "3 in"),
        ("height", "2 in"),
        ("left", "1/2 in"),
        ("top", "1 in"),
        ("pitch_x", "3,5 in"),
        ("pitch_y", "2 in"),
        ("offered", "yes"),
    ];
    let read = studio.submit("/labels/grids/one", &own).map_err(|found| said(&found))?;
    studio.take(read);
    let put_away: Vec<(&str, &str)> = [
        ("do", "grid"),
        ("paper", "a4"),
        ("columns", "3"),
        ("rows", "8"),
        ("width", "70"),
        ("height", "37"),
        ("left", "0"),
        ("top", "0.5"),
        ("pitch_x", "70"),
        ("pitch_y", "37"),
    ]
    .to_vec();
    let read = studio.submit("/labels/grids/one?name=A4 of 24", &put_away).map_err(|found| said(&found))?;
    studio.take(read);
    let PageData::Labels(LabelsPage::Choose(page)) = studio.get("/labels").data else { panic!("no page") };
    let names: Vec<&str> = page.grids.iter().map(|grid| grid.name.as_str()).collect();
    assert!(names.contains(&"tags") && !names.contains(&"A4 of 24"), "{names:?}");
    let wide = [("columns", "5")];
    let wrong: Vec<(&str, &str)> =
        put_away.iter().copied().filter(|(name, _)| *name != "columns").chain(wide).collect();
    let found = studio.submit("/labels/grids/one?name=A4 of 24", &wrong).map_err(|found| said(&found));
    assert_eq!(
        found.err().unwrap_or_default(),
        [
            "columns: the last label ends 350 mm from the edge of A4 paper of 210 mm; give fewer or smaller ones"
        ]
    );
    Ok(())
}
