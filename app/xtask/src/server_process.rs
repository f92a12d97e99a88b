//! A running server for measurements: its own store, a free port, gone when dropped.
use anyhow::{Context as _, Result, bail};
use std::fs;
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdout, Command, Stdio};
use std::time::Duration;

/// What the server's line on stdout starts with once it listens.
const READY: &str = "Tripoise is at http://";
/// House choice: a page that takes longer than this has hung.
const PATIENCE: Duration = Duration::from_secs(30);

/// A server that runs until this is dropped.
#[derive(Debug)]
pub struct ServerProcess {
    child: Child,
    // Held open: a server whose output nobody takes would fail at its next line.
    _stdout: BufReader<ChildStdout>,
    address: String,
}

impl ServerProcess {
    /// Starts `binary` with the demo studio in a fresh store at `store`, and waits until it listens.
    ///
    /// # Errors   When it ends instead.
    pub fn start_demo(binary: &Path, store: &Path) -> Result<Self> {
        if store.exists() {
            fs::remove_dir_all(store)?;
        }
        let mut command = Command::new(binary);
        command.args(["serve", "--demo", "--listen", "127.0.0.1:0", "--store"]).arg(store);
        let mut child = command.stdout(Stdio::piped()).spawn().context("the server did not start")?;
        let mut stdout = BufReader::new(child.stdout.take().context("the server has no stdout")?);
        loop {
            let mut line = String::new();
            if stdout.read_line(&mut line)? == 0 {
                bail!("the server ended before it listened ({}); its message stands above", child.wait()?);
            }
            if let Some(address) = line.trim().strip_prefix(READY) {
                let address = address.trim_end_matches('/').to_owned();
                return Ok(Self { child, _stdout: stdout, address });
            }
        }
    }

    /// The address of one page.
    #[must_use]
    pub fn url(&self, path: &str) -> String {
        format!("http://{}{path}", self.address)
    }

    /// Fetches one page or file as a browser would that takes `coding`.
    ///
    /// # Errors   When the connection fails or the answer is not 200.
    pub fn get(&self, path: &str, coding: &str) -> Result<Answer> {
        let mut stream = TcpStream::connect(&self.address)?;
        stream.set_read_timeout(Some(PATIENCE))?;
        write!(
            stream,
            "GET {path} HTTP/1.1\r\nhost: {}\r\naccept: text/html,*/*\r\naccept-encoding: {coding}\r\nconnection: close\r\n\r\n",
            self.address
        )?;
        // Plain HTTP by hand: what is measured are the bytes on the wire, which a client library would hide.
        let mut bytes = Vec::new();
        stream.read_to_end(&mut bytes)?;
        let end =
            bytes.windows(4).position(|four| four == b"\r\n\r\n").context("the answer has no header")?;
        let head = String::from_utf8_lossy(&bytes[..end]).to_ascii_lowercase();
        if !head.starts_with("http/1.1 200") {
            bail!("{path} answered {}", head.lines().next().unwrap_or_default());
        }
        Ok(Answer {
            n_bytes_wire: bytes.len(),
            text: String::from_utf8_lossy(&bytes[end + 4..]).into_owned(),
            head,
        })
    }

    /// The most memory that the server has held so far, in kilobytes, as Linux counts it (`VmHWM`).
    ///
    /// # Errors   When the server is gone.
    pub fn peak_memory_kb(&self) -> Result<u64> {
        let status = PathBuf::from(format!("/proc/{}/status", self.child.id()));
        let text = fs::read_to_string(status).context("the server is gone")?;
        let line =
            text.lines().find_map(|line| line.strip_prefix("VmHWM:")).context("Linux gives no VmHWM")?;
        Ok(line.trim().trim_end_matches("kB").trim().parse()?)
    }
}

impl Drop for ServerProcess {
    fn drop(&mut self) {
        if let Err(problem) = self.child.kill().and_then(|()| self.child.wait()) {
            eprintln!("the measured server could not be stopped: {problem}");
        }
    }
}

/// One answer.
#[derive(Debug)]
pub struct Answer {
    /// Header and body as they came over the wire.
    pub n_bytes_wire: usize,
    /// The header in lower case.
    pub head: String,
    /// The body as text; compressed bodies are not text.
    pub text: String,
}
