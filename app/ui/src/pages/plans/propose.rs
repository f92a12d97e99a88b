//! `/plan/ID/fill`: the button that fills a plan. With the program loaded it shows how far it is, what the best so far
//! costs and how near the bound that is, and can be stopped; without it, the server searches to the end.
use crate::browser::touch;
use crate::parts::form::{form, submit};
use leptos::prelude::*;
use std::cell::RefCell;
use std::rc::Rc;
use std::sync::Arc;
use tripoise_core::form::plans::fill::as_planned;
use tripoise_core::planning::{Progress, Question, Search};
use tripoise_core::view::plans::propose::{FORM, Propose};

/// Parts looked at between two pictures. House choice: about 20 ms of a phone's time at a part a millisecond.
const SLICE: u64 = 20;

/// How the search is going.
#[derive(Clone, PartialEq, Debug, Default)]
struct Going {
    share: f64,
    said: String,
    is_running: bool,
    /// The stacks found, as JSON, for the form; empty until there are some.
    found: String,
    /// What is said of them.
    lines: Vec<String>,
}

/// The page.
pub fn render(data: &Propose) -> impl IntoView + use<> {
    let data = Arc::new(data.clone());
    let going = RwSignal::new(Going::default());
    let stopped = RwSignal::new(false);
    let back = data.path.clone();
    let start = move |_| {
        stopped.set(false);
        begin(&data, going, stopped);
    };
    let fields = view! {
        <input type="hidden" name="found" value="" prop:value=move || going.get().found />
        {submit("Fill the plan")}
    };
    view! {
        <p class="say">
            "Chooses the shelves and sets of every layer: the best low, cracks high or out, flat shelves under flat ware, little headroom lost. Heights, order and ware stay; everything can be changed afterwards, and one tap takes it back."
        </p>
        <div class="actions search">
            <button class="quiet" type="button" on:click=start>
                "Look what it would be"
            </button>
            <button class="quiet" type="button" on:click=move |_| stopped.set(true)>
                "Stop"
            </button>
        </div>
        <div aria-live="polite">{move || told(&going.get())}</div>
        {form(FORM, fields)}
        <p>
            <a class="button quiet" href=back>
                "Back to the plan"
            </a>
        </p>
    }
}

fn told(going: &Going) -> impl IntoView + use<> {
    let Going { share, said, is_running, .. } = going.clone();
    let lines: Vec<_> = going.lines.iter().map(|line| view! { <li>{line.clone()}</li> }).collect();
    view! {
        {is_running
            .then(|| {
                view! { <progress aria-label="How far the search is" max="1" value=share.to_string()></progress> }
            })}
        {(!said.is_empty()).then(|| view! { <p>{said}</p> })}
        {(!lines.is_empty()).then(|| view! { <ul class="lines">{lines}</ul> })}
    }
}

/// Begins a search, slice by slice.
fn begin(data: &Arc<Propose>, going: RwSignal<Going>, stopped: RwSignal<bool>) {
    let world = data.bench.world();
    match Question::of(&world, &as_planned(&world, &data.plan)) {
        Ok(question) => {
            going.set(Going { is_running: true, said: "Looking.".to_owned(), ..Going::default() });
            go_on(Rc::new(RefCell::new(Some(Search::new(question)))), going, stopped);
        }
        Err(cause) => going.set(Going { said: format!("{cause}."), ..Going::default() }),
    }
}

/// One slice, and then the next unless it has ended or was stopped.
fn go_on(search: Rc<RefCell<Option<Search>>>, going: RwSignal<Going>, stopped: RwSignal<bool>) {
    let Some(mut now) = search.borrow_mut().take() else { return };
    let progress = now.step(SLICE);
    if now.has_ended() || stopped.get_untracked() {
        let proposal = now.finish();
        let found = serde_json::to_string(&proposal.stacks).unwrap_or_default();
        going.set(Going { found, lines: proposal.said, ..Going::default() });
        return;
    }
    going.update(|going| {
        going.share = progress.done_share;
        going.said = so_far(&progress);
    });
    search.borrow_mut().replace(now);
    touch::soon(move || go_on(search, going, stopped));
}

fn so_far(progress: &Progress) -> String {
    match progress.best {
        Some(best) => {
            let gap = best.saturating_sub(progress.bound);
            format!("Best so far {best} points, at most {gap} from the best there can be.")
        }
        None => "Looking.".to_owned(),
    }
}
