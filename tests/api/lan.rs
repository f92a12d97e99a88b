//! `serve --lan` with the real binary: HTTPS that only the studio's authority vouches for, pairing from the
//! console, revoking, and what a restart keeps.
//!
//! The doors are on loopback, so that this runs where there is no network. A request that says it was passed
//! on is taken for the network's; where the machine has an address of its own, that is tried too.
use crate::harness::{Done, binary, err, out, run, run_on};
use rustls::pki_types::{CertificateDer, ServerName};
use rustls::{ClientConfig, ClientConnection, RootCertStore, StreamOwned};
use std::error::Error;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::{IpAddr, SocketAddr, TcpStream, UdpSocket};
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::process::{Child, ChildStdout, Command, Stdio};
use std::sync::Arc;
use std::time::Duration;

/// Makes a request the network's: see the file's head.
const FROM_THE_NETWORK: &str = "x-forwarded-for: 192.168.1.20\r\n";
const FORM: &str = "content-type: application/x-www-form-urlencoded\r\n";

struct Lan {
    child: Child,
    _stdout: BufReader<ChildStdout>,
    http: SocketAddr,
    https: SocketAddr,
    /// What the console said.
    said: String,
}

impl Lan {
    fn start(store: &Path, listen: &str) -> Result<Self, Box<dyn Error>> {
        let mut command = Command::new(binary());
        command.args(["serve", "--lan", "--name", "clay-shed", "--https-port", "0", "--listen", listen]);
        let mut child = command.arg("--store").arg(store).stdout(Stdio::piped()).spawn()?;
        let mut stdout = BufReader::new(child.stdout.take().ok_or("no standard output")?);
        let mut said = String::new();
        while !said.contains("SHA-256") && stdout.read_line(&mut said)? > 0 {}
        let port = |before: &str| -> Result<u16, Box<dyn Error>> {
            let (_, after) = said.split_once(before).ok_or_else(|| format!("no {before:?} in {said:?}"))?;
            let digits: String = after.chars().take_while(char::is_ascii_digit).collect();
            Ok(digits.parse()?)
        };
        let http = SocketAddr::from(([127, 0, 0, 1], port("http://127.0.0.1:")?));
        let https = SocketAddr::from(([127, 0, 0, 1], port("https://clay-shed.local:")?));
        Ok(Self { child, _stdout: stdout, http, https, said })
    }

    fn stop(&mut self) -> Done {
        let sent = Command::new("kill").args(["-s", "TERM", &self.child.id().to_string()]).status()?;
        assert!(sent.success() && self.child.wait()?.success());
        Ok(())
    }

    /// The authority, as a phone downloads it over plain HTTP.
    fn authority(&self) -> Result<CertificateDer<'static>, Box<dyn Error>> {
        let answer = exchange(TcpStream::connect(self.http)?, "GET", "/studio-ca.crt", FROM_THE_NETWORK, "")?;
        assert_eq!(answer.status, 200);
        Ok(CertificateDer::from(answer.body))
    }

    /// One request over HTTPS by a client that trusts only `authority` and was sent to `name`.
    fn ask(
        &self,
        authority: &CertificateDer<'static>,
        name: &str,
        request: (&str, &str),
        headers: &str,
        body: &str,
    ) -> Result<Answer, Box<dyn Error>> {
        let mut roots = RootCertStore::empty();
        roots.add(authority.clone())?;
        let config = ClientConfig::builder_with_provider(Arc::new(rustls::crypto::ring::default_provider()))
            .with_safe_default_protocol_versions()?
            .with_root_certificates(roots)
            .with_no_client_auth();
        let client = ClientConnection::new(Arc::new(config), ServerName::try_from(name.to_owned())?)?;
        let stream = StreamOwned::new(client, TcpStream::connect(self.https)?);
        exchange(stream, request.0, request.1, headers, body)
    }
}

impl Drop for Lan {
    fn drop(&mut self) {
        // Already gone in some tests, and nothing is left to check here.
        drop(self.child.kill());
        drop(self.child.wait());
    }
}

