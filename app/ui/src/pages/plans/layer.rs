//! `/plan/ID/layer/STACK/LAYER`: shelves, posts and ware of one layer; posts are dragged on the drawing or typed.
//!
//! With the program loaded, drawing and check follow every touch; without it, the same form is saved and shown
//! again.
use super::lines;
use crate::app::Frame;
use crate::browser;
use crate::browser::touch;
use crate::parts::field::{self, Field};
use crate::parts::figure;
use crate::parts::form::{form, submit};
use crate::parts::mark::mark;
use leptos::prelude::*;
use std::sync::{Arc, Mutex, PoisonError};
use tripoise_core::event::PlanSaved;
use tripoise_core::event::values::Use;
use tripoise_core::form::FormValues;
use tripoise_core::form::plans::layer::edited;
use tripoise_core::judge::stack::PlateCache;
use tripoise_core::view::Page;
use tripoise_core::view::plans::above::LayerDrawing;
use tripoise_core::view::plans::layer::{FORM, LayerPage, LayerShown, values_of};
use tripoise_core::view::text::LengthUnit;
use tripoise_core::world::World;

/// How near a post a thumb must come down to hold it, in units of the drawing: half of 56 pixels and a little.
const REACH: f64 = 32.0;

/// What the page works with while it is touched.
#[derive(Clone)]
struct Desk {
    data: Arc<LayerPage>,
    world: Arc<World>,
    unit: LengthUnit,
    values: RwSignal<FormValues>,
}

impl Desk {
    /// The plan that the fields make; as it was saved where they cannot be read.
    fn plan(&self, values: &FormValues) -> Option<PlanSaved> {
        edited(&self.world, &self.data, values, self.unit).ok()
    }

    /// Puts the layer's posts as they follow from a chosen set or shelf into the fields.
    fn fill(&self) {
        let Some(plan) = self.plan(&self.values.get_untracked()) else { return };
        let layer = plan.stacks.get(self.data.stack).and_then(|stack| stack.layers.get(self.data.layer));
        let Some(layer) = layer else { return };
        let typed = values_of(&self.world, layer, self.unit);
        self.values.update(|values| {
            for number in 1..=self.data.n_posts {
                for what in ["x", "y", "posts", "shim", "wad"] {
                    let name = format!("{what}{number}");
                    let text = typed.get(&name).and_then(|all| all.first()).cloned().unwrap_or_default();
                    touch::fill(&format!("{FORM}-{name}"), &text);
                    values.0.insert(name, vec![text]);
                }
            }
        });
    }
}

/// The page.
pub fn render(page: &Page, data: &LayerPage) -> impl IntoView + use<> {
    let data = Arc::new(data.clone());
    let state = Frame::get().form.get_untracked();
    let desk = Desk {
        world: Arc::new(data.bench.world()),
        unit: page.unit,
        values: RwSignal::new(FormValues(state.values)),
        data: Arc::clone(&data),
    };
    let shown = shown(&desk);
    let on_input = {
        let desk = desk.clone();
        move |event: leptos::ev::Event| {
            let Some(values) = browser::values_around(&event) else { return };
            desk.values.set(values);
            let name = browser::typed(&event).map(|(name, _)| name).unwrap_or_default();
            if name == "set" || name.starts_with("shelf") || name.starts_with("turn") {
                desk.fill();
            }
        }
    };
    let shelves: Vec<_> = (1..=data.n_shelves).map(|row| shelf(&data, row, page.unit)).collect();
    let ware: Vec<_> = (1..=data.n_shelves).map(|row| ware(&data, row, page.unit)).collect();
    let posts: Vec<_> = (1..=data.n_posts).map(|row| post(row, page.unit)).collect();
    let fields = view! {
        <div on:input=on_input.clone() on:change=on_input>
            {shelves} {field::select(Field::new(FORM, "set", "On which set"), data.sets.clone())}
            {drawing(desk, shown)} <p class="now" aria-live="polite">
                {move || now(&shown.get())}
            </p> {ware}
            <details>
                <summary>"Posts by number"</summary>
                {posts}
                <button class="quiet" type="submit" name="then" value="inset">
                    "Put them by the inset"
                </button>
            </details>
        </div>
        {submit("Save the layer")}
        <div class="actions">
            {button("next", "Save, next layer up")} {button("twin", "A second shelf")}
            {button("up", "Raise the layer")} {button("down", "Lower the layer")}
            {button("remove", "Take it out")}
        </div>
    };
    let back = data.path.clone();
    view! {
        {form(FORM, fields)}
        <section aria-label="What the check says">
            <h2>"What the check says"</h2>
            {move || checked(&shown.get())}
        </section>
        {neighbours(&data)}
        <p>
            <a class="button quiet" href=back>
                "Back to the plan"
            </a>
        </p>
    }
}

