//! A server as phones see it, that can be gone, and that can be of a newer build.
//!
//! It stands before the real one and passes everything on. As a newer build it gives every file of the bundle
//! another name, in the documents and in the service worker, as other contents would; the old names are gone.
//! The document that phones keep gets the hash of its changed script into its policy.
//!
//! What this does not do: change what the program does; what is tried is which files a phone puts together.
use anyhow::{Context as _, Result};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest as _, Sha256};
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::{TcpListener, TcpStream};
use std::sync::{Arc, Mutex, PoisonError};

/// What the server is at the moment.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Now {
    /// As it is.
    Here,
    /// Not there.
    Gone,
    /// Of a newer build.
    Newer {
        /// Whether all of its files can be had.
        whole: bool,
        /// Whether it takes and gives entries.
        exchanges: bool,
    },
}

/// The server in front. It listens until the test ends.
pub struct Front {
    /// Where phones find it.
    pub origin: String,
    now: Arc<Mutex<Now>>,
}

impl Front {
    /// Stands before the server at this origin.
    pub fn before(server: &str) -> Result<Self> {
        let listener = TcpListener::bind("127.0.0.1:0")?;
        let origin = format!("http://{}", listener.local_addr()?);
        let now = Arc::new(Mutex::new(Now::Here));
        let (server, state) = (server.trim_start_matches("http://").to_owned(), Arc::clone(&now));
        std::thread::spawn(move || {
            for stream in listener.incoming().flatten() {
                let (server, state) = (server.clone(), Arc::clone(&state));
                std::thread::spawn(move || {
                    let now = *state.lock().unwrap_or_else(PoisonError::into_inner);
                    // A browser may hang up; whoever asked sees that.
                    drop(pass_on(stream, &server, now));
                });
            }
        });
        Ok(Self { origin, now })
    }

    /// From now on it is so.
    pub fn is(&self, now: Now) {
        *self.now.lock().unwrap_or_else(PoisonError::into_inner) = now;
    }
}

/// One request and its answer; the connection is closed then.
fn pass_on(stream: TcpStream, server: &str, now: Now) -> Result<()> {
    let mut reader = BufReader::new(stream.try_clone()?);
    let mut first = String::new();
    reader.read_line(&mut first)?;
    let mut parts = first.split_whitespace();
    let (method, path) = (parts.next().context("no method")?, parts.next().context("no path")?);
    let (mut head, mut length) = (String::new(), 0);
    loop {
        let mut line = String::new();
        reader.read_line(&mut line)?;
        let (name, value) = line.trim_end().split_once(':').unwrap_or_default();
        match name.to_ascii_lowercase().as_str() {
            "" => break,
            "accept-encoding" | "if-none-match" | "connection" => continue,
            "content-length" => length = value.trim().parse()?,
            _ => {}
        }
        head.push_str(&line);
    }
    let mut body = vec![0; length];
    reader.read_exact(&mut body)?;
    let Some(wanted) = wanted(path, now) else { return Ok(()) };
    let Ok(wanted) = wanted else {
        return Ok((&stream)
            .write_all(b"HTTP/1.1 404 Not Found\r\ncontent-length: 0\r\nconnection: close\r\n\r\n")?);
    };
    let mut behind = TcpStream::connect(server)?;
    // In HTTP/1.0 the answer comes in one piece and ends with the connection.
    write!(behind, "{method} {wanted} HTTP/1.0\r\n{head}\r\n")?;
    behind.write_all(&body)?;
    let mut answer = Vec::new();
    behind.read_to_end(&mut answer)?;
    let end = answer.windows(4).position(|four| four == b"\r\n\r\n").context("no head")?;
    let (head, body) = (String::from_utf8(answer[..end].to_vec())?, answer.split_off(end + 4));
    let (head, body) = if matches!(now, Now::Newer { .. }) { newer(path, head, body) } else { (head, body) };
    let lines = head.lines().skip(1).filter(|line| {
        let name = line.split(':').next().unwrap_or_default().to_ascii_lowercase();
        !["content-length", "connection", "etag"].contains(&name.as_str())
    });
    let status = head.lines().next().unwrap_or_default().replacen("HTTP/1.0", "HTTP/1.1", 1);
    let lines: String = lines.map(|line| format!("{line}\r\n")).collect();
    write!(&stream, "{status}\r\n{lines}content-length: {}\r\nconnection: close\r\n\r\n", body.len())?;
    Ok((&stream).write_all(&body)?)
}

/// The path to ask the real server for; an error where there is no such file; nothing where no answer comes.
fn wanted(path: &str, now: Now) -> Option<Result<String, ()>> {
    match now {
        Now::Here => Some(Ok(path.to_owned())),
        Now::Gone => None,
        Now::Newer { exchanges: false, .. } if path.starts_with("/api/") => None,
        Now::Newer { whole: false, .. } if path.ends_with(".wasm") => Some(Err(())),
        Now::Newer { .. } => Some(match path.strip_prefix("/assets/") {
            None => Ok(path.to_owned()),
            Some(name) => name.strip_prefix("newer-").map(|name| format!("/assets/{name}")).ok_or(()),
        }),
    }
}

/// The answer of a newer build.
fn newer(path: &str, head: String, body: Vec<u8>) -> (String, Vec<u8>) {
    let is_text = head.to_ascii_lowercase().contains("content-type: text/html") || path == "/sw.js";
    match String::from_utf8(body) {
        Ok(text) if is_text => {
            let text = text
                .replace("/assets/", "/assets/newer-")
                .replace("const BUILD = \"", "const BUILD = \"newer-");
            (with_hash(head, &text), text.into_bytes())
        }
        Ok(text) => (head, text.into_bytes()),
        Err(bytes) => (head, bytes.into_bytes()),
    }
}

/// A policy that names a script by its hash names the changed one.
fn with_hash(head: String, text: &str) -> String {
    let between = |text: &str, start: &str, end: &str| {
        let (_, rest) = text.split_once(start)?;
        rest.split_once(end).map(|(found, _)| found.to_owned())
    };
    match (between(&head, "'sha256-", "'"), between(text, "<script type=\"module\">", "</script>")) {
        (Some(old), Some(script)) => head.replace(&old, &STANDARD.encode(Sha256::digest(script))),
        _ => head,
    }
}