#[derive(Debug)]
struct Answer {
    status: u16,
    head: String,
    body: Vec<u8>,
}

impl Answer {
    fn cookie(&self) -> Result<String, Box<dyn Error>> {
        let line = self.head.lines().find_map(|line| line.strip_prefix("set-cookie: "));
        let pair = line.and_then(|line| line.split(';').next()).ok_or_else(|| format!("{self:?}"))?;
        Ok(format!("cookie: {pair}\r\n"))
    }
}

/// One request and its answer over any stream.
fn exchange(
    mut stream: impl Read + Write,
    method: &str,
    path: &str,
    headers: &str,
    body: &str,
) -> Result<Answer, Box<dyn Error>> {
    let length = body.len();
    write!(
        stream,
        "{method} {path} HTTP/1.1\r\nhost: clay-shed.local\r\nconnection: close\r\ncontent-length: {length}\r\n{headers}\r\n{body}"
    )?;
    stream.flush()?;
    let mut bytes = Vec::new();
    stream.read_to_end(&mut bytes)?;
    let end = bytes.windows(4).position(|four| four == b"\r\n\r\n").ok_or("no header")?;
    let head = String::from_utf8(bytes[..end].to_vec())?;
    let status = head.split(' ').nth(1).ok_or("no status")?.parse()?;
    Ok(Answer { status, head, body: bytes[end + 4..].to_vec() })
}

/// The code in a line like "Pairing code: CDFH-JKLM (…".
fn code_in(text: &str) -> Result<String, Box<dyn Error>> {
    let (_, after) = text.split_once("Pairing code: ").ok_or_else(|| format!("no code in {text:?}"))?;
    Ok(after.chars().take(9).collect())
}

#[test]
fn a_phone_is_set_up_paired_from_the_console_and_shut_out() -> Done {
    let store = tempfile::tempdir()?;
    let mut lan = Lan::start(store.path(), "127.0.0.1:0")?;
    let authority = lan.authority()?;
    let refused = lan.ask(&authority, "clay-shed.local", ("GET", "/api/v1/events"), FROM_THE_NETWORK, "")?;
    assert_eq!(refused.status, 401, "{refused:?}");
    let by_address = lan.ask(&authority, "127.0.0.1", ("GET", "/set-up"), FROM_THE_NETWORK, "")?;
    assert_eq!(by_address.status, 200);
    assert!(lan.ask(&authority, "other.local", ("GET", "/set-up"), "", "").is_err(), "another name");
    let mut first_code = String::new();
    lan._stdout.read_line(&mut first_code)?;
    let first_code = code_in(&first_code)?;
    // A new code, beside the running server; the first one is then good no more.
    let paired = run_on(store.path(), &["pair"])?;
    let code = code_in(&out(&paired))?;
    assert!(out(&paired).contains("https://clay-shed.local:"), "{}", out(&paired));
    let pair = |code: &str, next: &str| {
        let headers = format!("{FROM_THE_NETWORK}{FORM}origin: https://clay-shed.local\r\n");
        let body = format!("code={code}&name=phone&next={next}");
        lan.ask(&authority, "clay-shed.local", ("POST", "/pair"), &headers, &body)
    };
    assert_eq!(pair(&first_code, "/")?.status, 422);
    std::thread::sleep(Duration::from_millis(1_100));
    let cookie = pair(&code, "/rack")?.cookie()?;
    assert!(cookie.starts_with("cookie: __Host-tripoise="), "{cookie}");
    let with_cookie = format!("{FROM_THE_NETWORK}{cookie}");
    let events = |lan: &Lan| {
        Ok::<u16, Box<dyn Error>>(
            lan.ask(&authority, "clay-shed.local", ("GET", "/api/v1/events"), &with_cookie, "")?.status,
        )
    };
    assert_eq!(events(&lan)?, 200);
    // A restart keeps the authority, the certificate and the device, and prints no code any more.
    lan.stop()?;
    let mut again = Lan::start(store.path(), "127.0.0.1:0")?;
    assert_eq!(again.authority()?, authority);
    assert_eq!(events(&again)?, 200);
    let list = exchange(TcpStream::connect(again.http)?, "GET", "/devices", "", "")?;
    let list = String::from_utf8(list.body)?;
    let (_, id) = list.split_once("name=\"device\" value=\"").ok_or("no device is listed")?;
    let body = format!("do=revoke&device={}", &id[..36]);
    let headers = format!("{FORM}origin: http://clay-shed.local\r\n");
    assert_eq!(exchange(TcpStream::connect(again.http)?, "POST", "/devices", &headers, &body)?.status, 303);
    assert_eq!(events(&again)?, 401);
    again.stop()?;
    let mut rest = String::new();
    again._stdout.read_to_string(&mut rest)?;
    assert_eq!(rest, "", "a device was paired, so no code was wanted");
    for file in ["authority.json", "leaf.json", "devices.json"] {
        let mode = std::fs::metadata(store.path().join("network").join(file))?.permissions().mode() & 0o777;
        assert_eq!(mode, 0o600, "{file}");
    }
    assert!(run_on(store.path(), &["verify"])?.status.success(), "the store is none the worse");
    Ok(())
}

