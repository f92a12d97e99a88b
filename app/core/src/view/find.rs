//! `/find`: a code typed, and the card it leads to.
//!
//! A code that is known is answered with its card's page itself ([`target`]), so that it takes one tap with
//! and without JavaScript. One that is not is answered with the codes nearest to it.
use super::rack::{post_row, set_row, shelf_row};
use super::route::{Parts, Request};
use super::{FormState, PageData, Row, Tab};
use crate::code::Code;
use crate::judge::{post, post_set, shelf};
use crate::world::{Subject, World};
use serde::{Deserialize, Serialize};

/// How many near codes are offered. House choice: what fits a phone's screen above the keypad.
const MOST_NEAR: usize = 6;

/// The page.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Find {
    /// What was typed, as it was.
    pub typed: String,
    /// Why it led nowhere; empty where nothing was typed yet.
    pub said: String,
    /// The pieces whose codes are nearest to it.
    pub near: Vec<Row>,
}

/// The request for the card that `/find?code=` asks for, where the code is known.
#[must_use]
pub fn target(world: &World, request: &Request) -> Option<Request> {
    if request.path.trim_end_matches('/') != "/find" {
        return None;
    }
    let subject = world.by_code(&Code::read(request.query("code")).ok()?)?;
    let mut found = request.clone();
    found.path = card(world, subject)?;
    found.query.remove("code");
    Some(found)
}

/// The page at `/find` where the code is not known, or none was typed.
#[must_use]
pub fn page(world: &World, request: &Request) -> Parts {
    let typed = request.query("code").trim().to_owned();
    let (said, near) = match Code::read(&typed) {
        _ if typed.is_empty() => (String::new(), Vec::new()),
        Err(cause) => (cause.to_string(), Vec::new()),
        Ok(code) => {
            let near = near(world, &code);
            let hint = if near.is_empty() { "" } else { "; nearest to it:" };
            (format!("nothing here bears the code {code}{hint}"), near)
        }
    };
    Parts {
        title: "Find".to_owned(),
        subtitle: "by the code on the piece".to_owned(),
        tab: Tab::Find,
        data: PageData::Find(Find { typed, said, near }),
        form: FormState::default(),
    }
}

/// The address of a piece's, set's, kiln's, firing's or setting's page.
#[must_use]
pub fn card(world: &World, subject: Subject) -> Option<String> {
    match subject {
        Subject::Shelf(id) => world.shelves.get(&id).map(|shelf| super::shelf::path(world, shelf)),
        Subject::Post(id) => world.posts.get(&id).map(|post| format!("/post/{}", post.code)),
        Subject::Set(id) => world.sets.get(&id).map(|set| format!("/set/{}", set.code)),
        Subject::Kiln(id) => world.kilns.get(&id).map(|kiln| format!("/rack?kiln={}", kiln.id)),
        Subject::Firing(id) => world.firings.get(&id).map(|firing| format!("/firing/{}", firing.id)),
        Subject::Setting(key) => Some(format!("/settings/{}", key.about().name)),
        Subject::Plan(id) => world.plans.get(&id).map(|plan| format!("/plan/{}", plan.id)),
    }
}

/// The pieces whose codes differ from `code` by one slip, by code.
fn near(world: &World, code: &Code) -> Vec<Row> {
    let alike = world.codes.iter().filter(|(other, _)| one_slip(code.as_str(), other.as_str()));
    // Code, one line and mark are enough to tell them apart.
    let short = |row: Row| Row { more: String::new(), ..row };
    alike.take(MOST_NEAR).filter_map(|(_, subject)| row(world, *subject)).map(short).collect()
}

/// The row of a shelf, post or set, with its mark.
#[must_use]
pub fn row(world: &World, subject: Subject) -> Option<Row> {
    match subject {
        Subject::Shelf(id) => {
            world.shelves.get(&id).map(|one| shelf_row(world, one, &shelf::judge(world, one)))
        }
        Subject::Post(id) => world.posts.get(&id).map(|one| post_row(world, one, &post::judge(world, one))),
        Subject::Set(id) => world.sets.get(&id).map(|one| set_row(world, one, &post_set::judge(world, one))),
        Subject::Kiln(_) | Subject::Firing(_) | Subject::Setting(_) | Subject::Plan(_) => None,
    }
}

/// Whether two codes differ by one slip of the finger: a character wrong, missing or too many, or two
/// neighbours swapped.
fn one_slip(one: &str, other: &str) -> bool {
    let (one, other) = (one.as_bytes(), other.as_bytes());
    let same_front = one.iter().zip(other).take_while(|(a, b)| a == b).count();
    let (one, other) = (&one[same_front..], &other[same_front..]);
    match (one, other) {
        ([], []) => false,
        ([_, rest @ ..], _) if rest == other => true,
        (_, [_, rest @ ..]) if rest == one => true,
        ([_, a @ ..], [_, b @ ..]) if a == b => true,
        ([a, b, rest @ ..], [c, d, others @ ..]) => a == d && b == c && rest == others,
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::Studio;

    fn find(studio: &Studio, typed: &str) -> Find {
        match studio.get(&format!("/find?code={typed}")).data {
            PageData::Find(find) => find,
            other => panic!("{typed}: {other:?}"),
        }
    }

    #[test]
    fn slips_of_the_finger() {
        let check = |one: &str, other: &str, expected: bool| {
            assert_eq!(one_slip(one, other), expected, "{one} {other}");
            assert_eq!(one_slip(other, one), expected, "{other} {one}");
        };
        check("F17", "F71", true);
        check("F17", "F18", true);
        check("F17", "F117", true);
        check("F17", "F1", true);
        check("F17", "P17", true);
        check("F17", "F17", false);
        check("F17", "F28", false);
        check("F17", "P71", false);
        check("F17", "F171X", false);
    }

    #[test]
    fn an_unknown_code_is_said_and_its_neighbours_offered() {
        let (mut studio, kiln) = Studio::with_kiln();
        ["F12", "F21", "F45"].into_iter().for_each(|code| {
            studio.shelf(code, kiln);
        });
        studio.post("P21", 150.0, kiln);
        let found = find(&studio, "f22");
        assert_eq!(found.said, "nothing here bears the code F22; nearest to it:");
        let near: Vec<&str> = found.near.iter().map(|row| row.code.as_str()).collect();
        assert_eq!(near, ["F12", "F21"]);
        assert_eq!(find(&studio, "X99").said, "nothing here bears the code X99");
        assert_eq!(
            find(&studio, "F-12").said,
            "'-' in \"F-12\" cannot be in a code; use letters A to Z and digits"
        );
        assert_eq!(find(&studio, "").said, "");
    }

    #[test]
    fn a_known_code_leads_to_its_card_and_its_check_character_is_verified() {
        let (mut studio, kiln) = Studio::with_kiln();
        studio.shelf("F07", kiln);
        let checked = crate::code::nth('F', 7).checked();
        for typed in ["F07", " f07 ", checked.as_str()] {
            assert_eq!(studio.get(&format!("/find?code={typed}")).path, "/shelf/F07", "{typed}");
        }
        let wrong = if checked.ends_with('X') { "F07-Y" } else { "F07-X" };
        assert!(find(&studio, wrong).said.contains("does not fit F07"));
    }
}
