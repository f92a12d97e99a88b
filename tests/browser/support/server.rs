//! The server under test: the finished binary on a free port with a store of its own.
use super::named;
use anyhow::{Context as _, Result, bail, ensure};
use std::io::{BufRead as _, BufReader};
use std::net::UdpSocket;
use std::process::{Child, ChildStdout, Command, Stdio};
use tempfile::TempDir;

/// What the server's line on stdout starts with once it listens.
const READY: &str = "Tripoise is at ";

/// What the store holds at the start.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Studio {
    /// Nothing.
    Empty,
    /// The invented studio of `demo-data/`.
    Demo,
}

/// A server that ends when dropped, its store with it.
#[derive(Debug)]
pub struct Server {
    running: Option<Running>,
    store: TempDir,
    /// `http://127.0.0.1:PORT`, the same after a restart.
    pub origin: String,
}

#[derive(Debug)]
struct Running {
    child: Child,
    // Held open: a server whose output nobody takes would fail at its next line.
    _stdout: BufReader<ChildStdout>,
}

impl Server {
    /// Starts a server on a free port.
    ///
    /// # Errors   When it ends instead of listening.
    pub fn start(studio: Studio) -> Result<Self> {
        let store = tempfile::tempdir()?;
        let (running, origin) = launch(&store, "127.0.0.1:0", studio, &[])?;
        Ok(Self { running: Some(running), store, origin })
    }

    /// Starts a server on a free port whose store holds these events, one JSON object a line.
    ///
    /// # Errors   When they cannot be imported, or it ends instead of listening.
    pub fn holding(events: &str) -> Result<Self> {
        let store = tempfile::tempdir()?;
        let file = tempfile::NamedTempFile::new()?;
        std::fs::write(file.path(), events)?;
        let mut command = Command::new(named("TRIPOISE_BIN")?);
        let import = command.arg("import").arg(file.path()).arg("--store").arg(store.path()).output()?;
        let said = String::from_utf8_lossy(&import.stderr);
        ensure!(import.status.success(), "the events were not imported: {said}");
        let (running, origin) = launch(&store, "127.0.0.1:0", Studio::Empty, &[])?;
        Ok(Self { running: Some(running), store, origin })
    }

    /// Starts a server for the local network. Its origin is this machine's own address over plain HTTP, from
    /// where it sees a stranger.
    ///
    /// # Errors   When it ends instead of listening, or the machine has no address but loopback.
    pub fn start_on_network(studio: Studio) -> Result<Self> {
        let store = tempfile::tempdir()?;
        let socket = UdpSocket::bind("0.0.0.0:0")?;
        // Nothing is sent: the system only picks the address it would send from (to one of RFC 5737).
        socket.connect("198.51.100.1:9").context("this machine is on no network")?;
        let ip = socket.local_addr()?.ip();
        ensure!(!ip.is_loopback() && !ip.is_unspecified(), "this machine has no address but loopback");
        let arguments = ["--lan", "--https-port", "0"];
        let (running, origin) = launch(&store, "0.0.0.0:0", studio, &arguments)?;
        Ok(Self { running: Some(running), store, origin: origin.replace("127.0.0.1", &ip.to_string()) })
    }

    /// The same server as another device sees it; to stop it, ask the first.
    ///
    /// # Errors   When there is no room for a folder.
    pub fn seen_from_elsewhere(&self) -> Result<Self> {
        self.seen_at(&self.origin)
    }

    /// The same server behind another address.
    ///
    /// # Errors   When there is no room for a folder.
    pub fn seen_at(&self, origin: &str) -> Result<Self> {
        Ok(Self { running: None, store: tempfile::tempdir()?, origin: origin.to_owned() })
    }

    /// A new pairing code, as its console shows it.
    ///
    /// # Errors   When none is made.
    pub fn pairing_code(&self) -> Result<String> {
        let mut command = Command::new(named("TRIPOISE_BIN")?);
        let made = command.args(["pair", "--store"]).arg(self.store.path()).output()?;
        let said = String::from_utf8(made.stdout)?;
        let (_, code) = said.split_once("Pairing code: ").with_context(|| format!("no code in {said:?}"))?;
        Ok(code.chars().take(9).collect())
    }

    /// Stops the server as a power cut would; phones are then offline.
    ///
    /// # Errors   When it cannot be stopped.
    pub fn stop(&mut self) -> Result<()> {
        if let Some(mut running) = self.running.take() {
            running.child.kill()?;
            running.child.wait()?;
        }
        Ok(())
    }

    /// Stops it and has its store checked.
    ///
    /// # Errors   When something is wrong with the store; carries what.
    pub fn verify(&mut self) -> Result<String> {
        self.stop()?;
        let mut command = Command::new(named("TRIPOISE_BIN")?);
        let checked = command.args(["verify", "--store"]).arg(self.store.path()).output()?;
        let said = String::from_utf8(checked.stdout)?;
        ensure!(checked.status.success(), "{said}{}", String::from_utf8_lossy(&checked.stderr));
        Ok(said)
    }

    /// Whether a test has stopped it.
    #[must_use]
    pub fn is_stopped(&self) -> bool {
        self.running.is_none()
    }

    /// Starts it again at the same address with the store as it was left.
    ///
    /// # Errors   When it does not come up.
    pub fn restart(&mut self) -> Result<()> {
        self.stop()?;
        let address = self.origin.trim_start_matches("http://");
        self.running = Some(launch(&self.store, address, Studio::Empty, &[])?.0);
        Ok(())
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        if let Err(problem) = self.stop() {
            eprintln!("the server under test could not be stopped: {problem}");
        }
    }
}

fn launch(store: &TempDir, address: &str, studio: Studio, arguments: &[&str]) -> Result<(Running, String)> {
    let mut command = Command::new(named("TRIPOISE_BIN")?);
    command.args(["serve", "--listen", address, "--store"]).arg(store.path()).args(arguments);
    if studio == Studio::Demo {
        command.arg("--demo");
    }
    let mut child = command.stdout(Stdio::piped()).spawn().context("the server did not start")?;
    let mut stdout = BufReader::new(child.stdout.take().context("the server has no stdout")?);
    loop {
        let mut line = String::new();
        if stdout.read_line(&mut line)? == 0 {
            bail!("the server ended before it listened: {}", child.wait()?);
        }
        if let Some(origin) = line.trim().strip_prefix(READY) {
            return Ok((Running { child, _stdout: stdout }, origin.trim_end_matches('/').to_owned()));
        }
    }
}
