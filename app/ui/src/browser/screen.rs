//! What the document shows: the server's page taken over, or one made on this phone.
//!
//! A tap on a link, a form that only asks, and the browser's back button are answered here, from the phone's
//! own world, where that is whole; everything else is left to the browser.
//!
//! What this does not do: send forms; that is [`super::send`].
use super::under_way::UnderWay;
use super::{badge, dealings, listen, phone, photo, send, sync, worker};
use crate::App;
use crate::app::{AppProps, Frame};
use jiff::civil::Date;
use leptos::prelude::*;
use std::any::Any;
use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;
use std::sync::Arc;
use tripoise_core::view::shelf::ShelfPage;
use tripoise_core::view::{self, Page, PageData, Request};
use wasm_bindgen::JsCast;
use web_sys::{Element, Event, HtmlAnchorElement, HtmlFormElement, MouseEvent, SubmitEvent, Url};

thread_local! {
    /// What keeps the shown page alive; nothing while the server's markup stands untouched.
    static SHOWN: RefCell<Option<Box<dyn Any>>> = const { RefCell::new(None) };
    static FRAME: Cell<Option<Frame>> = const { Cell::new(None) };
    /// Whether the server's markup is being taken over at this moment.
    static TAKES_OVER: Cell<bool> = const { Cell::new(false) };
}

/// Called by the frame of every page that is shown.
pub fn framed(frame: Frame) {
    FRAME.set(Some(frame));
}

/// Whether the page that is being drawn must be the server's to the last element.
pub fn takes_over() -> bool {
    TAKES_OVER.get()
}

/// Takes the document over.
pub async fn begin() {
    let under_way = UnderWay::begin();
    let data = document().get_element_by_id("page-data").and_then(|script| script.text_content());
    match data.map(|json| serde_json::from_str::<Page>(&json)) {
        Some(Ok(page)) => {
            let page = Arc::new(page);
            TAKES_OVER.set(true);
            let handle = leptos::mount::hydrate_from(body(), move || App(AppProps { page }));
            TAKES_OVER.set(false);
            SHOWN.set(Some(Box::new(handle)));
        }
        // The plain page works without the program; the console says why it stays plain.
        Some(Err(cause)) => leptos::logging::error!("this page's data could not be read: {cause}"),
        None if is_shell() => open_from_the_phone().await,
        None => {}
    }
    listen_to_taps();
    photo::show_own_where_missing();
    worker::start();
    wasm_bindgen_futures::spawn_local(async {
        // Without a store the pages work as the server gives them.
        if phone::load().await.is_ok() {
            badge::show();
            redraw_own_page();
            sync::start();
        }
        drop(under_way);
    });
}

fn is_shell() -> bool {
    document().query_selector("meta[name=shell]").ok().flatten().is_some()
}

fn body() -> web_sys::HtmlElement {
    leptos::tachys::dom::body()
}

/// The shell has no page in it: shows the one at this address from what the phone holds.
async fn open_from_the_phone() {
    let said = match phone::load().await {
        Ok(()) => match here().and_then(|address| page_at(&address)) {
            Some(page) => return show(page),
            None => "The server does not answer, and this phone does not hold the studio yet. Open Tripoise once while the server can be reached.".to_owned(),
        },
        Err(cause) => format!("The server does not answer, and {cause}."),
    };
    if let Some(line) = document().get_element_by_id("opening") {
        line.set_text_content(Some(&said));
    }
}

/// Puts a page in place of the one that is shown.
fn show(page: Page) {
    document().set_title(&format!("{} \u{b7} Tripoise", page.title));
    drop(SHOWN.take());
    body().set_inner_html("");
    let page = Arc::new(page);
    let handle = leptos::mount::mount_to(body(), move || App(AppProps { page }));
    SHOWN.set(Some(Box::new(handle)));
    badge::show();
}

/// Opens an address of this studio: from the phone where it can, else as a browser does.
///
/// # Returns   Whether the browser does.
pub fn go(address: &str) -> bool {
    goes_here(address) || leaves_for(address)
}

