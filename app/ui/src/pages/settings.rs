//! `/settings` and `/settings/NAME`: every limit with its value, its default and where that comes from.
use crate::parts::field::{self, Field};
use crate::parts::form::{form, submit};
use crate::parts::rows;
use leptos::prelude::*;
use tripoise_core::settings::Quantity;
use tripoise_core::view::Page;
use tripoise_core::view::settings::{SettingGroup, SettingLine, SettingPage, SettingsPage};

const FORM: &str = "change";

/// Every setting.
pub fn render(data: &SettingsPage) -> impl IntoView + use<> {
    let groups: Vec<_> = data.groups.iter().map(group).collect();
    view! {
        <p class="say">{data.said.clone()}</p>
        <p>"These are defaults, none of them a promise. Tap one to see where it comes from or to change it."</p>
        {groups}
    }
}

fn group(group: &SettingGroup) -> impl IntoView + use<> {
    let lines: Vec<_> = group.settings.iter().map(line).collect();
    view! {
        <h2>{group.title.clone()}</h2>
        <ul class="rows settings" aria-label=group.title.clone()>
            {lines}
        </ul>
    }
}

fn line(line: &SettingLine) -> impl IntoView + use<> {
    let from = if line.changed {
        format!("the studio\u{2019}s own; by default {}, {}", line.default, line.provenance)
    } else {
        line.provenance.clone()
    };
    let source = line.source.clone();
    view! {
        <li>
            <a class="row" href=line.href.clone()>
                <span class="said">
                    {line.label.clone()} <small>{from} "; " {source}</small>
                </span>
                <strong class="value">{line.value.clone()}</strong>
                {line.changed.then(|| view! { <span class="mark look">"changed"</span> })}
            </a>
        </li>
    }
}

/// One setting: how it stands, the form that changes it, its history.
pub fn one(page: &Page, data: &SettingPage) -> impl IntoView + use<> {
    let SettingLine { label, value, default, provenance, source, changed, .. } = data.line.clone();
    let back = (changed && page.correcting.is_none()).then(|| {
        let text = format!("Back to the default, {default}");
        view! {
            <button class="quiet" type="submit" name="back" value="yes">
                {text}
            </button>
        }
    });
    let fields = view! {
        {value_field(page, data)}
        {field::area(Field::new(FORM, "reason", "Why it is changed").hint("it stays in the history"), 2)}
        {submit(if page.correcting.is_some() { "Correct it" } else { "Change it" })}
        {back}
    };
    view! {
        <dl class="facts">
            <dt>"Setting"</dt>
            <dd>{label}</dd>
            <dt>"In force"</dt>
            <dd>{value}</dd>
            <dt>"Default"</dt>
            <dd>{default}</dd>
            <dt>"Where the default comes from"</dt>
            <dd>{provenance} ": " {source}</dd>
        </dl>
        {form(FORM, fields)}
        <h2>"History"</h2>
        {data.history.is_empty().then(|| view! { <p>"It was never changed."</p> })}
        {rows::history(&data.history)}
        <p>
            <a class="button quiet" href="/settings">
                "All settings"
            </a>
        </p>
    }
}

fn value_field(page: &Page, data: &SettingPage) -> impl IntoView + use<> {
    let range = format!("{} is taken", data.range);
    match data.quantity {
        Quantity::LengthUnit => {
            let units = [("0", "millimetres"), ("1", "decimal inches"), ("2", "inches and 64ths")];
            let units = units.iter().map(|(key, said)| ((*key).to_owned(), (*said).to_owned())).collect();
            let hint = "what is typed without a unit is read in this one too";
            field::radios(Field::new(FORM, "value", "Lengths").hint(hint), units).into_any()
        }
        Quantity::Length => {
            let label = format!("New value, {}", page.unit.sign());
            field::length(Field::new(FORM, "value", label).hint(range)).into_any()
        }
        Quantity::Ratio | Quantity::Stress | Quantity::Stiffness => {
            field::text(Field::new(FORM, "value", "New value").hint(range), "text").into_any()
        }
        Quantity::Count => field::number(Field::new(FORM, "value", "New value").hint(range)).into_any(),
    }
}
