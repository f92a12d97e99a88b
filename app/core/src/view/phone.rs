//! `/phone`: what is on this phone and not on the server, and what the server did not take.
//!
//! The server cannot see what a phone holds: the page that it renders says so, and the phone's own program
//! puts [`of`] in its place. What was not taken also stands in the history of its piece: [`with_not_taken`].
use super::route::Parts;
use super::shelf::ShelfPage;
use super::{FormState, HistoryLine, Page, PageData, Request, Tab, history, text};
use crate::code::Code;
use crate::event::Event;
use crate::ids::EventId;
use crate::sync::{Held, WaitState, Waiting};
use crate::world::{Subject, World, subjects};
use jiff::Timestamp;
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
    /// "1,789 entries of the studio are kept here".
    pub kept: String,
    /// When the server last answered, in words.
    pub exchanged: String,
    /// What all of it takes of the phone's storage; empty where the browser does not say.
    pub used: String,
    /// Whether the server lets this phone in.
    pub paired: bool,
}

/// What the phone knows of its dealings with the server beside what it holds.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Dealings {
    /// When an exchange last ended well.
    pub last_exchange: Option<Timestamp>,
    /// False once the server said that it does not know this phone.
    pub paired: bool,
    /// What the browser says that everything of this site takes, in bytes.
    pub used_bytes: Option<u64>,
    /// The part of it that entries take, where the browser tells it apart.
    pub used_by_entries_bytes: Option<u64>,
}