/// This machine's own address on a network; `None` where it has none.
fn own_address() -> Option<IpAddr> {
    let socket = UdpSocket::bind("0.0.0.0:0").ok()?;
    // Nothing is sent: the system only picks the address it would send from (to one of RFC 5737).
    socket.connect("198.51.100.1:9").ok()?;
    Some(socket.local_addr().ok()?.ip()).filter(|ip| !ip.is_loopback() && !ip.is_unspecified())
}

#[test]
fn from_the_machine_s_own_network_address_one_is_a_stranger_and_from_loopback_not() -> Done {
    let store = tempfile::tempdir()?;
    let lan = Lan::start(store.path(), "0.0.0.0:0")?;
    assert!(lan.said.contains("https://clay-shed.local:") && lan.said.contains("SHA-256"), "{}", lan.said);
    assert_eq!(exchange(TcpStream::connect(lan.http)?, "GET", "/rack", "", "")?.status, 200);
    let Some(ip) = own_address() else {
        let passed_on = exchange(TcpStream::connect(lan.http)?, "GET", "/rack", FROM_THE_NETWORK, "")?;
        assert_eq!(passed_on.status, 401);
        return Ok(());
    };
    let from_outside = TcpStream::connect((ip, lan.http.port()))?;
    let answer = exchange(from_outside, "GET", "/rack", "accept: text/html\r\n", "")?;
    assert_eq!(answer.status, 303, "{answer:?}");
    assert!(answer.head.contains("location: /pair?next=%2Frack"), "{answer:?}");
    let set_up = exchange(TcpStream::connect((ip, lan.http.port()))?, "GET", "/set-up", "", "")?;
    assert!(String::from_utf8(set_up.body)?.contains(&format!("http://{ip}:{}/set-up", lan.http.port())));
    Ok(())
}

#[test]
fn what_cannot_be_served_is_said_on_one_line() -> Done {
    let store = tempfile::tempdir()?;
    for (arguments, says) in [
        (&["serve", "--listen", "0.0.0.0:0"][..], "add --lan"),
        (&["serve", "--lan", "--name", "two words"], "letters a to z"),
        (&["serve", "--behind-proxy", "a b"], "is not a name"),
    ] {
        let refused = run_on(store.path(), arguments)?;
        assert_eq!(refused.status.code(), Some(2), "{arguments:?}");
        assert!(err(&refused).contains(says), "{arguments:?}: {}", err(&refused));
        assert_eq!(err(&refused).trim().lines().count(), 1, "{}", err(&refused));
    }
    assert!(!run(&["serve", "--lan", "--behind-proxy", "kiln.example"])?.status.success());
    assert!(!run_on(&store.path().join("nowhere"), &["pair"])?.status.success());
    Ok(())
}
