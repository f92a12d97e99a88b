//! What journeys without a server need: what the phone holds, a battery that is pulled, a second phone.
use super::driver::Browser;
use super::phone::Phone;
use super::{Lens, wire};
use anyhow::{Context as _, Result, ensure};
use serde_json::{Value, json};

/// Every row of the phone's own store, by the names of its parts.
const STORE: &str = "const done = arguments[arguments.length - 1];
    const opening = indexedDB.open('tripoise');
    opening.onerror = () => done({ error: String(opening.error) });
    opening.onsuccess = () => {
        const database = opening.result, found = {}, names = [...database.objectStoreNames];
        const reading = database.transaction(names);
        for (const name of names) reading.objectStore(name).getAll().onsuccess = e =>
            { found[name] = e.target.result.map(row => typeof row === 'string' ? JSON.parse(row) : row.byteLength) };
        reading.oncomplete = () => { database.close(); done(found) };
    }";

/// What the service worker keeps, by cache, and whether one stands before this page.
const KEPT: &str = "const done = arguments[arguments.length - 1];
    (async () => {
        const kept = {};
        for (const name of await caches.keys()) kept[name] =
            (await (await caches.open(name)).keys()).map(one => new URL(one.url).pathname);
        return { kept, controlled: !!navigator.serviceWorker.controller,
            waits: !!(await navigator.serviceWorker.getRegistration())?.waiting };
    })().then(done, problem => done({ error: String(problem) }))";

/// The server's whole feed, page by page.
const FEED: &str = "const done = arguments[arguments.length - 1];
    (async () => {
        const all = [];
        for (let since = 0, more = true; more;) {
            const page = await (await fetch(`/api/v1/events?since=${since}`)).json();
            all.push(...page.events.map(one => one.event));
            ({ next: since, more } = page);
        }
        return all;
    })().then(done, problem => done({ error: String(problem) }))";

impl Phone {
    /// Another phone, new, at the same server.
    ///
    /// # Errors   When the browser does not start.
    pub async fn beside(&self) -> Result<Self> {
        Self::before(self.server.seen_from_elsewhere()?, self.look, &Lens::Absent).await
    }

    /// Pulls the battery, and switches the phone on again: what was on its disk is there, no page is open.
    ///
    /// # Errors   When the browser does not start again.
    pub async fn pull_the_battery(&mut self) -> Result<()> {
        let next: Browser = self.browser.killed_and_opened(self.look).await?;
        self.browser = next;
        self.prefer_dark(self.look.dark).await
    }

    /// Waits until one visit has been enough: the studio is in the phone's store, and a service worker with
    /// a whole build stands before the pages.
    ///
    /// # Errors   When that does not come about.
    pub async fn visited(&self) -> Result<()> {
        self.ready().await?;
        self.until("the phone is ready for no signal", async || {
            let whole = self.store().await?["meta"][0]["whole"] == json!(true);
            Ok(whole && self.kept().await?["controlled"] == json!(true))
        })
        .await
    }

    /// The rows of the phone's store: `meta`, `waiting`, `feed`, `photos`; of `photo_files` how long each is.
    ///
    /// # Errors   When it cannot be read.
    pub async fn store(&self) -> Result<Value> {
        told(self.client().execute_async(STORE, vec![]).await?)
    }

    /// What the service worker keeps: `kept` (paths by cache), `controlled`, `waits`.
    ///
    /// # Errors   When the browser has no such thing here.
    pub async fn kept(&self) -> Result<Value> {
        told(self.client().execute_async(KEPT, vec![]).await?)
    }

    /// Every record that the server has.
    ///
    /// # Errors   When it does not answer.
    pub async fn feed(&self) -> Result<Vec<Value>> {
        let feed = told(self.client().execute_async(FEED, vec![]).await?)?;
        feed.as_array().cloned().context("a feed is a list")
    }

    /// Waits until the badge at the top reads so.
    ///
    /// # Errors   When it does not; carries what it reads instead.
    pub async fn badge(&self, text: &str) -> Result<()> {
        let reads = async || self.texts("#saved").await.map(|texts| texts.concat());
        match self.until("", async || Ok(reads().await? == text)).await {
            Ok(()) => Ok(()),
            Err(_) => anyhow::bail!("the badge does not read {text:?} but {:?}", reads().await?),
        }
    }

    /// Lets this site keep no more than so many bytes; any number when `None`.
    ///
    /// # Errors   When the browser does not know how.
    pub async fn limit_storage(&self, quota_bytes: Option<u64>) -> Result<()> {
        let origin = &self.server.origin;
        let parameters = match quota_bytes {
            Some(bytes) => json!({ "origin": origin, "quotaSize": bytes }),
            None => json!({ "origin": origin }),
        };
        wire::devtools(self.client(), "Storage.overrideQuotaForOrigin", parameters).await?;
        Ok(())
    }

    /// A command of Chromium's developer protocol.
    ///
    /// # Errors   When the browser refuses it.
    pub async fn devtools(&self, command: &str, parameters: Value) -> Result<Value> {
        wire::devtools(self.client(), command, parameters).await
    }

    /// Takes the console's errors, which must all say that the server was not reached.
    ///
    /// # Errors   With those that say something else.
    pub async fn was_alone(&self) -> Result<()> {
        let mut said = self.take_console_errors().await?;
        said.retain(|line| !line.contains("net::ERR_"));
        ensure!(said.is_empty(), "beside the missing server: {said:?}");
        Ok(())
    }
}

fn told(answer: Value) -> Result<Value> {
    ensure!(answer.get("error").is_none(), "the page could not tell: {}", answer["error"]);
    Ok(answer)
}