/// Drawn and checked anew whenever the fields can be read; as it was where they cannot.
fn shown(desk: &Desk) -> Memo<LayerShown> {
    let desk = desk.clone();
    let cache = Mutex::new(PlateCache::default());
    Memo::new(move |before: Option<&LayerShown>| {
        let mut cache = cache.lock().unwrap_or_else(PoisonError::into_inner);
        let plan = desk.values.with(|values| desk.plan(values));
        match (plan, before) {
            (Some(plan), _) => desk.data.shown(&desk.world, &plan, &mut cache),
            (None, Some(before)) => before.clone(),
            (None, None) => desk.data.shown(&desk.world, &desk.data.plan, &mut cache),
        }
    })
}

fn button(value: &'static str, text: &'static str) -> impl IntoView {
    view! {
        <button class="quiet" type="submit" name="then" value=value>
            {text}
        </button>
    }
}

/// The verdict of the plan and how many lines are about this layer, while it is changed.
fn now(shown: &LayerShown) -> impl IntoView + use<> {
    let n = shown.lines.len();
    let said = match n {
        0 => "no line about this layer".to_owned(),
        1 => "1 line about this layer".to_owned(),
        n => format!("{n} lines about this layer"),
    };
    view! {
        {mark(&shown.seen.check.verdict)}
        <span>"the plan; " {said}</span>
    }
}

fn checked(shown: &LayerShown) -> impl IntoView + use<> {
    let facts = tripoise_core::view::text::sentence(&shown.facts);
    let falls: Vec<_> = shown.falls.iter().map(|said| view! { <p>{said.clone()} "."</p> }).collect();
    let none = shown.lines.is_empty();
    view! {
        {(!facts.is_empty()).then(|| view! { <p class="say">{facts} "."</p> })}
        {none.then(|| view! { <p>"No line about this layer."</p> })}
        {lines::list("About this layer", "", &shown.lines)}
        {falls}
    }
}

/// The drawing. A thumb that comes down near a post holds it.
fn drawing(desk: Desk, shown: Memo<LayerShown>) -> impl IntoView {
    let held = RwSignal::new(None::<usize>);
    let drawn = move || shown.with(|shown| shown.drawing.clone());
    let pressed = move |event: leptos::ev::PointerEvent| {
        let (Some(drawn), Some((across, down))) =
            (shown.with_untracked(|shown| shown.drawing.clone()), touch::place(&event))
        else {
            return;
        };
        held.set(nearest(&drawn, across, down));
        if held.get_untracked().is_some() {
            touch::hold(&event);
        }
    };
    let moved = move |event: leptos::ev::PointerEvent| {
        let (Some(at), Some((across, down))) = (held.get_untracked(), touch::place(&event)) else { return };
        let Some(drawn) = shown.with_untracked(|shown| shown.drawing.clone()) else { return };
        let spot = drawn.back(across, down);
        desk.values.update(|values| {
            for (what, length) in [("x", spot.x_nm), ("y", spot.y_nm)] {
                let name = format!("{what}{}", at + 1);
                let text = tripoise_core::view::text::length_input(length, desk.unit);
                touch::fill(&format!("{FORM}-{name}"), &text);
                values.0.insert(name, vec![text]);
            }
        });
    };
    let size = move || drawn().map_or((358.0, 200.0), |drawn| drawn.figure.size);
    let said = move || drawn().map_or_else(String::new, |drawn| drawn.figure.said);
    let caption = move || drawn().map_or_else(String::new, |drawn| drawn.figure.caption);
    view! {
        <figure class="drawing">
            <svg
                class="drag"
                viewBox=move || format!("0 0 {} {}", size().0, size().1)
                width="100%"
                role="img"
                aria-label=said
                on:pointerdown=pressed
                on:pointermove=moved
                on:pointerup=move |_| held.set(None)
                on:pointercancel=move |_| held.set(None)
            >
                {move || drawn().map(|drawn| figure::inside(&drawn.figure))}
                {move || drawn().map(|drawn| handles(&drawn, held.get()))}
            </svg>
            <figcaption>{caption} " Drag a post by its ring, or type its place below."</figcaption>
        </figure>
    }
}

fn handles(drawn: &LayerDrawing, held: Option<usize>) -> Vec<impl IntoView + use<>> {
    let one = |(at, handle): (usize, &tripoise_core::view::plans::above::Handle)| {
        let class = if held == Some(at) { "handle held" } else { "handle" };
        view! { <circle class=class cx=handle.x.to_string() cy=handle.y.to_string() r="22"></circle> }
    };
    drawn.handles.iter().enumerate().map(one).collect()
}

