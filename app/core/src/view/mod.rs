//! What a page shows: plain data with the text already in the studio's unit.
//!
//! [`page`] turns a world and a request into one [`Page`]. The server renders it; the same value travels
//! inside the HTML, and the browser hydrates from it. Offline, the browser will call the same function
//! on its own world. Nothing here knows HTML.
//!
//! **Add a page:** a file here with its data struct and `fn page(...)`, a variant of [`PageData`], a line
//! in [`route`], a file in `app/ui/src/pages/`, a test.
//!
//! What this does not do: read a clock. `today` comes with the request.

pub mod add;
pub mod bench;
pub mod chart;
pub mod comb;
pub mod entry;
pub mod figure;
pub mod find;
pub mod firings;
pub mod history;
pub mod home;
pub mod kiln;
pub mod labels;
pub mod life;
pub mod matching;
pub mod more;
pub mod phone;
pub mod photo;
pub mod piece;
pub mod plan;
pub mod plans;
pub mod post;
pub mod rack;
pub mod remember;
pub mod route;
pub mod scan;
pub mod set;
pub mod settings;
pub mod shelf;
pub mod spoken;
pub mod text;

pub use route::{Request, page};
pub use text::LengthUnit;

use crate::event::Body;
use crate::ids::EventId;
use crate::world::check::Problem;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// One page, complete.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Page {
    /// The path as requested, without its query. Forms post to it.
    pub path: String,
    /// The title: of the document and of the page's heading.
    pub title: String,
    /// Said beside the title, smaller: "gas kiln, rack B slot 4".
    pub subtitle: String,
    /// Which item of the bar is current.
    pub tab: Tab,
    /// The unit that lengths are shown in and that a bare typed number is read in.
    pub unit: LengthUnit,
    /// The day of the request, by the server's or the phone's clock.
    pub today: Date,
    /// What was just recorded, with the way to take it back.
    pub banner: Option<Banner>,
    /// What the store had to say at its start, and how many records could not be read.
    pub notices: Vec<String>,
    /// Whether the page came over plain HTTP from another machine, where browsers give no camera, no
    /// installing and no work without network. The server says so.
    pub over_plain_http: bool,
    /// What was typed and what is wrong with it, where a form came back; or what a correction begins with.
    pub form: FormState,
    /// The entry that the page's form corrects, by the query's `corrects`.
    pub correcting: Option<Correcting>,
    /// Whether it was opened at the bench: what is recorded here leads on to the next piece.
    #[serde(default)]
    pub bench: bool,
    /// The page's own data.
    pub data: PageData,
}

impl Page {
    /// Whether anything on the page answers to a finger before it is sent: keypads, drawings, live verdicts,
    /// forms with fields. The others are plain documents, and cost a phone no program to load.
    #[must_use]
    pub fn is_live(&self) -> bool {
        match &self.data {
            PageData::Home(_)
            | PageData::Rack(_)
            | PageData::PostCard(_)
            | PageData::PostList(_)
            | PageData::SetCard(_)
            | PageData::SetList(_)
            | PageData::Record(_)
            | PageData::Firings(_)
            | PageData::Firing(_)
            | PageData::Kiln(_)
            | PageData::Settings(_)
            | PageData::Life(_)
            | PageData::Match(_)
            | PageData::More(_)
            | PageData::About
            | PageData::NotFound(_) => false,
            PageData::Bench(data) => !matches!(data, bench::BenchPage::List(_)),
            PageData::Labels(data) => !matches!(
                data,
                labels::LabelsPage::Sheet(_) | labels::LabelsPage::Grids(_) | labels::LabelsPage::Marking(_)
            ),
            PageData::Find(_)
            | PageData::Scan(_)
            | PageData::AddKiln(_)
            | PageData::AddShelves(_)
            | PageData::AddPosts(_)
            | PageData::Shelf(_)
            | PageData::PostMeasure(_)
            | PageData::PostDress(_)
            | PageData::SetNew(_)
            | PageData::SetPart(_)
            | PageData::Piece(_)
            | PageData::Entry(_)
            | PageData::NewFiring(_)
            | PageData::Phone(_)
            | PageData::KilnInside(_)
            | PageData::AfterFiring(_)
            | PageData::Setting(_) => true,
            PageData::Plans(data) => data.is_live(),
        }
    }
}

/// The items of the bar at the foot of every page.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub enum Tab {
    /// What stands between now and the next load.
    NextLoad,
    /// Shelves, posts, sets.
    Rack,
    /// Scan a label or type a code.
    Find,
    /// Firings.
    Firings,
    /// Everything else.
    More,
}

/// An entry that is being corrected. The correction keeps the ids in its body.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Correcting {
    /// The event.
    pub event: EventId,
    /// Its body as it counts now.
    pub body: Body,
}

