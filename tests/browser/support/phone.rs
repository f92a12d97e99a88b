//! One device at one server: opens pages, fills forms, reads what is shown.
use super::driver::{Browser, Lens};
use super::look::Look;
use super::server::{Server, Studio};
use super::{AGAIN, PATIENCE, checks, find, keys, wire};
use anyhow::{Context as _, Result, bail};
use fantoccini::Client;
use fantoccini::Locator;
use fantoccini::elements::Element;
use serde_json::{Value, json};
use std::path::Path;
use std::time::Instant;

/// A browser window and the server it looks at. Ask it for things by what a person sees.
#[derive(Debug)]
pub struct Phone {
    /// The server, to stop and start it.
    pub server: Server,
    pub(super) look: Look,
    pub(super) browser: Browser,
}

impl Phone {
    /// A phone with JavaScript at a new server.
    ///
    /// # Errors   When server or browser do not start.
    pub async fn at(studio: Studio) -> Result<Self> {
        Self::with(studio, Look::PHONE).await
    }

    /// A window of another kind at a new server.
    ///
    /// # Errors   When server or browser do not start.
    pub async fn with(studio: Studio, look: Look) -> Result<Self> {
        Self::before(Server::start(studio)?, look, &Lens::Absent).await
    }

    /// A window of any kind, with a camera or without, at a server that runs already.
    ///
    /// # Errors   When the browser does not start.
    pub async fn before(server: Server, look: Look, lens: &Lens) -> Result<Self> {
        let look = look.as_asked()?;
        let browser = Browser::open(look, lens).await?;
        let phone = Self { server, look, browser };
        phone.prefer_dark(look.dark).await?;
        phone.run_scripts(look.javascript).await?;
        Ok(phone)
    }

    /// The WebDriver session, for what no method here does.
    #[must_use]
    pub fn client(&self) -> &Client {
        &self.browser.client
    }

    /// Opens the page at `path` and waits until it is ready.
    ///
    /// # Errors   When it does not become ready.
    pub async fn open(&self, path: &str) -> Result<()> {
        self.client().goto(&format!("{}{path}", self.server.origin)).await?;
        self.ready().await
    }

    /// Waits until the page is loaded and, with JavaScript, the program has taken it over and its first
    /// exchange with the server has ended.
    ///
    /// # Errors   When that does not happen; what the console said is part of the error.
    pub async fn ready(&self) -> Result<()> {
        let script = "const { program, busy } = document.documentElement.dataset;
            return document.readyState === 'complete' && (!arguments[0] || !document.querySelector('script[type=module]')
                || program === 'ready' && busy === 'no')";
        let done = self
            .until("the page is ready", async || {
                Ok(self.client().execute(script, vec![json!(self.look.javascript)]).await? == json!(true))
            })
            .await;
        match done {
            Ok(()) => Ok(()),
            Err(problem) => {
                bail!("{problem:#}; the console: {:?}", checks::console_errors(self.client()).await?)
            }
        }
    }

    /// The field whose label reads exactly so.
    ///
    /// # Errors   When none appears; lists the labels that are there.
    pub async fn field(&self, label: &str) -> Result<Element> {
        match self.appears(async || find::field(self.client(), label).await).await? {
            Some(field) => Ok(field),
            None => bail!("no field is labelled {label:?}; labels here: {:?}", self.texts("label").await?),
        }
    }

    /// Empties the field with that label and types.
    ///
    /// # Errors   When there is none.
    pub async fn fill(&self, label: &str, text: &str) -> Result<()> {
        let field = self.field(label).await?;
        if self.look.keys {
            return keys::fill(self.client(), &field, text).await;
        }
        if self.look.javascript {
            field.clear().await?;
            return Ok(field.send_keys(text).await?);
        }
        // As in `touch`: the driver's own typing waits for a promise.
        let script = "arguments[0].value = arguments[1]";
        self.client().execute(script, vec![serde_json::to_value(&field)?, json!(text)]).await?;
        Ok(())
    }