impl Default for Dealings {
    fn default() -> Self {
        Self { last_exchange: None, paired: true, used_bytes: None, used_by_entries_bytes: None }
    }
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
pub fn of(held: &Held, world: &World, dealings: &Dealings, request: &Request) -> Page {
    let mut waiting: Vec<&Waiting> =
        held.waiting.values().filter(|entry| entry.state == WaitState::ToSend).collect();
    waiting.sort_by_key(|entry| entry.record.order());
    let lines = |entries: Vec<&Waiting>| entries.into_iter().map(|entry| line(world, entry)).collect();
    let data = PhonePage {
        known: true,
        waiting: lines(waiting),
        not_taken: lines(held.not_taken()),
        kept: format!("{} of the studio are kept here", text::count(held.phone.cursor, "entry", "entries")),
        exchanged: dealings.last_exchange.map_or_else(
            || "This phone and the server have not yet exchanged what they have.".to_owned(),
            |at| format!("Last exchange with the server: {} UTC.", text::moment(at)),
        ),
        used: used(dealings, held.records().count()),
        paired: dealings.paired,
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

/// "4.2 MB of storage, of it 560 kB for each 1,000 entries"; kilobytes of 1,000 bytes, as phones count.
fn used(dealings: &Dealings, n_entries: usize) -> String {
    let Some(all) = dealings.used_bytes else { return String::new() };
    let n_entries = u64::try_from(n_entries).unwrap_or(u64::MAX);
    let each =
        dealings.used_by_entries_bytes.and_then(|bytes| bytes.saturating_mul(1_000).checked_div(n_entries));
    let each =
        each.map_or(String::new(), |each| format!(", of it {} for each 1,000 entries", kilobytes(each)));
    format!("All of it takes {} of this phone's storage{each}.", kilobytes(all))
}

fn kilobytes(bytes: u64) -> String {
    let kilobytes = bytes.div_ceil(1_000);
    let (whole, rest) = (kilobytes / 1_000, kilobytes % 1_000);
    if whole == 0 { format!("{rest} kB") } else { format!("{whole}.{} MB", rest / 100) }
}

/// The page with what the server did not take of its piece at the top of the history.
#[must_use]
pub fn with_not_taken(held: &Held, world: &World, mut page: Page) -> Page {
    let subject = page.path.rsplit('/').next().and_then(|code| world.by_code(&Code::read(code).ok()?));
    let (subject, history) = match (&mut page.data, subject) {
        (PageData::Shelf(ShelfPage::Card(card)), _) => (Subject::Shelf(card.shelf), &mut card.history),
        (PageData::PostCard(card), Some(subject)) => (subject, &mut card.history),
        _ => return page,
    };
    for entry in held.not_taken() {
        let event = Event::read(&entry.record).ok();
        if event.is_some_and(|event| subjects(&event.body).contains(&subject)) {
            let line = line(world, entry);
            let standing = format!("not taken by the server: {}", line.why.join("; "));
            history.insert(
                0,
                HistoryLine {
                    event: line.event,
                    at: line.at,
                    said: line.said,
                    standing,
                    counts: false,
                    photo: None,
                },
            );
        }
    }
    page
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

/// What the badge says: "On this phone: 7 waiting", "On the server", what was not taken, and whether the
/// server knows this phone at all.
#[must_use]
pub fn badge(n_waiting: usize, n_not_taken: usize, paired: bool) -> String {
    let mut said = match (n_waiting, paired) {
        (0, true) => "On the server".to_owned(),
        (n, true) => format!("On this phone: {n} waiting"),
        (0, false) => "Not paired".to_owned(),
        (n, false) => format!("Not paired; on this phone: {n} waiting"),
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
        match of(held, world, &Dealings::default(), &request()).data {
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
        assert_eq!(badge(7, 0, true), "On this phone: 7 waiting");
        assert_eq!(badge(0, 0, true), "On the server");
        assert_eq!(badge(0, 2, true), "On the server; 2 not taken");
        assert_eq!(badge(3, 0, false), "Not paired; on this phone: 3 waiting");
    }

    #[test]
    fn a_contradiction_stands_in_the_history_of_its_piece_and_counts_nowhere() {
        let (mut studio, kiln) = Studio::with_kiln();
        let shelf = studio.shelf("F01", kiln);
        studio.shelf("F02", kiln);
        let mut held = Held::new(Phone::new(crate::ids::DeviceId(Uuid::from_u128(99))));
        let note = |shelf, text: &str| NoteAdded {
            piece: crate::event::values::Piece::Shelf(shelf),
            text: text.to_owned(),
        };
        let theirs = studio.record(note(shelf, "chipped at the front"));
        let drafts =
            vec![Draft { id: theirs, body: note(shelf, "chipped at the back").into(), corrects: None }];
        let (_, write) = held.record(drafts, 1_773_576_000_000).unwrap_or_else(|cause| panic!("{cause}"));
        held.apply(&write);
        let push = held.next_push().unwrap_or_else(|| panic!("one waits"));
        let id = serde_json::json!(theirs);
        let answer = Answered { id, status: Status::Conflict, seq: None, problems: Vec::new(), hlc: None };
        held.apply(
            &held.take_push(&push, &Taken { epoch: Uuid::from_u128(7), last_seq: 0, answers: vec![answer] }),
        );
        let world = studio.world();
        let histories = |path: &str| {
            let page = super::super::page(&world, &Request { path: path.to_owned(), ..request() });
            match with_not_taken(&held, &world, page).data {
                PageData::Shelf(ShelfPage::Card(card)) => card.history,
                other => panic!("{other:?}"),
            }
        };
        let both: Vec<HistoryLine> =
            histories("/shelf/F01").into_iter().filter(|line| line.said.contains("chipped")).collect();
        assert_eq!(both.len(), 2);
        assert!(both[0].said.ends_with("at the back") && !both[0].counts, "{both:?}");
        assert!(both[0].standing.contains("another entry under this one's id"), "{both:?}");
        assert!(both[1].said.ends_with("at the front") && both[1].counts, "{both:?}");
        assert!(!histories("/shelf/F02").iter().any(|line| line.said.contains("chipped")));
    }

    #[test]
    fn storage_is_told_in_all_and_for_each_thousand_entries() {
        let dealings = Dealings {
            used_bytes: Some(4_230_000),
            used_by_entries_bytes: Some(1_000_000),
            ..Dealings::default()
        };
        assert_eq!(
            used(&dealings, 2_000),
            "All of it takes 4.2 MB of this phone's storage, of it 500 kB for each 1,000 entries."
        );
        assert_eq!(used(&dealings, 0), "All of it takes 4.2 MB of this phone's storage.");
        assert_eq!(used(&Dealings::default(), 2_000), "");
    }
}
