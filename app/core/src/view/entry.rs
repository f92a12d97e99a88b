//! `/record`: the newest entries of the whole studio; `/entry/ID`: one entry in full.
//!
//! Nothing is ever rubbed out: an entry that was taken back or corrected stays, and links to what did so.
use super::find::card;
use super::route::{Parts, Request};
use super::{FormState, HistoryLine, Link, PageData, Tab, history, text};
use crate::event::{Body, Event};
use crate::form::address::address_of;
use crate::ids::EventId;
use crate::world::{LogEntry, Standing, Subject, World};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};

/// Entries on one page of the record. House choice: a few screens of a phone.
const PAGE: usize = 60;

/// The page at `/record`.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct RecordPage {
    /// "312 entries", or "entries 61 to 120 of 312".
    pub said: String,
    /// The entries, newest first.
    pub lines: Vec<HistoryLine>,
    /// The page of older ones.
    pub older: Option<String>,
}

/// The page at `/entry/ID`.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct EntryPage {
    /// The entry.
    pub event: EventId,
    /// What happened, in one line.
    pub said: String,
    /// When it was observed, in UTC.
    pub observed: String,
    /// When it took its place in the record, in UTC, where that is another minute.
    pub recorded: String,
    /// Which device recorded it, and its number there.
    pub device: String,
    /// Its kind and body as stored.
    pub json: String,
    /// The photo, where it is one.
    pub photo: Option<super::photo::Photo>,
    /// "counts", "taken back", "corrected".
    pub standing: String,
    /// What took it back, corrected it, or is corrected or taken back by it.
    pub related: Vec<Link>,
    /// The pages of what it is about.
    pub about: Vec<Link>,
    /// The form that corrects it.
    pub correct: Option<String>,
    /// What the button says that takes it back; none where it is taken back already.
    pub withdraw: Option<String>,
    /// What taking it back would leave hanging.
    pub warning: String,
}

/// Whether an entry counts, at its own place or at that of the entry it corrects.
#[must_use]
pub fn counts(entry: &LogEntry) -> bool {
    matches!(entry.standing, Standing::Stands | Standing::Correction { .. })
}

/// The page at `/record`, which goes on with `?before=ID`.
///
/// # Errors   An entry that is not on record.
pub fn record(world: &World, request: &Request) -> Result<Parts, String> {
    let total = world.log.len();
    let end = match request.query("before") {
        "" => total,
        id => position(world, id).ok_or("this entry is not on record; open the record again")?,
    };
    let start = end.saturating_sub(PAGE);
    let entries = &world.log[start..end];
    let lines: Vec<HistoryLine> = entries.iter().rev().map(|entry| history::line(world, entry)).collect();
    let older = entries.first().filter(|_| start > 0).map(|e| format!("/record?before={}", e.event.id));
    let all = text::count(total as u64, "entry", "entries");
    let said = if lines.len() == total {
        all
    } else {
        format!("{} to {} of {all}, newest first", total - end + 1, total - start)
    };
    let data = PageData::Record(RecordPage { said, lines, older });
    let subtitle = "of the whole studio".to_owned();
    Ok(Parts { title: "The record".to_owned(), subtitle, tab: Tab::More, data, form: FormState::default() })
}

fn position(world: &World, id: &str) -> Option<usize> {
    let id: EventId = id.parse().ok()?;
    world.log.iter().position(|entry| entry.event.id == id)
}

/// The page at `/entry/ID`.
///
/// # Errors   An entry that is not on record.
pub fn page(world: &World, id: &str) -> Result<Parts, String> {
    let known = id.parse().ok().and_then(|id: EventId| world.entry(id));
    let entry = known.ok_or("no entry is on record under this address")?;
    let event = &entry.event;
    let observed = text::moment(event.observed_at);
    let recorded = Timestamp::from_millisecond(event.hlc.ms()).map(text::moment).unwrap_or_default();
    let about: Vec<Link> = subjects(world, &event.body);
    let data = EntryPage {
        event: event.id,
        said: history::said(world, event),
        recorded: if recorded == observed { String::new() } else { recorded },
        observed,
        device: format!("device {}, its entry number {}", event.device, event.device_seq),
        json: json(event),
        photo: super::photo::of_entry(world, entry),
        standing: standing_said(entry).to_owned(),
        related: related(world, entry),
        about,
        correct: correct(world, entry),
        withdraw: withdraw(entry),
        warning: warning(world, event),
    };
    Ok(Parts {
        title: "One entry".to_owned(),
        subtitle: event.body.kind().replace('_', " "),
        tab: Tab::More,
        data: PageData::Entry(Box::new(data)),
        form: FormState::default(),
    })
}