/// Opens an address of this studio in this document, where the phone can.
///
/// # Returns   Whether it does.
pub fn goes_here(address: &str) -> bool {
    goes_locally(address, true)
}

/// Leaves this document for an address.
///
/// # Returns   Whether the browser does.
pub fn leaves_for(address: &str) -> bool {
    window().location().assign(address).is_ok()
}

fn goes_locally(address: &str, new_entry: bool) -> bool {
    let Some(page) = page_at(address) else { return false };
    if matches!(page.data, PageData::NotFound(_)) {
        // The server may have something there: a file, or a page about its network.
        return false;
    }
    if new_entry {
        let pushed = window()
            .history()
            .map(|history| history.push_state_with_url(&wasm_bindgen::JsValue::NULL, "", Some(address)));
        if !matches!(pushed, Ok(Ok(()))) {
            return false;
        }
    }
    show(page);
    if new_entry {
        start_reading_at_the_heading();
        // After it: what takes the focus is scrolled to, and would hide the top.
        window().scroll_to_with_x_and_y(0.0, 0.0);
    }
    sync::soon();
    true
}

/// A screen reader begins where the new page begins, as after a page load.
fn start_reading_at_the_heading() {
    let main =
        document().get_element_by_id("main").and_then(|main| main.dyn_into::<web_sys::HtmlElement>().ok());
    if let Some(main) = main {
        // Both only help a screen reader.
        drop(main.set_attribute("tabindex", "-1"));
        drop(main.focus());
    }
}

/// What the phone holds has changed: a page without fields is drawn again. One with fields is left alone.
pub fn refresh() {
    let only_tells = FRAME.get().is_none_or(|frame| {
        let page = frame.page.get_untracked();
        !page.is_live() || matches!(page.data, PageData::Phone(_) | PageData::Shelf(ShelfPage::Card(_)))
    });
    let in_use = document().active_element().is_some_and(|element| {
        matches!(element.tag_name().as_str(), "INPUT" | "SELECT" | "TEXTAREA" | "BUTTON")
    });
    if only_tells && !in_use {
        refresh_now();
    }
}

/// The page at this address is drawn again, where it changed.
pub fn refresh_now() {
    if let Some(page) = here().and_then(|address| page_at(&address)) {
        let same = FRAME.get().is_some_and(|frame| *frame.page.get_untracked() == page);
        match FRAME.get() {
            _ if same => {}
            // In place: whoever has just pressed a button keeps it under the finger and in focus.
            Some(frame) if SHOWN.with_borrow(Option::is_some) => {
                frame.form.try_set(page.form.clone());
                frame.page.try_set(Arc::new(page));
            }
            _ => {
                let at = window().scroll_y().unwrap_or(0.0);
                show(page);
                window().scroll_to_with_x_and_y(0.0, at);
            }
        }
    }
}

/// Whether `/phone` is shown: the one page that the server cannot make.
pub fn is_own_page() -> bool {
    FRAME.get().is_some_and(|frame| matches!(frame.page.get_untracked().data, PageData::Phone(_)))
}

/// Draws `/phone` again, where it is shown: there is nothing to type on it.
pub fn redraw_own_page() {
    if is_own_page() {
        refresh_now();
    }
}

/// The page at an address, from what the phone holds.
fn page_at(address: &str) -> Option<Page> {
    let request = request(address)?;
    phone::world(|held, world| {
        if request.path == "/phone" {
            return view::phone::of(held, world, &dealings::now(), &request);
        }
        let mut page = view::phone::with_not_taken(held, world, view::page(world, &request));
        page.over_plain_http = !window().is_secure_context();
        if let Some(banner) = &mut page.banner {
            banner.on_server = view::phone::has_reached_the_server(held, &banner.undo);
        }
        page
    })
}

