//! A shelf's card: why it is set aside, how flat it is, what for, what next, and all that happened to it.
use super::{bend, figures, tables};
use crate::parts::chart::{chart, wear};
use crate::parts::form::{form, submit};
use crate::parts::jobs;
use crate::parts::mark::mark;
use crate::parts::photos;
use crate::parts::rows;
use leptos::prelude::*;
use tripoise_core::judge::Finding;
use tripoise_core::view::shelf::card::{Aside, Card, GroundFine, Numeral, Usual};
use tripoise_core::view::{Mark, Shape};

/// The card. At the bench what can be tapped comes before the numbers, so that no thumb has to scroll for it.
pub fn render(card: &Card, bench: bool) -> impl IntoView + use<> {
    let numerals = view! { <div class="pair">{card.numerals.iter().map(numeral).collect::<Vec<_>>()}</div> };
    let (first, after) = if bench { (None, Some(numerals)) } else { (Some(numerals), None) };
    view! {
        {card.aside.as_ref().map(aside)}
        {first}
        <p class="say">{mark(&card.mark)} " " <span>{card.fit.clone()}</span></p>
        {actions(card)}
        {after}
        {figures::side(&card.side)}
        {findings(&card.findings)}
        {photos::strip(&card.photos)}
        <section>
            <h2>"The face"</h2>
            {figures::face(&card.map)}
        </section>
        {tables::verdicts(&card.verdicts)}
        {tables::readings(&card.readings)}
        {wearing(card)}
        {bend::on_the_card(&card.bends, &card.path)}
        {tables::cracks(&card.cracks)}
        {tables::washes(&card.washes)}
        {tables::facts(&card.facts)}
        <section>
            <h2>"All that happened to it"</h2>
            {rows::history(&card.history)}
        </section>
    }
}

/// How fast it warps.
fn wearing(card: &Card) -> Option<impl IntoView + use<>> {
    (!card.wear.lines.is_empty()).then(|| {
        view! {
            <section>
                <h2>"How fast it warps"</h2>
                {wear(&card.wear)}
                {card.wear_chart.as_ref().map(chart)}
            </section>
        }
    })
}

fn aside(aside: &Aside) -> impl IntoView + use<> {
    let Aside { heading, said, fix, rests_on } = aside.clone();
    view! {
        <section class="aside" role="note">
            <h2>{heading}</h2>
            <p>{said}</p>
            {(!fix.is_empty()).then(|| view! { <p>"To end it: " {fix} "."</p> })}
            {(!rests_on.is_empty()).then(|| view! { <p class="hint">{rests_on}</p> })}
        </section>
    }
}

fn numeral(numeral: &Numeral) -> impl IntoView + use<> {
    let Numeral { value, unit, below } = numeral.clone();
    view! {
        <div>
            <span class="num">
                {value} {(!unit.is_empty()).then(|| view! { <small>" " {unit}</small> })}
            </span>
            <p class="small">{below}</p>
        </div>
    }
}

/// What was found; what passed stands behind a tap.
fn findings(findings: &[Finding]) -> impl IntoView + use<> {
    let part =
        |wanted: fn(&Finding) -> bool| findings.iter().filter(|f| wanted(f)).map(finding).collect::<Vec<_>>();
    let (open, passed) = (part(|f| f.shape > Shape::Plain), part(|f| f.shape <= Shape::Plain));
    view! {
        {(!open.is_empty()).then(|| view! { <ul class="findings" aria-label="What to look at">{open}</ul> })}
        {(!passed.is_empty())
            .then(|| {
                view! {
                    <details>
                        <summary>"What was checked, and on what it rests"</summary>
                        <ul class="findings">{passed}</ul>
                    </details>
                }
            })}
    }
}

fn finding(finding: &Finding) -> impl IntoView + use<> {
    let Finding { shape, said, fix, rests_on, .. } = finding.clone();
    let word = match shape {
        Shape::Plain => "checked",
        Shape::Unknown => "not known",
        Shape::Look => "look",
        Shape::Stop => "stop",
        Shape::Gone => "retired",
    };
    view! {
        <li>
            <p>{mark(&Mark::new(shape, word))} " " <strong>{said}</strong></p>
            {(!fix.is_empty()).then(|| view! { <p>{fix}</p> })}
            {(!rests_on.is_empty()).then(|| view! { <p class="hint">"Rests on: " {rests_on}</p> })}
        </li>
    }
}

/// What is open, and four large actions for what is usually done to it now.
fn actions(card: &Card) -> impl IntoView + use<> {
    let large: Vec<AnyView> = card
        .usual
        .iter()
        .enumerate()
        .filter_map(|(at, usual)| match usual {
            Usual::Form(link) => Some(jobs::large(link, at == 0).into_any()),
            Usual::GroundFine => card.ground_fine.as_ref().map(|_| ground_fine(at == 0).into_any()),
        })
        .collect();
    view! {
        <section aria-label="Log">
            {jobs::open(&card.jobs)}
            <div class="actions">{large}</div>
            {card.ground_fine.as_ref().map(fine_said)}
            {jobs::rest(&card.actions)}
        </section>
    }
}

/// One tap after grinding.
fn ground_fine(is_first: bool) -> impl IntoView {
    let button = if is_first {
        submit("Ground dry, fine").into_any()
    } else {
        view! {
            <button type="submit">
                "Ground dry, fine"
            </button>
        }
        .into_any()
    };
    form("ground_fine", button)
}

/// What that tap records, and the caution that goes with it.
fn fine_said(fine: &GroundFine) -> impl IntoView + use<> {
    let said = format!(
        "\u{201c}Ground dry, fine\u{201d} {} Dust of a shelf harms the lungs: half mask with P100 or FFP3 filters, no dry sweeping. Follow your local rules.",
        fine.said.replacen("Records:", "records:", 1)
    );
    view! { <p class="hint">{said}</p> }
}