/// What was just recorded.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Banner {
    /// One line: "F07: ground on face A".
    pub said: String,
    /// Whether the server is known to have it; a phone's own page may stand before that.
    pub on_server: bool,
    /// The events that one tap takes back.
    pub undo: Vec<EventId>,
}

/// A form as it came back: nothing typed is lost.
#[derive(Clone, PartialEq, Eq, Debug, Default, Serialize, Deserialize)]
pub struct FormState {
    /// Which form of the page: its `do` value.
    pub action: String,
    /// What was typed, by field; a field ticked several times has several values.
    pub values: BTreeMap<String, Vec<String>>,
    /// What is wrong, in the order of the fields.
    pub problems: Vec<Problem>,
}

/// A mark is a word and a shape, never a colour alone.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Mark {
    /// The shape.
    pub shape: Shape,
    /// The word: "look", "hold", "not together", "fits".
    pub word: String,
}

/// The shapes of marks, from good to bad.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Serialize, Deserialize)]
pub enum Shape {
    /// Passes the checks: no shape, plain text.
    Plain,
    /// Not known yet: dashed circle.
    Unknown,
    /// Look at it: hollow triangle.
    Look,
    /// Do not load: filled square.
    Stop,
    /// Retired: struck through.
    Gone,
}

impl Mark {
    /// A mark.
    pub fn new(shape: Shape, word: impl Into<String>) -> Self {
        Self { shape, word: word.into() }
    }
}

/// A link to a page, with the text it bears.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Link {
    /// The path.
    pub href: String,
    /// The text.
    pub text: String,
}

/// One line of a list: a piece's code, what is said of it, its mark.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Row {
    /// Where a tap leads.
    pub href: String,
    /// The piece's code.
    pub code: String,
    /// What is said.
    pub said: String,
    /// Said smaller, below.
    pub more: String,
    /// The mark.
    pub mark: Mark,
}

/// One entry of a history, newest first.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct HistoryLine {
    /// The event.
    pub event: EventId,
    /// When it was observed, as UTC text: "2026-03-01 14:05".
    pub at: String,
    /// What happened, in one line.
    pub said: String,
    /// The photo, where it is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub photo: Option<photo::Photo>,
    /// "taken back", "corrected: 152.3 mm" or empty.
    pub standing: String,
    /// Whether it still counts.
    pub counts: bool,
}

/// Each page's own data.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PageData {
    /// What stands between now and the next load.
    Home(home::Home),
    /// Every shelf, set and post.
    Rack(rack::Rack),
    /// A code that leads nowhere yet.
    Find(find::Find),
    /// The camera, for labels.
    Scan(scan::Scan),
    /// A kiln's name, fuel and cone.
    AddKiln(add::kiln::AddKiln),
    /// Ten shelves like this.
    AddShelves(add::shelves::AddShelves),
    /// Twelve posts of one height.
    AddPosts(add::posts::AddPosts),
    /// One shelf's pages.
    Shelf(shelf::ShelfPage),
    /// One post.
    PostCard(Box<post::card::PostCard>),
    /// Every post, by nominal height.
    PostList(post::list::PostList),
    /// Measure a post, or many in a run.
    PostMeasure(post::measure::PostMeasure),
    /// A post's end was dressed.
    PostDress(post::dress::PostDress),
    /// One set.
    SetCard(Box<set::card::SetCard>),
    /// Every set.
    SetList(set::list::SetList),
    /// Put a set together.
    SetNew(Box<set::new::SetNew>),
    /// Take a set apart.
    SetPart(set::part::SetPart),
    /// Hold, release, move, retire, return or note.
    Piece(piece::PiecePage),
    /// The newest entries.
    Record(entry::RecordPage),
    /// One entry in full.
    Entry(Box<entry::EntryPage>),
    /// The firings.
    Firings(firings::Firings),
    /// What was in a firing.
    NewFiring(firings::new::NewFiring),
    /// Open jobs, several pieces at once, the last entries.
    Bench(bench::BenchPage),
    /// What came out of a firing.
    AfterFiring(firings::after::After),
    /// One firing.
    Firing(firings::one::OneFiring),
    /// One kiln, with its inside drawn.
    Kiln(Box<kiln::KilnPage>),
    /// A kiln's inside as fields.
    KilnInside(kiln::inside::Inside),
    /// Plans of loads.
    Plans(plans::PlansPage),
    /// Every setting.
    Settings(settings::SettingsPage),
    /// One setting.
    Setting(Box<settings::SettingPage>),
    /// Posts matched into sets.
    Match(Box<matching::Match>),
    /// How long pieces last.
    Life(life::Life),
    /// What is on this phone.
    Phone(phone::PhonePage),
    /// The rest of the tool.
    More(more::More),
    /// Labels.
    Labels(labels::LabelsPage),
    /// What it does not know, and the cautions.
    About,
    /// No page has this address.
    NotFound(NotFound),
}

/// What a page says when there is nothing at its address.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct NotFound {
    /// One line: "no shelf has the code F99".
    pub said: String,
}