    /// Chooses the option that reads so in the list with that label.
    ///
    /// # Errors   When either is missing.
    pub async fn choose(&self, label: &str, option: &str) -> Result<()> {
        let list = self.field(label).await?;
        if self.look.keys {
            return keys::choose(self.client(), &list, option).await;
        }
        list.select_by_label(option).await.with_context(|| format!("{label:?} offers no {option:?}"))
    }

    /// The displayed element of that role with exactly that name, as a screen reader speaks them.
    ///
    /// # Errors   When none appears; lists the names that are there.
    pub async fn role(&self, role: &str, name: &str) -> Result<Element> {
        if let Some(found) = self.appears(async || find::role(self.client(), role, name).await).await? {
            return Ok(found);
        }
        let there = self.texts("button, a, h1, h2, h3, label, summary").await?;
        bail!("{} shows no {role} named {name:?}; names here: {there:?}", self.path().await?)
    }

    /// Scrolls something out from under the bar at the foot, as a thumb does, and touches it.
    ///
    /// # Errors   When it cannot be touched.
    pub async fn touch(&self, element: &Element) -> Result<()> {
        if self.look.keys {
            return keys::touch(self.client(), element).await;
        }
        let script = "arguments[0].scrollIntoView({ block: 'center', behavior: 'instant' })";
        self.client().execute(script, vec![serde_json::to_value(element)?]).await?;
        if self.look.javascript {
            let touched = element.click().await;
            if touched.as_ref().is_err_and(find::is_covered) {
                // Under what stays in sight above the pad of a small phone: scrolled on to the top.
                let script = "arguments[0].scrollIntoView({ block: 'start', behavior: 'instant' })";
                self.client().execute(script, vec![serde_json::to_value(element)?]).await?;
                return Ok(element.click().await?);
            }
            return Ok(touched?);
        }
        // The driver's own click waits for a promise, which never comes where pages run no script.
        self.client().execute("arguments[0].click()", vec![serde_json::to_value(element)?]).await?;
        Ok(())
    }

    /// Presses a button. Does not wait for what follows.
    ///
    /// # Errors   When there is none.
    pub async fn press(&self, name: &str) -> Result<()> {
        self.touch(&self.role("button", name).await?).await
    }

    /// Ticks or picks the box or round button with that name, by its label as a finger does.
    ///
    /// # Errors   When there is none.
    pub async fn tick(&self, label: &str) -> Result<()> {
        let quoted = find::quoted(label);
        let path = format!("//label[normalize-space(.)={quoted}]");
        match self
            .appears(async || Ok(self.client().find_all(Locator::XPath(&path)).await?.into_iter().next()))
            .await?
        {
            Some(label) => self.touch(&label).await,
            None => {
                bail!("nothing to tick is labelled {label:?}; labels here: {:?}", self.texts("label").await?)
            }
        }
    }

    /// Follows a link and waits until the next page is ready.
    ///
    /// # Errors   When there is none or the page does not come.
    pub async fn follow(&self, name: &str) -> Result<()> {
        self.leaving(async || self.touch(&self.role("link", name).await?).await).await
    }

    /// Presses a button that sends a form and waits until the next page is ready.
    ///
    /// # Errors   When there is none or the page does not come.
    pub async fn submit(&self, name: &str) -> Result<()> {
        self.leaving(async || self.touch(&self.role("button", name).await?).await).await
    }

    /// Does something that leads to another page and waits until that one is ready. The program may put it
    /// into the same document.
    async fn leaving(&self, act: impl AsyncFn() -> Result<()>) -> Result<()> {
        self.client().execute("document.querySelector('main').dataset.left = 'yes'", vec![]).await?;
        act().await?;
        self.until("the next page comes", async || {
            let script = "return document.querySelector('main')?.dataset.left === undefined";
            Ok(self.client().execute(script, vec![]).await.is_ok_and(|fresh| fresh == json!(true)))
        })
        .await?;
        self.ready().await
    }

    /// Waits until the page shows this text somewhere.
    ///
    /// # Errors   When it does not; carries what is shown instead.
    pub async fn sees(&self, text: &str) -> Result<()> {
        let seen = self.until("", async || Ok(self.shown().await?.contains(text))).await;
        match seen {
            Ok(()) => Ok(()),
            Err(_) => bail!("{} does not show {text:?} but: {}", self.path().await?, self.shown().await?),
        }
    }

