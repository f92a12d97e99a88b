//! The tables and lists of a shelf's card.
use leptos::prelude::*;
use tripoise_core::view::shelf::card::{CrackLine, ReadingLine, VerdictLine};

/// Each use with its limits on this shelf.
pub fn verdicts(lines: &[VerdictLine]) -> impl IntoView + use<> {
    let rows: Vec<_> = lines
        .iter()
        .map(|line| {
            let VerdictLine { fit_for, good, limit, grade, .. } = line.clone();
            view! {
                <tr>
                    <th scope="row">{fit_for}</th>
                    <td>{grade}</td>
                    <td class="n">{good}</td>
                    <td class="n">{limit}</td>
                </tr>
            }
        })
        .collect();
    let sources: Vec<_> = lines.iter().map(|line| view! { <li>{line.source.clone()}</li> }).collect();
    (!rows.is_empty()).then(|| {
        view! {
            <section>
                <h2>"What it is flat enough for"</h2>
                <table>
                    <caption>
                        "Limits on the span of this shelf. Decided as in ISO 14253-1: within or over only when by more than 1.645 standard uncertainties of the reading."
                    </caption>
                    <thead>
                        <tr>
                            <th scope="col">"use"</th>
                            <th scope="col">"verdict"</th>
                            <th scope="col">"good under"</th>
                            <th scope="col">"not over"</th>
                        </tr>
                    </thead>
                    <tbody>{rows}</tbody>
                </table>
                <details>
                    <summary>"Where the limits come from"</summary>
                    <ul>{sources}</ul>
                </details>
            </section>
        }
    })
}

/// The last readings beside one another.
pub fn readings(lines: &[ReadingLine]) -> impl IntoView + use<> {
    let rows: Vec<_> = lines
        .iter()
        .map(|line| {
            let ReadingLine { when, how, flatness, bow, twist, remark } = line.clone();
            view! {
                <tr>
                    <th scope="row"><span class="n">{when}</span> <small>{format!(" {how}")}</small></th>
                    <td class="n">{flatness}</td>
                    <td>
                        <span class="n">{bow}</span> ", " <span class="n">{format!("twist {twist}")}</span>
                        {(!remark.is_empty()).then(|| view! { <small>{remark}</small> })}
                    </td>
                </tr>
            }
        })
        .collect();
    (!rows.is_empty()).then(|| {
        view! {
            <section>
                <h2>"Beside the last readings"</h2>
                <div class="scroll" tabindex="0" role="region" aria-label="Table of the last readings">
                    <table>
                        <caption>"Newest first. A dish on one face is a hump on the other."</caption>
                        <thead>
                            <tr>
                                <th scope="col">"when, how"</th>
                                <th scope="col">"flatness"</th>
                                <th scope="col">"bow, twist"</th>
                            </tr>
                        </thead>
                        <tbody>{rows}</tbody>
                    </table>
                </div>
            </section>
        }
    })
}

/// Its cracks.
pub fn cracks(lines: &[CrackLine]) -> impl IntoView + use<> {
    let items: Vec<_> = lines
        .iter()
        .map(|line| view! { <li><strong>{line.said.clone()}</strong><p class="small">{line.more.clone()}</p></li> })
        .collect();
    (!items.is_empty()).then(|| {
        view! {
            <section>
                <h2>"Cracks"</h2>
                <ul class="findings">{items}</ul>
            </section>
        }
    })
}

/// Its washes.
pub fn washes(lines: &[String]) -> impl IntoView + use<> {
    let items: Vec<_> = lines.iter().map(|line| view! { <li>{line.clone()}</li> }).collect();
    let none = items.is_empty().then(|| view! { <p>"No wash is on record on either face."</p> });
    view! {
        <section>
            <h2>"Wash"</h2>
            {none}
            {(!items.is_empty()).then(|| view! { <ul>{items}</ul> })}
        </section>
    }
}

/// What is known of it otherwise.
pub fn facts(facts: &[[String; 2]]) -> impl IntoView + use<> {
    let items: Vec<_> = facts
        .iter()
        .map(|[name, value]| {
            view! {
                <div>
                    <dt>{name.clone()}</dt>
                    <dd>{value.clone()}</dd>
                </div>
            }
        })
        .collect();
    view! {
        <section>
            <h2>"What is known of it"</h2>
            <dl>{items}</dl>
        </section>
    }
}
