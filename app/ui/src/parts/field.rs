//! Form fields: label, hint, what was typed, what is wrong with it.
use crate::app::{Frame, Live};
use leptos::prelude::*;
use tripoise_core::event::values::Choice;
use tripoise_core::view::FormState;

/// What every field has.
#[derive(Clone, Debug, Default)]
pub struct Field {
    /// The form's `do` value.
    pub form: &'static str,
    /// The field's name.
    pub name: String,
    /// What stands above it.
    pub label: String,
    /// What stands below it; may be empty.
    pub hint: String,
    /// What it holds before anyone types.
    pub value: String,
}

impl Field {
    /// A field without hint or value.
    pub fn new(form: &'static str, name: impl Into<String>, label: impl Into<String>) -> Self {
        Self { form, name: name.into(), label: label.into(), ..Self::default() }
    }

    /// With a hint.
    #[must_use]
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = hint.into();
        self
    }

    /// With a value to begin with.
    #[must_use]
    pub fn value(mut self, value: impl Into<String>) -> Self {
        self.value = value.into();
        self
    }

    fn id(&self) -> String {
        format!("{}-{}", self.form, self.name)
    }

    /// What was typed where the form came back, otherwise the value to begin with.
    fn shown(&self, state: &FormState) -> String {
        let typed = if state.action == self.form { state.values.get(&self.name) } else { None };
        typed.and_then(|values| values.first()).cloned().unwrap_or_else(|| self.value.clone())
    }
}

/// A line of text. `mode` is the on-screen keyboard: "text", "decimal", "numeric".
pub fn text(field: Field, mode: &'static str) -> impl IntoView {
    let shown = field.shown(&Frame::get().form.get_untracked());
    let (id, name) = (field.id(), field.name.clone());
    let described = format!("{id}-hint {id}-problem");
    let invalid = invalid(&field);
    let input = view! {
        <input
            type="text"
            id=id
            name=name
            value=shown
            inputmode=mode
            autocomplete="off"
            autocapitalize="off"
            spellcheck="false"
            aria-describedby=described
            aria-invalid=invalid
        />
    };
    wrap(field, input.into_any())
}

/// A length, typed in any unit the tool reads; the keyboard has letters, since "card" and "in" are typed too.
pub fn length(field: Field) -> impl IntoView {
    text(field, "text")
}

/// A whole number or a price.
pub fn number(field: Field) -> impl IntoView {
    text(field, "decimal")
}

/// A day.
pub fn date(field: Field) -> impl IntoView {
    let shown = field.shown(&Frame::get().form.get_untracked());
    let (id, name) = (field.id(), field.name.clone());
    let described = format!("{id}-hint {id}-problem");
    let invalid = invalid(&field);
    let input = view! {
        <input type="date" id=id name=name value=shown aria-describedby=described aria-invalid=invalid />
    };
    wrap(field, input.into_any())
}

/// Several lines of text.
pub fn area(field: Field, rows: u8) -> impl IntoView {
    let shown = field.shown(&Frame::get().form.get_untracked());
    let (id, name) = (field.id(), field.name.clone());
    let described = format!("{id}-hint {id}-problem");
    let invalid = invalid(&field);
    let input = view! {
        <textarea id=id name=name rows=rows.to_string() aria-describedby=described aria-invalid=invalid>
            {shown}
        </textarea>
    };
    wrap(field, input.into_any())
}

/// One of a list, as a drop-down.
pub fn select(field: Field, options: Vec<(String, String)>) -> impl IntoView {
    let shown = field.shown(&Frame::get().form.get_untracked());
    let (id, name) = (field.id(), field.name.clone());
    let described = format!("{id}-hint {id}-problem");
    let invalid = invalid(&field);
    let options: Vec<_> = options
        .into_iter()
        .map(|(key, said)| {
            let here = key == shown;
            view! {
                <option value=key selected=here>
                    {said}
                </option>
            }
        })
        .collect();
    let input = view! {
        <select id=id name=name aria-describedby=described aria-invalid=invalid>
            {options}
        </select>
    };
    wrap(field, input.into_any())
}

