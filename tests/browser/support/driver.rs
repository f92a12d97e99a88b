//! The browser: a driver on a free port and one window, both gone when dropped.
use super::look::Look;
use super::{PATIENCE, named};
use anyhow::{Context as _, Result, bail, ensure};
use fantoccini::{Client, ClientBuilder};
use hyper_util::client::legacy::connect::HttpConnector;
use serde_json::{Map, Value, json};
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::path::PathBuf;
use std::process::{Child, ChildStdout, Command, Stdio};
use std::sync::Arc;
use tempfile::TempDir;

/// What the device's camera does.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub enum Lens {
    /// There is none; a page that asks is told so.
    #[default]
    Absent,
    /// The person or the settings refuse it to pages.
    Refused,
    /// It shows this film (YUV4MPEG2), over and over, and is allowed to pages.
    Shows(PathBuf),
}

impl Lens {
    /// The browser's arguments.
    fn arguments(&self) -> Vec<String> {
        // There must be a camera to be refused.
        let stand_in = "--use-fake-device-for-media-stream".to_owned();
        match self {
            Self::Absent => vec![],
            Self::Refused => vec![stand_in],
            Self::Shows(film) => {
                vec![stand_in, format!("--use-file-for-fake-video-capture={}", film.display())]
            }
        }
    }

    /// Chromium's setting of the camera for pages: 1 allowed, 2 refused.
    fn setting(&self) -> u8 {
        if *self == Self::Refused { 2 } else { 1 }
    }
}

/// A driver with one session.
#[derive(Debug)]
pub struct Browser {
    /// The session.
    pub client: Client,
    driver: Driver,
    session: String,
    // Deleted after the last browser on it has ended.
    profile: Arc<TempDir>,
}

impl Browser {
    /// Starts a driver and opens a window.
    pub async fn open(look: Look, lens: &Lens) -> Result<Self> {
        Self::open_on(Arc::new(tempfile::tempdir()?), look, lens).await
    }

    async fn open_on(profile: Arc<TempDir>, look: Look, lens: &Lens) -> Result<Self> {
        let driver = Driver::start()?;
        let wanted = wanted(look, lens, &profile)?;
        let client = ClientBuilder::new(HttpConnector::new())
            .capabilities(wanted)
            .connect(&format!("http://127.0.0.1:{}", driver.port))
            .await
            .context("chromium did not start")?;
        let session = client.session_id().await?.context("the driver gave the session no name")?;
        Ok(Self { client, driver, session, profile })
    }

    /// Ends the browser as pulling the battery would, and starts another on what it left on the disk.
    pub async fn killed_and_opened(&self, look: Look) -> Result<Self> {
        let folder = self.profile.path().to_str().context("the folder has no plain name")?;
        let mut n_killed = 0;
        for process in std::fs::read_dir("/proc")?.flatten() {
            // Processes end while they are looked at.
            let Ok(command) = std::fs::read_to_string(process.path().join("cmdline")) else { continue };
            if command.contains(&format!("--user-data-dir={folder}")) && !command.contains("--type=") {
                let id = process.file_name();
                ensure!(Command::new("kill").arg("-9").arg(&id).status()?.success(), "{id:?} was not killed");
                n_killed += 1;
            }
        }
        ensure!(n_killed > 0, "no browser runs on {folder}");
        Self::open_on(Arc::clone(&self.profile), look, &Lens::Absent).await
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        // By hand, since a failed test must end its browser too and nothing asynchronous runs here.
        let port = self.driver.port;
        let ended = TcpStream::connect(("127.0.0.1", port)).and_then(|mut stream| {
            let session = &self.session;
            write!(
                stream,
                "DELETE /session/{session} HTTP/1.1\r\nhost: 127.0.0.1:{port}\r\nconnection: close\r\n\r\n"
            )?;
            // Its first bytes come when the browser has ended; chromedriver keeps the connection open.
            stream.set_read_timeout(Some(PATIENCE))?;
            stream.read(&mut [0; 64])
        });
        if let Err(problem) = ended {
            eprintln!("the browser may still run: {problem}");
        }
    }
}

/// The capabilities to ask for.
fn wanted(look: Look, lens: &Lens, profile: &TempDir) -> Result<Map<String, Value>> {
    let folder = profile.path().to_str().context("the folder for temporary files has no plain name")?;
    let mut options = json!({
        "binary": named("CHROMIUM")?,
        "args": [
            "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
            "--disable-dev-shm-usage", "--disable-background-networking", "--disable-component-update",
            "--disable-sync", "--force-prefers-reduced-motion", "--hide-scrollbars",
            format!("--window-size={},{}", look.width_px, look.height_px),
            format!("--user-data-dir={folder}"),
        ],
    });
    if let Some(arguments) = options["args"].as_array_mut() {
        arguments.extend(lens.arguments().into_iter().map(Value::from));
    }
    options["prefs"] = json!({
        "profile.default_content_setting_values.media_stream_camera": lens.setting(),
        // 16 px is what browsers begin with.
        "webkit.webprefs.default_font_size": 16 * look.text_percent / 100,
    });
    if look.is_phone() {
        options["mobileEmulation"] = json!({
            "deviceMetrics": { "width": look.width_px, "height": look.height_px, "pixelRatio": 2.0, "touch": true },
        });
    }
    let all = json!({ "goog:chromeOptions": options, "goog:loggingPrefs": { "browser": "ALL" } });
    all.as_object().cloned().context("capabilities are an object")
}

/// The driver's process.
#[derive(Debug)]
struct Driver {
    child: Child,
    port: u16,
    _stdout: BufReader<ChildStdout>,
}

impl Driver {
    fn start() -> Result<Self> {
        let mut command = Command::new(named("CHROMEDRIVER")?);
        let mut child =
            command.arg("--port=0").stdout(Stdio::piped()).spawn().context("chromedriver did not start")?;
        let mut stdout = BufReader::new(child.stdout.take().context("chromedriver has no stdout")?);
        loop {
            let mut line = String::new();
            if stdout.read_line(&mut line)? == 0 {
                bail!("chromedriver ended at once: {}", child.wait()?);
            }
            if let Some((_, port)) = line.trim().trim_end_matches('.').split_once("successfully on port ") {
                return Ok(Self { child, port: port.parse()?, _stdout: stdout });
            }
        }
    }
}

impl Drop for Driver {
    fn drop(&mut self) {
        if let Err(problem) = self.child.kill().and_then(|()| self.child.wait()) {
            eprintln!("chromedriver could not be stopped: {problem}");
        }
    }
}