fn request(address: &str) -> Option<Request> {
    let url = Url::new_with_base(address, &here()?).ok()?;
    let decode = |text: &str| js_sys::decode_uri_component(text).ok().and_then(|text| text.as_string());
    let mut query = BTreeMap::new();
    for pair in url.search().trim_start_matches('?').split('&').filter(|pair| !pair.is_empty()) {
        let (name, value) = pair.split_once('=').unwrap_or((pair, ""));
        query.insert(decode(&name.replace('+', " "))?, decode(&value.replace('+', " "))?);
    }
    Some(Request { path: decode(&url.pathname())?, query, today: today(), notices: Vec::new() })
}

fn here() -> Option<String> {
    window().location().href().ok()
}

/// The day on the phone's calendar.
fn today() -> Date {
    let now = js_sys::Date::new_0();
    let part = |value: u32| i8::try_from(value).unwrap_or(1);
    let year = i16::try_from(now.get_full_year()).unwrap_or(1970);
    Date::new(year, part(now.get_month()) + 1, part(now.get_date())).unwrap_or(Date::ZERO)
}

fn listen_to_taps() {
    let document = document();
    listen::on(&document, "click", |event| tapped(&event));
    listen::on(&document, "submit", |event| asked(&event));
    listen::on(&window(), "popstate", |_| {
        let local = here().is_some_and(|address| goes_locally(&address, false));
        if !local {
            // Where it cannot be loaded, the browser says so itself.
            drop(leptos::prelude::window().location().reload());
        }
    });
}

fn tapped(event: &Event) {
    let Some(mouse) = event.dyn_ref::<MouseEvent>() else { return };
    let special =
        mouse.button() != 0 || mouse.ctrl_key() || mouse.meta_key() || mouse.shift_key() || mouse.alt_key();
    if event.default_prevented() || special {
        return;
    }
    let target = event.target().and_then(|target| target.dyn_into::<Element>().ok());
    let closest = |css: &str| target.as_ref().and_then(|target| target.closest(css).ok().flatten());
    if closest("#newer button").is_some() {
        worker::take_over();
        return;
    }
    let Some(link) = closest("a[href]").and_then(|link| link.dyn_into::<HtmlAnchorElement>().ok()) else {
        return;
    };
    let elsewhere = Some(link.origin()) != window().location().origin().ok();
    let within = link.hash() != "" && Some(link.pathname()) == window().location().pathname().ok();
    if elsewhere || within || !link.target().is_empty() || link.has_attribute("download") {
        return;
    }
    if goes_locally(&link.href(), true) {
        event.prevent_default();
    }
}

/// A form that only asks for a page, or one of a page that still stands as the server gave it.
fn asked(event: &Event) {
    let Some(submit) = event.dyn_ref::<SubmitEvent>() else { return };
    let form = event.target().and_then(|target| target.dyn_into::<HtmlFormElement>().ok());
    let Some(form) = form.filter(|_| !event.default_prevented()) else { return };
    let of_button = |name: &str| submit.submitter().and_then(|button| button.get_attribute(name));
    let method = of_button("formmethod").unwrap_or_else(|| form.method());
    if method.eq_ignore_ascii_case("get") {
        let Some(values) = send::values_of(submit) else { return };
        let Ok(query) = web_sys::UrlSearchParams::new() else { return };
        for (name, value) in values.0.iter().flat_map(|(name, all)| all.iter().map(move |one| (name, one))) {
            query.append(name, value);
        }
        let action = of_button("formaction").unwrap_or_else(|| form.action());
        let action = action.split('?').next().unwrap_or_default();
        let query = query.to_string().as_string().unwrap_or_default();
        if goes_locally(&format!("{action}?{query}"), true) {
            event.prevent_default();
        }
    } else if SHOWN.with_borrow(Option::is_none) {
        let Some(values) = send::values_of(submit) else { return };
        let Some(page) = here().and_then(|address| page_at(&address)) else { return };
        event.prevent_default();
        show(page);
        if let Some(frame) = FRAME.get() {
            send::send(values, frame);
        }
    }
}