const fn standing_said(entry: &LogEntry) -> &'static str {
    match &entry.standing {
        Standing::Stands => "It counts.",
        Standing::Withdrawn { .. } => "It was taken back and does not count.",
        Standing::Corrected { .. } => "It was corrected: another entry counts in its place.",
        Standing::Correction { .. } => "It counts in the place of the entry that it corrects.",
    }
}

/// The kind and body as stored, indented.
fn json(event: &Event) -> String {
    let stored = event.write().and_then(|record| serde_json::to_string_pretty(&record));
    stored.unwrap_or_else(|cause| format!("this entry cannot be shown as JSON: {cause}"))
}

fn related(world: &World, entry: &LogEntry) -> Vec<Link> {
    let link = |id: EventId, what: &str| {
        let said = world.entry(id).map_or_else(|| id.to_string(), |e| history::said(world, &e.event));
        Link { href: format!("/entry/{id}"), text: format!("{what}: {said}") }
    };
    let mut links: Vec<Link> = match &entry.standing {
        Standing::Stands => Vec::new(),
        Standing::Withdrawn { by } => vec![link(*by, "taken back by")],
        Standing::Corrected { by } => vec![link(by.id, "counts in its place")],
        Standing::Correction { of } => vec![link(*of, "corrects")],
    };
    if let Body::EventsWithdrawn(body) = &entry.event.body {
        links.extend(body.events.iter().map(|id| link(*id, "takes back")));
    }
    links
}

fn subjects(world: &World, body: &Body) -> Vec<Link> {
    // A firing is about all that was in it; its own page lists that.
    let about = crate::world::subjects(body).into_iter().take(4);
    let link = |subject| Some(Link { href: card(world, subject)?, text: name(world, subject) });
    about.filter_map(link).collect()
}

fn name(world: &World, subject: Subject) -> String {
    match subject {
        Subject::Shelf(id) => world.shelves.get(&id).map(|shelf| shelf.code.to_string()),
        Subject::Post(id) => world.posts.get(&id).map(|post| post.code.to_string()),
        Subject::Set(id) => world.sets.get(&id).map(|set| set.code.to_string()),
        Subject::Kiln(id) => world.kilns.get(&id).map(|kiln| kiln.name.clone()),
        Subject::Firing(_) => Some("the firing".to_owned()),
        Subject::Setting(_) => Some("the setting".to_owned()),
        Subject::Plan(id) => world.plans.get(&id).map(|plan| plan.name.clone()),
    }
    .unwrap_or_default()
}

/// The form that corrects the entry, or the one whose place it takes.
fn correct(world: &World, entry: &LogEntry) -> Option<String> {
    let mut first = entry;
    while let Standing::Correction { of } = &first.standing {
        first = world.entry(*of)?;
    }
    if matches!(first.standing, Standing::Withdrawn { .. })
        || matches!(entry.standing, Standing::Withdrawn { .. })
    {
        return None;
    }
    let address = address_of(&entry.event.body, world)?;
    let join = if address.contains('?') { '&' } else { '?' };
    Some(format!("{address}{join}corrects={}", first.event.id))
}

fn withdraw(entry: &LogEntry) -> Option<String> {
    match (&entry.standing, &entry.event.body) {
        (Standing::Withdrawn { .. }, _) => None,
        (_, Body::EventsWithdrawn(_)) => Some("Let it count again".to_owned()),
        (Standing::Correction { .. }, _) => Some("Take the correction back".to_owned()),
        _ => Some("Take it back".to_owned()),
    }
}

/// Entries that name a piece which would no longer be there.
fn warning(world: &World, event: &Event) -> String {
    let added = match &event.body {
        Body::KilnAdded(b) => Subject::Kiln(b.kiln),
        Body::ShelfAdded(b) => Subject::Shelf(b.shelf),
        Body::PostAdded(b) => Subject::Post(b.post),
        Body::SetMade(b) => Subject::Set(b.set),
        _ => return String::new(),
    };
    let others = world.history(added).filter(|entry| entry.event.id != event.id && counts(entry)).count();
    let kept = match added {
        Subject::Kiln(id) => {
            let shelves = world.shelves.values().filter(|shelf| shelf.kiln == id).count();
            shelves + world.posts.values().filter(|post| post.kiln == id).count()
        }
        _ => 0,
    };
    match (others + kept) as u64 {
        0 => String::new(),
        n => {
            let hanging = text::count(n, "other entry or piece hangs", "other entries or pieces hang");
            format!(
                "{hanging} on this one and would no longer count; to set a piece aside, retire it instead"
            )
        }
    }
}

#[cfg(test)]
#[path = "entry_tests.rs"]
mod tests;
