//! Starting the binary, talking to it, and making events for it.
//!
//! The binary is the one that `TRIPOISE_BIN` names, else `cargo build` makes it beside this test.
use serde_json::{Value, json};
use std::error::Error;
use std::ffi::OsStr;
use std::fs::File;
use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitStatus, Output, Stdio};
use std::sync::OnceLock;
use std::time::{Duration, SystemTime, UNIX_EPOCH};
use tempfile::TempDir;
use ureq::Agent;

pub type Done = Result<(), Box<dyn Error>>;

/// A running server.
pub struct Server {
    pub url: String,
    child: Child,
    log: PathBuf,
    /// Removed when the server is dropped, unless the test brought its own.
    folder: Option<TempDir>,
    agent: Agent,
}

/// One answer.
#[derive(Debug)]
pub struct Answer {
    pub status: u16,
    pub headers: Vec<(String, String)>,
    pub body: Value,
}

impl Answer {
    pub fn header(&self, name: &str) -> Option<&str> {
        let found = self.headers.iter().find(|(key, _)| key == name);
        found.map(|(_, value)| value.as_str())
    }

    /// The statuses of a `POST`'s answers.
    pub fn statuses(&self) -> Vec<&str> {
        let answers = self.body["answers"].as_array().map(Vec::as_slice).unwrap_or_default();
        answers.iter().filter_map(|one| one["status"].as_str()).collect()
    }

    /// The ids of a `GET`'s events, whose numbers must be dense.
    pub fn ids(&self, since: u64) -> Vec<String> {
        let events = self.body["events"].as_array().map(Vec::as_slice).unwrap_or_default();
        for (event, seq) in events.iter().zip(since + 1..) {
            assert_eq!(event["seq"], seq, "the numbers have a gap");
        }
        events.iter().filter_map(|one| one["event"]["id"].as_str()).map(str::to_owned).collect()
    }
}

/// The binary under test.
pub fn binary() -> &'static Path {
    static BINARY: OnceLock<PathBuf> = OnceLock::new();
    BINARY.get_or_init(|| build().unwrap_or_else(|cause| panic!("no binary to test: {cause}")))
}

fn build() -> Result<PathBuf, Box<dyn Error>> {
    if let Some(path) = std::env::var_os("TRIPOISE_BIN") {
        return Ok(path.into());
    }
    // …/target/debug/deps/api-0123: the profile's folder is two up, the target folder three.
    let test = std::env::current_exe()?;
    let profile = test.ancestors().nth(2).ok_or("the test is in no target folder")?;
    let target = profile.parent().ok_or("the test is in no target folder")?;
    let mut cargo = Command::new(env!("CARGO"));
    cargo.args(["build", "--quiet", "--package", "tripoise", "--bin", "tripoise"]);
    if profile.ends_with("release") {
        cargo.arg("--release");
    }
    let built = cargo.env("CARGO_TARGET_DIR", target).current_dir(env!("CARGO_MANIFEST_DIR")).status()?;
    if !built.success() {
        return Err("cargo build failed".into());
    }
    Ok(profile.join("tripoise"))
}

/// Runs the binary to its end.
pub fn run<S: AsRef<OsStr>>(arguments: &[S]) -> Result<Output, Box<dyn Error>> {
    Ok(Command::new(binary()).args(arguments).env("TRIPOISE_LOG", "warn").output()?)
}

/// Runs a subcommand on the store in `folder`.
pub fn run_on(folder: &Path, arguments: &[&str]) -> Result<Output, Box<dyn Error>> {
    let mut all: Vec<&OsStr> = arguments.iter().map(OsStr::new).collect();
    all.extend([OsStr::new("--store"), folder.as_os_str()]);
    run(&all)
}

/// What a program printed to its standard output.
pub fn out(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned()
}