fn nearest(drawn: &LayerDrawing, across: f64, down: f64) -> Option<usize> {
    let (x, y) = (across * drawn.figure.size.0, down * drawn.figure.size.1);
    let away = |handle: &tripoise_core::view::plans::above::Handle| {
        let (dx, dy) = (handle.x - x, handle.y - y);
        (dx * dx + dy * dy).sqrt()
    };
    let all = drawn.handles.iter().map(away).enumerate();
    all.filter(|(_, away)| *away <= REACH).min_by(|a, b| a.1.total_cmp(&b.1)).map(|(at, _)| at)
}

fn name(what: &str, row: usize) -> String {
    format!("{what}{row}")
}

fn shelf(data: &LayerPage, row: usize, unit: LengthUnit) -> AnyView {
    let sign = unit.sign();
    let title = if row == 1 { "Shelf".to_owned() } else { format!("Shelf {row}") };
    let is_spare = row == data.n_shelves && row > 1;
    let turns = ["as drawn on its card", "a quarter turn left", "half a turn", "a quarter turn right"]
        .into_iter()
        .enumerate()
        .map(|(at, said)| (at.to_string(), said.to_owned()))
        .collect();
    let choice = field::select(Field::new(FORM, name("shelf", row), title.clone()), data.shelves.clone());
    let lies = view! {
        <details>
            <summary>{format!("How {} lies", title.to_lowercase())}</summary>
            {field::select(Field::new(FORM, name("turn", row), format!("{title}, turned")), turns)}
            <div class="sides-by-side">
                {field::length(Field::new(FORM, name("sx", row), format!("{title}, in from the left, {sign}")))}
                {field::length(Field::new(FORM, name("sy", row), format!("{title}, from the front, {sign}")))}
            </div>
        </details>
    };
    if is_spare {
        view! {
            <details>
                <summary>"One more shelf at this height"</summary>
                {choice}
                {lies}
            </details>
        }
        .into_any()
    } else {
        view! {
            {choice}
            {lies}
        }
        .into_any()
    }
}

fn ware(data: &LayerPage, row: usize, unit: LengthUnit) -> AnyView {
    let of = if data.n_shelves <= 2 { String::new() } else { format!(" on shelf {row}") };
    let is_spare = row == data.n_shelves && row > 1;
    let mut uses = field::options::<Use>();
    uses.insert(0, (String::new(), "nothing on it".to_owned()));
    let sign = unit.sign();
    let fields = view! {
        {field::select(Field::new(FORM, name("use", row), format!("Ware{of}")), uses)}
        <div class="sides-by-side">
            {field::length(Field::new(FORM, name("tall", row), format!("Tallest piece{of}, {sign}")))}
            {field::number(Field::new(FORM, name("mass", row), format!("All of it{of}, kg")))}
        </div>
        {field::tick(Field::new(FORM, name("lid", row), format!("The tallest{of} has a lid")), false)}
        <details>
            <summary>{format!("Pieces placed by hand{of}")}</summary>
            {field::area(
                Field::new(FORM, name("pieces", row), format!("Pieces{of}"))
                    .hint("One a line, in the order of loading: in from the left; from the front; across; high; kg. They come on top of the mass above."),
                4,
            )}
        </details>
    };
    if is_spare {
        view! {
            <details>
                <summary>{format!("Ware on shelf {row}")}</summary>
                {fields}
            </details>
        }
        .into_any()
    } else {
        fields.into_any()
    }
}

fn post(row: usize, unit: LengthUnit) -> impl IntoView {
    let sign = unit.sign();
    let length = |what: &str, label: String| field::length(Field::new(FORM, name(what, row), label));
    view! {
        <fieldset class="post-row">
            <legend>{format!("Column {row}")}</legend>
            {field::text(
                Field::new(FORM, name("posts", row), format!("Post {row}, two on each other: P31 + P40")),
                "text",
            )}
            <div class="sides-by-side">
                {length("x", format!("{row}: from the left, {sign}"))}
                {length("y", format!("{row}: from the front, {sign}"))}
                {length("shim", format!("{row}: shim on top, {sign}"))}
                {length("wad", format!("{row}: wads, {sign}"))}
            </div>
        </fieldset>
    }
}

fn neighbours(data: &LayerPage) -> impl IntoView + use<> {
    let [below, above] = data.neighbours.clone();
    let link = |href: Option<String>, text: &'static str| {
        href.map(|href| {
            view! {
                <a class="button quiet" href=href>
                    {text}
                </a>
            }
        })
    };
    view! { <div class="actions">{link(below, "The layer below")} {link(above, "The layer above")}</div> }
}
