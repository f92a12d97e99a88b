//! The number pad for gloves: digits, the units of the bench, feelers by name, and on to the next field.
//!
//! It stands there only where the program runs, since without it the keys could do nothing. While it does, the
//! phone's own keyboard stays down; "abc" calls it.
use crate::app::Frame;
use crate::browser::{self, pad};
use leptos::prelude::*;
use tripoise_core::view::{LengthUnit, spoken};

/// The fields that a pad types into.
#[derive(Clone, Debug)]
pub struct Pad {
    /// The form's `do` value, with which the fields' ids begin.
    pub form: &'static str,
    /// The unit of a bare number.
    pub unit: LengthUnit,
    /// The fields in the order of the work: name, and what is read there.
    pub fields: Vec<(String, String)>,
    /// Whether feelers are keys too.
    pub feelers: bool,
    /// What the readings are of, drawn small beside what is typed; the large drawing scrolls away.
    pub sketch: Option<Sketch>,
    /// Which field it types into.
    pub at: RwSignal<usize>,
}

/// An outline with where each field is read.
#[derive(Clone, Debug)]
pub struct Sketch {
    /// The drawing's width and height.
    pub size: (f64, f64),
    /// The outline's path.
    pub outline: String,
    /// For each field the straightedge's path, and the place on it where the gap is read.
    pub fields: Vec<(String, (f64, f64))>,
}

impl Pad {
    fn id(&self, at: usize) -> String {
        self.fields.get(at).map_or_else(String::new, |(name, _)| format!("{}-{name}", self.form))
    }

    /// Goes to the field that has the focus, where it is one of the pad's.
    pub fn follow(&self, id: &str) {
        if let Some(at) = (0..self.fields.len()).find(|at| self.id(*at) == id) {
            self.at.set(at);
        }
    }
}

/// Household feelers as keys.
const FEELERS: [&str; 4] = ["paper", "card", "2 cards", "playing card"];

/// The pad.
pub fn keypad(pad: Pad) -> impl IntoView {
    let ready = RwSignal::new(false);
    let typed = RwSignal::new(String::new());
    let ids: Vec<String> = (0..pad.fields.len()).map(|at| pad.id(at)).collect();
    let all = ids.clone();
    Effect::new(move |_| {
        ready.set(true);
        pad::keyboard(&all, false);
    });
    let watched = pad.clone();
    // What the field holds when the pad comes to it, typed there or brought back with the form.
    Effect::new(move |_| typed.set(browser::touch::field(&watched.id(watched.at.get()))));
    move || {
        ready.get().then(|| {
            view! {
                <div class="pad">
                    {(pad.fields.len() > 1).then(|| readout(&pad, typed))}
                    <div class="keys" role="group" aria-label="Number pad">
                        {digits(&pad, typed)}
                        {pad.feelers.then(|| feelers(&pad, typed))}
                    </div>
                </div>
            }
        })
    }
}

/// Which reading this is and what is typed: the field itself may stand off the screen.
fn readout(pad: &Pad, typed: RwSignal<String>) -> impl IntoView + use<> {
    let (pad, n) = (pad.clone(), pad.fields.len());
    let sketch = pad.sketch.clone().map(|drawn| sketch(drawn, pad.at));
    view! {
        <div class="readout" aria-hidden="true">
            {sketch}
            <p>
                {move || {
                    let at = pad.at.get();
                    let said = pad.fields.get(at).map_or("", |(_, said)| said.as_str());
                    format!("{} of {n}. {said}: ", at + 1)
                }}
                <strong>{move || typed.get()}</strong>
            </p>
        </div>
    }
}