    /// Waits until a condition holds.
    ///
    /// # Errors   When patience ends first, or the condition fails for another reason than a page drawn again.
    pub async fn until(&self, what: &str, holds: impl AsyncFn() -> Result<bool>) -> Result<()> {
        let found = self.appears(async || Ok(holds().await?.then_some(()))).await?;
        found.with_context(|| format!("after {} s it is still not so that {what}", PATIENCE.as_secs()))
    }

    /// Asks again until something is there or patience ends.
    async fn appears<T>(&self, look: impl AsyncFn() -> Result<Option<T>>) -> Result<Option<T>> {
        let start = Instant::now();
        loop {
            match look().await {
                Ok(Some(found)) => return Ok(Some(found)),
                Ok(None) => {}
                Err(problem) if find::is_stale(&problem) => {}
                Err(problem) => return Err(problem),
            }
            if start.elapsed() > PATIENCE {
                return Ok(None);
            }
            tokio::time::sleep(AGAIN).await;
        }
    }

    /// The text that the page shows, spaces joined.
    ///
    /// # Errors   When the browser is gone.
    pub async fn shown(&self) -> Result<String> {
        let text = self.client().execute("return document.body.innerText", vec![]).await?;
        Ok(text.as_str().unwrap_or_default().split_whitespace().collect::<Vec<_>>().join(" "))
    }

    /// The path of the page, query included.
    ///
    /// # Errors   When the browser is gone.
    pub async fn path(&self) -> Result<String> {
        let url = self.client().current_url().await?;
        Ok(url.query().map_or_else(|| url.path().to_owned(), |query| format!("{}?{query}", url.path())))
    }

    /// What elements show.
    ///
    /// # Errors   When the browser is gone.
    pub async fn texts(&self, css: &str) -> Result<Vec<String>> {
        let script = "return [...document.querySelectorAll(arguments[0])].map(e => e.innerText.trim())";
        let texts = self.client().execute(script, vec![json!(css)]).await?;
        Ok(texts.as_array().into_iter().flatten().filter_map(Value::as_str).map(str::to_owned).collect())
    }

    /// Switches the device between its dark and its light colours.
    ///
    /// # Errors   When the browser is gone.
    pub async fn prefer_dark(&self, dark: bool) -> Result<()> {
        let value = if dark { "dark" } else { "light" };
        let features = json!({ "features": [{ "name": "prefers-color-scheme", "value": value }] });
        wire::devtools(self.client(), "Emulation.setEmulatedMedia", features).await?;
        Ok(())
    }

    /// Switches the pages' own scripts off or on; what this harness asks of a page runs all the same.
    async fn run_scripts(&self, run: bool) -> Result<()> {
        wire::devtools(self.client(), "Emulation.setScriptExecutionDisabled", json!({ "value": !run }))
            .await?;
        Ok(())
    }

    /// Checks the page as it stands: accessibility, nothing wider than the window, nothing too small for a
    /// thumb, no error on the console since the last check.
    ///
    /// # Errors   With everything that was found, one finding a line.
    pub async fn journey_end(&self) -> Result<()> {
        let path = self.path().await?;
        // axe-core waits for timers, which stand still while scripts are off. The page's own scripts were
        // passed over when it was read and stay so.
        self.run_scripts(true).await?;
        let found =
            checks::all(self.client(), self.server.is_stopped()).await.with_context(|| format!("at {path}"));
        self.run_scripts(self.look.javascript).await?;
        found
    }

    /// Takes the errors from the console, for a journey that causes one on purpose.
    ///
    /// # Errors   When the browser is gone.
    pub async fn take_console_errors(&self) -> Result<Vec<String>> {
        checks::console_errors(self.client()).await
    }

    /// Keeps a picture of the page as far as the window shows it.
    ///
    /// # Errors   When it cannot be written.
    pub async fn picture(&self, file: &Path) -> Result<()> {
        if let Some(folder) = file.parent() {
            std::fs::create_dir_all(folder)?;
        }
        std::fs::write(file, self.client().screenshot().await?).with_context(|| format!("{}", file.display()))
    }
}
