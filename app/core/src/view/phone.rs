//! `/phone`: what is on this phone and not on the server, and what the server did not take.
//!
//! The server cannot see what a phone holds: the page that it renders says so, and the phone's own program
//! puts [`of`] in its place.
use super::route::Parts;
use super::{FormState, Page, PageData, Request, Tab, history, text};
use crate::event::Event;
use crate::ids::EventId;
use crate::sync::{Held, WaitState, Waiting};
use crate::world::World;
use serde::{Deserialize, Serialize};

/// The page's data.
#[derive(Clone, PartialEq, Eq, Debug, Default, Serialize, Deserialize)]
pub struct PhonePage {
    /// Whether the phone itself made the page.
    pub known: bool,
    /// What is on this phone only, oldest first.
    pub waiting: Vec<WaitingLine>,
    /// What the server did not take, oldest first.
    pub not_taken: Vec<WaitingLine>,
    /// "1,789 events of the studio are kept here".
    pub kept: String,
}

/// One entry that waits, or was not taken.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct WaitingLine {
    /// The entry.
    pub event: EventId,
    /// When it was recorded: "2026-03-01 14:05".
    pub at: String,
    /// What happened, in one line.
    pub said: String,
    /// Why the server did not take it; empty while it waits.
    pub why: Vec<String>,
}

/// The page as the server renders it.
#[must_use]
pub fn page() -> Parts {
    parts(PhonePage::default())
}

/// The page as the phone makes it.
#[must_use]
pub fn of(held: &Held, world: &World, request: &Request) -> Page {
    let mut waiting: Vec<&Waiting> =
        held.waiting.values().filter(|entry| entry.state == WaitState::ToSend).collect();
    waiting.sort_by_key(|entry| entry.record.order());
    let lines = |entries: Vec<&Waiting>| entries.into_iter().map(|entry| line(world, entry)).collect();
    let data = PhonePage {
        known: true,
        waiting: lines(waiting),
        not_taken: lines(held.not_taken()),
        kept: format!("{} of the studio are kept here", text::count(held.phone.cursor, "entry", "entries")),
    };
    Page { data: PageData::Phone(data), ..super::page(world, request) }
}

fn parts(data: PhonePage) -> Parts {
    Parts {
        title: "This phone".to_owned(),
        subtitle: "what is on it, and what is on the server".to_owned(),
        tab: Tab::More,
        data: PageData::Phone(data),
        form: FormState::default(),
    }
}

fn line(world: &World, entry: &Waiting) -> WaitingLine {
    let said = match Event::read(&entry.record) {
        Ok(event) => history::said(world, &event),
        Err(cause) => cause.to_string(),
    };
    WaitingLine {
        event: entry.record.id,
        at: text::moment(entry.record.observed_at),
        said,
        why: match &entry.state {
            WaitState::ToSend | WaitState::Acknowledged { .. } => Vec::new(),
            WaitState::Conflict => vec!["the server has another entry under this one's id".to_owned()],
            WaitState::Refused { problems, .. } if problems.is_empty() => {
                vec!["another entry of the same form was refused".to_owned()]
            }
            WaitState::Refused { problems, .. } => problems.iter().map(|one| one.cause.clone()).collect(),
        },
    }
}

/// What the badge says: "On this phone: 7 waiting", "On the server", and what was not taken.
#[must_use]
pub fn badge(n_waiting: usize, n_not_taken: usize) -> String {
    let mut said = match n_waiting {
        0 => "On the server".to_owned(),
        n => format!("On this phone: {n} waiting"),
    };
    if n_not_taken > 0 {
        said.push_str(&format!("; {n_not_taken} not taken"));
    }
    said
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::event::{Body, NoteAdded, SettingChanged};
    use crate::settings::SettingKey;
    use crate::sync::wire::{Answered, Status, Taken};
    use crate::sync::{Draft, Phone};
    use crate::testing::{Studio, TODAY};
    use crate::world::check::Problem;
    use uuid::Uuid;

    fn request() -> Request {
        Request { path: "/phone".to_owned(), query: Default::default(), today: TODAY, notices: Vec::new() }
    }

    fn data(held: &Held, world: &World) -> PhonePage {
        match of(held, world, &request()).data {
            PageData::Phone(data) => data,
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn what_waits_and_what_was_not_taken_is_told_with_its_reason() {
        let (mut studio, kiln) = Studio::with_kiln();
        let shelf = studio.shelf("F01", kiln);
        let world = studio.world();
        let mut held = Held::new(Phone::new(crate::ids::DeviceId(Uuid::from_u128(99))));
        let setting = SettingChanged {
            key: SettingKey::SpreadGood,
            value: 600_000,
            text: "0.6".to_owned(),
            reason: "new calipers".to_owned(),
        };
        let note = NoteAdded { piece: crate::event::values::Piece::Shelf(shelf), text: "chipped".to_owned() };
        for (number, body) in [(901, Body::from(note)), (902, Body::from(setting))] {
            let drafts = vec![Draft { id: EventId(Uuid::from_u128(number)), body, corrects: None }];
            let (_, write) = held.record(drafts, 1_773_576_000_000).unwrap_or_else(|cause| panic!("{cause}"));
            held.apply(&write);
        }
        let both = data(&held, &world);
        assert_eq!((both.waiting.len(), both.not_taken.len()), (2, 0));
        assert!(both.waiting[0].said.starts_with("F01"), "{:?}", both.waiting[0]);
        let push = held.next_push().unwrap_or_else(|| panic!("two wait"));
        let problems = vec![Problem::new("reason", "say why it is changed")];
        let (id, hlc, seq) = (serde_json::json!(push.records[1].id), None, None);
        let refused = Answered { id, status: Status::Refused, seq, problems, hlc };
        let taken = Taken { epoch: Uuid::from_u128(7), last_seq: 0, answers: vec![refused] };
        held.apply(&held.take_push(&push, &taken));
        let one = data(&held, &world);
        assert_eq!((one.waiting.len(), one.not_taken.len()), (1, 1));
        assert_eq!(one.not_taken[0].why, ["say why it is changed"]);
    }

    #[test]
    fn the_badge_counts() {
        assert_eq!(badge(7, 0), "On this phone: 7 waiting");
        assert_eq!(badge(0, 0), "On the server");
        assert_eq!(badge(0, 2), "On the server; 2 not taken");
    }
}