/// The outline with the straightedge where it lies next, and a dot where the gap is read.
fn sketch(drawn: Sketch, at: RwSignal<usize>) -> impl IntoView {
    let Sketch { size: (width, height), outline, fields } = drawn;
    let here = move || fields.get(at.get()).cloned().unwrap_or_default();
    view! {
        <svg class="sketch" viewBox=format!("0 0 {width} {height}")>
            <path d=outline fill="var(--slab)" stroke="currentColor" stroke-width="4"></path>
            {move || {
                let (line, (x, y)) = here();
                view! {
                    <path d=line fill="none" stroke="var(--cobalt)" stroke-width="14"></path>
                    <circle cx=x.to_string() cy=y.to_string() r="20" fill="currentColor"></circle>
                }
            }}
        </svg>
    }
}

fn digits(pad: &Pad, typed: RwSignal<String>) -> Vec<AnyView> {
    let goes_on = pad.fields.len() > 1;
    let keys = keys_of(pad.unit).chars().map(|key| match key {
        '<' => button(pad, typed, None, "\u{232b}", "rub out"),
        ' ' => button(pad, typed, Some(' '), "space", "space"),
        key => {
            let shown = key.to_string();
            button(pad, typed, Some(key), &shown, &shown)
        }
    });
    let mut keys: Vec<AnyView> = keys.collect();
    if goes_on {
        keys.push(next(pad, typed));
        keys.push(abc(pad));
    }
    keys
}

/// Three digits a row with a fourth key beside them; inches need a stroke and a space for their fractions.
fn keys_of(unit: LengthUnit) -> &'static str {
    match unit {
        LengthUnit::Mm => "789<4560123.",
        LengthUnit::Inch | LengthUnit::InchFraction => "789<4560123./ \"",
    }
}

fn button(pad: &Pad, typed: RwSignal<String>, key: Option<char>, shown: &str, said: &str) -> AnyView {
    let (pad, shown, said) = (pad.clone(), shown.to_owned(), said.to_owned());
    let press = move |_| {
        let id = pad.id(pad.at.get_untracked());
        browser::press(&id, key);
        typed.set(browser::touch::field(&id));
    };
    view! {
        <button type="button" aria-label=said on:click=press>
            {shown}
        </button>
    }
    .into_any()
}

fn feelers(pad: &Pad, typed: RwSignal<String>) -> Vec<AnyView> {
    let key = |word: &'static str| {
        let pad = pad.clone();
        let press = move |_| {
            let id = pad.id(pad.at.get_untracked());
            let text = browser::touch::field(&id);
            // A number typed before says how many: 3, then card.
            let count = text.trim();
            let is_count = !count.is_empty() && count.bytes().all(|byte| byte.is_ascii_digit());
            let text = if is_count { format!("{count} {word}") } else { word.to_owned() };
            browser::touch::fill(&id, &text);
            typed.set(text);
        };
        view! {
            <button type="button" class="word" on:click=press>
                {word}
            </button>
        }
        .into_any()
    };
    FEELERS.map(key).into()
}

/// On to the next field, which gets the focus; what was typed is checked at once, and said where that is on.
fn next(pad: &Pad, typed: RwSignal<String>) -> AnyView {
    let (frame, pad) = (Frame::get(), pad.clone());
    let press = move |_| {
        let at = pad.at.get_untracked();
        let said = pad.fields.get(at).map_or("", |(_, said)| said.as_str());
        browser::speech::say(&format!("{said}, {}", spoken::value(&typed.get_untracked(), pad.unit)));
        pad::check(frame, pad.form, &pad.id(at));
        let following = (at + 1) % pad.fields.len();
        pad.at.set(following);
        pad::focus(&pad.id(following));
    };
    view! {
        <button type="button" class="go" on:click=press>
            "next"
        </button>
    }
    .into_any()
}

fn abc(pad: &Pad) -> AnyView {
    let pad = pad.clone();
    let press = move |_| {
        let id = pad.id(pad.at.get_untracked());
        pad::keyboard(std::slice::from_ref(&id), true);
        pad::focus(&id);
    };
    view! {
        <button type="button" class="word" aria-label="the phone\u{2019}s own keyboard" on:click=press>
            "abc"
        </button>
    }
    .into_any()
}
