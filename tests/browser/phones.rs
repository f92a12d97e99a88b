//! Two phones at one shelf, a contradiction between phone and server, and a phone that was shut out.
use super::journeys::submit_only;
use anyhow::{Context as _, Result, ensure};
use browser_support::{Lens, Look, Phone, Server, Studio};
use serde_json::{Value, json};

async fn note(phone: &Phone, path: &str, text: &str) -> Result<()> {
    phone.open(path).await?;
    phone.fill("Note", text).await?;
    submit_only(phone).await
}

/// Asks the phone to exchange, as a person does.
async fn exchange(phone: &Phone) -> Result<()> {
    phone.open("/phone").await?;
    phone.press("Exchange now").await?;
    phone.badge("On the server").await
}

#[tokio::test]
async fn two_phones_at_one_shelf_end_up_with_both_entries() -> Result<()> {
    let mut one = Phone::at(Studio::Demo).await?;
    let two = one.beside().await?;
    for phone in [&one, &two] {
        phone.open("/").await?;
        phone.visited().await?;
    }
    one.server.stop()?;
    note(&one, "/shelf/F01/note", "seen by the first").await?;
    note(&two, "/shelf/F01/note", "seen by the second").await?;
    for phone in [&one, &two] {
        phone.badge("On this phone: 1 waiting").await?;
        phone.was_alone().await?;
    }
    one.server.restart()?;
    for phone in [&one, &two, &one] {
        exchange(phone).await?;
    }
    // What is folded away is drawn by the phone when it is unfolded, and by the server at once.
    let history = async |phone: &Phone| phone.texts(".history .said:not(details .said)").await;
    one.server.stop()?;
    // Without the server: what each phone itself holds.
    one.open("/shelf/F01").await?;
    two.open("/shelf/F01").await?;
    let (first, second) = (history(&one).await?, history(&two).await?);
    ensure!(first == second, "they differ: {first:?} {second:?}");
    for text in ["seen by the first", "seen by the second"] {
        ensure!(first.iter().filter(|said| said.contains(text)).count() == 1, "{text}: {first:?}");
    }
    one.was_alone().await?;
    two.was_alone().await?;
    one.server.restart()?;
    one.open("/shelf/F01").await?;
    ensure!(history(&one).await? == first, "the server says otherwise");
    one.journey_end().await?;
    two.was_alone().await
}

/// Puts an event into the server's store as another device would.
async fn post(phone: &Phone, event: &Value) -> Result<Value> {
    let script = "const [event, done] = arguments;
        fetch('/api/v1/events', { method: 'POST', headers: { 'content-type': 'application/json' },
            body: JSON.stringify([event]) }).then(answer => answer.json()).then(done)";
    Ok(phone.client().execute_async(script, vec![event.clone()]).await?)
}

#[tokio::test]
async fn a_contradiction_is_kept_shown_at_its_piece_and_counted_nowhere() -> Result<()> {
    let mut phone = Phone::at(Studio::Demo).await?;
    phone.open("/").await?;
    phone.visited().await?;
    phone.server.stop()?;
    note(&phone, "/shelf/F01/note", "what this phone says").await?;
    let waiting = phone.store().await?["waiting"][0]["record"].clone();
    ensure!(waiting["body"]["text"] == "what this phone says", "{waiting}");
    phone.was_alone().await?;
    phone.server.restart()?;
    let mut theirs = waiting.clone();
    theirs["body"]["text"] = json!("what another copy of it says");
    let other = phone.beside().await?;
    other.open("/about").await?;
    let answer = post(&other, &theirs).await?;
    ensure!(answer["answers"][0]["status"] == "stored", "{answer}");
    phone.open("/phone").await?;
    phone.press("Exchange now").await?;
    phone.badge("On the server; 1 not taken").await?;
    phone.sees("the server has another entry under this one's id").await?;
    phone.journey_end().await?;
    phone.follow("On the server; 1 not taken").await?;
    phone.server.stop()?;
    phone.open("/shelf/F01").await?;
    phone.sees("what this phone says").await?;
    phone.sees("not taken by the server").await?;
    phone.sees("what another copy of it says").await?;
    phone.was_alone().await?;
    phone.journey_end().await?;
    phone.open("/phone").await?;
    phone.press("Put these away").await?;
    phone.badge("On the server").await?;
    phone.was_alone().await
}

#[tokio::test]
async fn a_phone_that_was_shut_out_keeps_what_waits_until_it_is_paired_again() -> Result<()> {
    let phone = Phone::before(Server::start_on_network(Studio::Demo)?, Look::PHONE, &Lens::Absent).await?;
    pair(&phone, "/shelf/F01").await?;
    phone.open("/shelf/F01/note").await?;
    phone.fill("Note", "chipped at the back").await?;
    // Shut out by its own hand, from the list of devices, while the form is open.
    let script = "const done = arguments[arguments.length - 1];
        (async () => {
            const page = new DOMParser().parseFromString(await (await fetch('/devices')).text(), 'text/html');
            const button = [...page.querySelectorAll('button')].find(one => one.textContent.includes('Shut out'));
            const form = button.closest('form'), data = new URLSearchParams(new FormData(form));
            if (button.name) data.append(button.name, button.value);
            const to = form.getAttribute('action') ?? '/devices';
            return (await fetch(to, { method: 'POST', body: data, redirect: 'manual' })).type;
        })().then(done, problem => done(String(problem)))";
    let done = phone.client().execute_async(script, vec![]).await?;
    ensure!(done == "opaqueredirect", "it was not shut out: {done}");
    phone.submit("Keep the note").await?;
    phone.badge("Not paired; on this phone: 1 waiting").await?;
    phone.sees("Recorded on this phone.").await?;
    phone.follow("Not paired; on this phone: 1 waiting").await?;
    phone.sees("The server does not know this phone").await?;
    // The console tells of the answers 401; they were asked for.
    phone.take_console_errors().await?;
    phone.journey_end().await?;
    pair(&phone, "/shelf/F01").await?;
    phone.badge("On the server").await?;
    phone.sees("chipped at the back").await?;
    let feed = phone.feed().await?;
    let noted = feed.iter().filter(|one| one["body"]["text"] == "chipped at the back").count();
    ensure!(noted == 1, "it is there {noted} times");
    phone.journey_end().await
}

/// Pairs a phone on the way to a page.
pub async fn pair(phone: &Phone, path: &str) -> Result<()> {
    phone.open(path).await?;
    phone.fill("Pairing code", &phone.server.pairing_code()?).await?;
    phone.fill("What this device is called", "phone by the kiln").await?;
    phone.submit("Pair this device").await.context("it was not let in")?;
    phone.take_console_errors().await?;
    Ok(())
}
