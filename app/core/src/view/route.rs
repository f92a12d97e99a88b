//! From an address to a page.
use super::{Banner, Correcting, FormState, NotFound, Page, PageData, Tab};
use super::{
    add, bench, entry, find, firings, home, kiln, labels, life, matching, more, phone, piece, plans, post,
    rack, scan, set, settings, shelf,
};
use crate::ids::EventId;
use crate::settings::SettingKey;
use crate::view::text::LengthUnit;
use crate::world::{Standing, World};
use jiff::civil::Date;
use std::collections::BTreeMap;

/// What a page is asked with.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Request {
    /// The decoded path: `/shelf/F07/measure`.
    pub path: String,
    /// The decoded query.
    pub query: BTreeMap<String, String>,
    /// The day, by the clock of whoever asks.
    pub today: Date,
    /// What the store had to say at its start, and the like.
    pub notices: Vec<String>,
}

impl Request {
    /// A query value, empty where it is missing.
    #[must_use]
    pub fn query(&self, name: &str) -> &str {
        self.query.get(name).map_or("", String::as_str)
    }
}

/// What a page function returns to the frame: everything that differs from page to page.
pub struct Parts {
    /// The title.
    pub title: String,
    /// Said beside it.
    pub subtitle: String,
    /// The bar's current item.
    pub tab: Tab,
    /// The data.
    pub data: PageData,
    /// What a form of the page begins with, where that is more than its fields' own values.
    pub form: FormState,
}

/// The page at an address.
#[must_use]
pub fn page(world: &World, request: &Request) -> Page {
    // A label scanned, or a code typed at `/find` is answered with the page of its card.
    let found = labels::scanned(world, request).or_else(|| find::target(world, request));
    let request = found.as_ref().unwrap_or(request);
    let segments: Vec<&str> = request.path.split('/').filter(|part| !part.is_empty()).collect();
    let parts = route(world, request, &segments).unwrap_or_else(|said| Parts {
        title: "Nothing here".to_owned(),
        subtitle: String::new(),
        tab: Tab::Find,
        data: PageData::NotFound(NotFound { said }),
        form: FormState::default(),
    });
    Page {
        path: request.path.clone(),
        title: parts.title,
        subtitle: parts.subtitle,
        tab: parts.tab,
        unit: LengthUnit::from_setting(world.settings.get(SettingKey::ShownUnit)),
        today: request.today,
        banner: banner(world, request),
        notices: request.notices.clone(),
        over_plain_http: false,
        form: parts.form,
        correcting: correcting(world, request),
        bench: request.query("bench") == "yes",
        data: parts.data,
    }
}

/// One line a route. An error is what the page says instead.
fn route(world: &World, request: &Request, segments: &[&str]) -> Result<Parts, String> {
    match segments {
        [] => Ok(home::page(world, request)),
        ["rack"] => rack::page(world, request),
        ["find"] => Ok(find::page(world, request)),
        ["scan"] => Ok(scan::page(world, request)),
        ["add", "kiln"] => Ok(add::kiln::page(world, request)),
        ["add", "shelves"] => Ok(add::shelves::page(world, request)),
        ["add", "posts"] => Ok(add::posts::page(world, request)),
        ["shelf", code] => shelf::page(world, request, code, None),
        [
            "shelf",
            code,
            what @ ("bend" | "measure" | "ground" | "washed" | "crack" | "tapped" | "flipped" | "graded"),
        ] => shelf::page(world, request, code, Some(what)),
        ["posts"] => Ok(post::list::page(world, request)),
        ["posts", "measure"] => post::measure::run(world, request),
        ["post", code] => post::card::page(world, request, code),
        ["post", code, "measure"] => post::measure::one(world, request, code),
        ["post", code, "dressed"] => post::dress::page(world, request, code),
        ["sets"] => Ok(set::list::page(world)),
        ["sets", "new"] => Ok(set::new::page(world, request)),
        ["set", code] => set::card::page(world, request, code),
        ["set", code, "part"] => set::part::page(world, request, code),
        [
            kind @ ("shelf" | "post"),
            code,
            verb @ ("hold" | "release" | "move" | "retire" | "return" | "note" | "photo" | "found"),
        ] => piece::page(world, request, kind, code, verb),
        ["record"] => entry::record(world, request),
        ["entry", id] => entry::page(world, id),
        ["bench", below @ ..] => bench::page(world, request, below),
        ["firings"] => firings::page(world, request),
        ["firings", "new"] => firings::new::page(world, request),
        ["firing", id, "after"] => firings::after::page(world, id),
        ["firing", id] => firings::one::page(world, id),
        ["kiln", name] => kiln::page(world, name),
        ["kiln", name, "inside"] => kiln::inside::page(world, request, name),
        ["plans"] => plans::list::page(world, request),
        ["plans", "new"] => plans::new::page(world, request),
        ["plan", id, below @ ..] => plans::page(world, request, id, below),
        ["settings"] => Ok(settings::page(world)),
        ["settings", name] => settings::one(world, request, name),
        ["labels", below @ ..] => labels::page(world, request, below),
        ["l" | "L", _] => Err(labels::sheet::why_not(world, &request.path)),
        ["match"] => Ok(matching::page(world, request)),
        ["life"] => Ok(life::page(world, request)),
        ["phone"] => Ok(phone::page()),
        ["more"] => Ok(more::page(world)),
        ["about"] => Ok(more::about()),
        _ => Err(format!("no page is called {}", request.path)),
    }
}

/// `?corrects=ID`: the entry that the page's form corrects, as it counts now.
pub(crate) fn correcting(world: &World, request: &Request) -> Option<Correcting> {
    let entry = world.entry(request.query("corrects").parse::<EventId>().ok()?)?;
    let body = match &entry.standing {
        Standing::Corrected { by } => by.body.clone(),
        _ => entry.event.body.clone(),
    };
    Some(Correcting { event: entry.event.id, body })
}

/// `?done=ID&n=COUNT`: the last `COUNT` events that the same device recorded up to ID.
fn banner(world: &World, request: &Request) -> Option<Banner> {
    let last = world.entry(request.query("done").parse::<EventId>().ok()?)?;
    let count: u64 = request.query("n").parse().unwrap_or(1).clamp(1, 500);
    let (device, end) = (last.event.device, last.event.device_seq);
    let start = end.saturating_sub(count - 1);
    let undo: Vec<EventId> = world
        .log
        .iter()
        .filter(|entry| entry.event.device == device && (start..=end).contains(&entry.event.device_seq))
        .map(|entry| entry.event.id)
        .collect();
    let said = super::history::said(world, &last.event);
    let said =
        if undo.len() > 1 { format!("{} entries recorded, the last: {said}", undo.len()) } else { said };
    Some(Banner { said, on_server: true, undo })
}