/// What a program printed to its standard error.
pub fn err(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// The command that serves the store in `folder` on a free port.
pub fn serve_command(folder: &Path) -> Command {
    let mut command = Command::new(binary());
    command.args(["serve", "--listen", "127.0.0.1:0", "--store"]).arg(folder);
    command
}

impl Server {
    /// On a store of its own.
    pub fn start() -> Result<Self, Box<dyn Error>> {
        let folder = TempDir::new()?;
        let mut server = Self::spawn(serve_command(folder.path()))?;
        server.folder = Some(folder);
        Ok(server)
    }

    /// On the store in `folder`.
    pub fn start_on(folder: &Path) -> Result<Self, Box<dyn Error>> {
        Self::spawn(serve_command(folder))
    }

    /// From a command that ends up serving; waits until it says where.
    pub fn spawn(mut command: Command) -> Result<Self, Box<dyn Error>> {
        static COUNT: std::sync::atomic::AtomicU32 = std::sync::atomic::AtomicU32::new(0);
        let number = COUNT.fetch_add(1, std::sync::atomic::Ordering::SeqCst);
        let log = std::env::temp_dir().join(format!("tripoise-api-{}-{number}.log", std::process::id()));
        let mut child = command.stdout(Stdio::piped()).stderr(File::create(&log)?).spawn()?;
        let mut line = String::new();
        BufReader::new(child.stdout.take().ok_or("no standard output")?).read_line(&mut line)?;
        let Some(url) = line.trim().strip_prefix("Tripoise is at ").map(str::to_owned) else {
            let status = child.wait()?;
            let log = std::fs::read_to_string(&log)?;
            return Err(format!("the server said {line:?} and ended with {status}: {log}").into());
        };
        let config = Agent::config_builder().http_status_as_error(false).max_redirects(0);
        let agent = config.timeout_global(Some(Duration::from_secs(30))).build().into();
        Ok(Self { url, child, log, folder: None, agent })
    }

    pub fn process(&self) -> u32 {
        self.child.id()
    }

    /// Where its store is, for a server that was started on its own.
    pub fn folder(&self) -> &Path {
        self.folder.as_ref().map(TempDir::path).unwrap_or_else(|| panic!("the test named the folder"))
    }

    /// What it logged so far.
    pub fn log(&self) -> Result<String, Box<dyn Error>> {
        Ok(std::fs::read_to_string(&self.log)?)
    }

    pub fn get(&self, path: &str) -> Result<Answer, Box<dyn Error>> {
        self.get_with(path, &[])
    }

    pub fn get_with(&self, path: &str, headers: &[(&str, &str)]) -> Result<Answer, Box<dyn Error>> {
        let mut request = self.agent.get(format!("{}{path}", self.url));
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        answer(request.call()?)
    }

    /// A file as it is, with its media type.
    pub fn file(&self, path: &str) -> Result<(String, Vec<u8>), Box<dyn Error>> {
        let mut answer = self.agent.get(format!("{}{path}", self.url)).call()?;
        assert_eq!(answer.status(), 200, "{path}");
        let kind = answer.headers().get("content-type").and_then(|value| value.to_str().ok());
        Ok((kind.unwrap_or_default().to_owned(), answer.body_mut().read_to_vec()?))
    }

    /// Sends a file as it is.
    pub fn post_bytes(&self, path: &str, body: &[u8]) -> Result<Answer, Box<dyn Error>> {
        answer(self.agent.post(format!("{}{path}", self.url)).send(body)?)
    }

    /// Sends a file under this media type.
    pub fn post_as(&self, path: &str, kind: &str, body: &[u8]) -> Result<Answer, Box<dyn Error>> {
        answer(self.agent.post(format!("{}{path}", self.url)).header("content-type", kind).send(body)?)
    }

    /// Only the headers of what is at `path`.
    pub fn head(&self, path: &str) -> Result<Answer, Box<dyn Error>> {
        answer(self.agent.head(format!("{}{path}", self.url)).call()?)
    }

    pub fn post(&self, events: &Value) -> Result<Answer, Box<dyn Error>> {
        self.post_with(&events.to_string(), &[("content-type", "application/json")])
    }

    pub fn post_with(&self, body: &str, headers: &[(&str, &str)]) -> Result<Answer, Box<dyn Error>> {
        self.post_to("/api/v1/events", body, headers)
    }

    pub fn post_to(
        &self,
        path: &str,
        body: &str,
        headers: &[(&str, &str)],
    ) -> Result<Answer, Box<dyn Error>> {
        let mut request = self.agent.post(format!("{}{path}", self.url));
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        answer(request.send(body)?)
    }

    /// Every event's id, through as many pages as there are.
    pub fn all_ids(&self) -> Result<Vec<String>, Box<dyn Error>> {
        let (mut all, mut since) = (Vec::new(), 0);
        loop {
            let page = self.get(&format!("/api/v1/events?since={since}"))?;
            assert_eq!(page.status, 200, "{page:?}");
            all.extend(page.ids(since));
            since = page.body["next"].as_u64().ok_or("no next")?;
            if page.body["more"] == false {
                return Ok(all);
            }
        }
    }

    /// Sends a signal by name and waits for the end.
    pub fn signal(&mut self, name: &str) -> Result<ExitStatus, Box<dyn Error>> {
        let sent = Command::new("kill").args(["-s", name, &self.process().to_string()]).status()?;
        assert!(sent.success());
        Ok(self.child.wait()?)
    }

    /// Kills without warning and waits for the end.
    pub fn kill(&mut self) -> Done {
        self.child.kill()?;
        self.child.wait()?;
        Ok(())
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        // Already gone in most tests, and nothing is left to check here.
        drop(self.child.kill());
        drop(self.child.wait());
        drop(std::fs::remove_file(&self.log));
    }
}

fn answer(mut response: ureq::http::Response<ureq::Body>) -> Result<Answer, Box<dyn Error>> {
    let headers = response.headers().iter();
    let headers = headers.map(|(name, value)| Ok((name.to_string(), value.to_str()?.to_owned())));
    let headers = headers.collect::<Result<_, Box<dyn Error>>>()?;
    let text = response.body_mut().read_to_string()?;
    let body = serde_json::from_str(&text).unwrap_or(Value::String(text));
    Ok(Answer { status: response.status().as_u16(), headers, body })
}

/// A phone: makes events with its own numbering.
#[derive(Clone, Debug)]
pub struct Device {
    number: u32,
    seq: u64,
}

impl Device {
    pub fn new(number: u32) -> Self {
        Self { number, seq: 0 }
    }

    /// One more event: the spread called good was set to 0.6 mm.
    pub fn event(&mut self) -> Value {
        self.seq += 1;
        let hlc = (now_ms() << 16) | (self.seq & 0xffff);
        json!({
            "id": format!("{:08x}-0000-7000-8000-{:012x}", self.number, self.seq),
            "device": format!("{:08x}-0000-7000-8000-ffffffffffff", self.number),
            "device_seq": self.seq,
            "hlc": format!("{hlc:016x}"),
            "observed_at": "2026-03-01T10:00:00Z",
            "kind": "setting_changed",
            "schema": 1,
            "body": { "key": "spread_good", "value": 600_000, "text": "0.6", "reason": "new calipers" },
        })
    }

    pub fn events(&mut self, n: usize) -> Vec<Value> {
        (0..n).map(|_| self.event()).collect()
    }
}

pub fn now_ms() -> u64 {
    let past = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
    u64::try_from(past.as_millis()).unwrap_or(0)
}

pub fn id(event: &Value) -> String {
    event["id"].as_str().unwrap_or_default().to_owned()
}

/// A file with this content, in a folder that goes with it.
pub fn file_with(text: &str) -> Result<tempfile::NamedTempFile, Box<dyn Error>> {
    let mut file = tempfile::NamedTempFile::new()?;
    file.write_all(text.as_bytes())?;
    Ok(file)
}