/// The options of a closed list, for [`select`] and [`radios`].
#[must_use]
pub fn options<T: Choice>() -> Vec<(String, String)> {
    T::all().iter().map(|member| (member.key().to_owned(), member.said().to_owned())).collect()
}

/// One of a short list, as large buttons side by side. The group bears the field's id, for the summary.
pub fn radios(field: Field, options: Vec<(String, String)>) -> AnyView {
    let shown = field.shown(&Frame::get().form.get_untracked());
    let (id, label, hint) = (field.id(), field.label.clone(), field.hint.clone());
    let buttons: Vec<_> = options
        .into_iter()
        .map(|(key, said)| {
            let here = key == shown;
            let name = field.name.clone();
            view! {
                <label class="choice">
                    <input type="radio" name=name value=key checked=here />
                    <span>{said}</span>
                </label>
            }
        })
        .collect();
    view! {
        <fieldset class="field choices" id=id.clone() tabindex="-1">
            <legend>{label}</legend>
            <div class="options">{buttons}</div>
            {(!hint.is_empty()).then(|| view! { <p class="hint">{hint}</p> })} {problem(field)}
        </fieldset>
    }
    .into_any()
}

/// A box to tick. `ticked` is its state before anyone touched it.
pub fn tick(field: Field, ticked: bool) -> impl IntoView {
    let state = Frame::get().form.get_untracked();
    let came_back = state.action == field.form;
    let value = if field.value.is_empty() { "yes".to_owned() } else { field.value.clone() };
    let on = if came_back {
        state.values.get(&field.name).is_some_and(|values| values.contains(&value))
    } else {
        ticked
    };
    view! {
        <label class="tick">
            <input type="checkbox" name=field.name value=value checked=on />
            <span>{field.label}</span>
        </label>
    }
}

fn wrap(field: Field, input: AnyView) -> AnyView {
    let (id, label, hint) = (field.id(), field.label.clone(), field.hint.clone());
    let hint_id = format!("{id}-hint");
    view! {
        <div class="field">
            <label for=id>{label}</label>
            {input}
            <p class="hint" id=hint_id>
                {hint}
            </p>
            {problem(field)}
        </div>
    }
    .into_any()
}

/// Whether something is wrong with a field, for `aria-invalid`.
pub fn invalid(field: &Field) -> impl Fn() -> Option<&'static str> + Send + Sync + 'static + use<> {
    let frame = Frame::get();
    let (form, name) = (field.form, field.name.clone());
    move || {
        let wrong = has_problem(&frame.form.get(), form, &name) || live(frame, form, &name).is_some();
        wrong.then_some("true")
    }
}

/// What was found of this field before the form was sent.
fn live(frame: Frame, form: &str, name: &str) -> Option<Live> {
    frame.live.with(|live| live.get(name).filter(|live| live.form == form).cloned())
}

fn has_problem(state: &FormState, form: &str, name: &str) -> bool {
    state.action == form && state.problems.iter().any(|problem| problem.field == name)
}

/// What is wrong with a field; where it is only asked about, the box that confirms it.
pub fn problem(field: Field) -> impl IntoView {
    let frame = Frame::get();
    let id = format!("{}-problem", field.id());
    let Field { form, name, .. } = field;
    let said = move || {
        let state = frame.form.get();
        let found =
            state.problems.iter().find(|problem| state.action == form && problem.field == name).cloned();
        let typed = state.values.get(&name).and_then(|values| values.first()).cloned().unwrap_or_default();
        let asked = || live(frame, form, &name).map(|live| (live.problem, live.typed));
        found.map(|problem| (problem, typed)).or_else(asked).map(|(problem, typed)| {
            let confirm = problem.ask.then(|| {
                view! {
                    <label class="tick">
                        <input type="checkbox" name=format!("confirm_{name}") value=typed.trim().to_owned() />
                        <span>"yes, record it as it is"</span>
                    </label>
                }
            });
            view! {
                <span class="problem">{problem.cause}</span>
                {confirm}
            }
        })
    };
    view! { <div id=id>{said}</div> }
}
