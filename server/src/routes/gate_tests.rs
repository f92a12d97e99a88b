//! Every route of the real router, met from the network: by strangers, by paired and by revoked devices.
//!
//! A request is "from the network" by the same value that a listener gives it ([`ConnectInfo`]), so nothing
//! here depends on the machine's own network.
mod doors;

use super::router;
use crate::access::code::PairingCode;
use crate::access::visit::Door;
use crate::access::{Access, Offer, Reach};
use crate::network::folder::Folder;
use crate::routes::gate::{OPEN_TO_READ, OPEN_TO_SEND};
use crate::state::AppState;
use crate::store::memory::MemoryStore;
use crate::store::photos::Photos;
use axum::Router;
use axum::body::Body;
use axum::extract::ConnectInfo;
use axum::http::{HeaderMap, Method, Request, StatusCode, header};
use jiff::{SignedDuration, Timestamp};
use std::collections::BTreeSet;
use std::error::Error;
use std::net::SocketAddr;
use std::sync::Arc;
use tower::ServiceExt;
use tripoise_core::ids::DeviceId;
use uuid::Uuid;

type Done = Result<(), Box<dyn Error>>;

const HOST: &str = "tripoise.local:7443";
const PHONE: &str = "192.168.1.20:50000";
const HERE: &str = "127.0.0.1:50000";

/// A server on a local network, with nothing in its store.
struct Studio {
    _store: tempfile::TempDir,
    access: Arc<Access>,
    state: AppState,
}

fn studio(reach: Reach) -> Result<Studio, Box<dyn Error>> {
    let store = tempfile::tempdir()?;
    let offer = (reach == Reach::Network).then(|| Offer {
        authority_der: b"the certificate".to_vec(),
        authority_pem: "-----BEGIN CERTIFICATE-----\nAAAA\n-----END CERTIFICATE-----\n".to_owned(),
        fingerprint: vec!["00112233".to_owned(); 8],
        host: "tripoise.local".to_owned(),
        http_port: 7450,
        https_port: 7443,
    });
    let folder = Folder::inside(store.path())?;
    let access = Access::open(&folder, reach, "0.0.0.0:7450".parse()?, offer)?;
    access.change_hosts(|hosts| {
        hosts.names.insert("tripoise.local".to_owned());
    });
    let access = Arc::new(access);
    let device = DeviceId(Uuid::now_v7());
    let photos = Photos::of_store(store.path());
    let memory = Arc::new(MemoryStore::default());
    let state = AppState::on(memory, device, photos, Vec::new(), Arc::clone(&access))?;
    Ok(Studio { _store: store, access, state })
}

#[derive(Debug)]
struct Answer {
    status: StatusCode,
    headers: HeaderMap,
    body: String,
}

impl Answer {
    fn header(&self, name: &str) -> &str {
        self.headers.get(name).and_then(|value| value.to_str().ok()).unwrap_or_default()
    }

    /// The cookie that a browser would send back.
    fn cookie(&self) -> &str {
        self.header("set-cookie").split(';').next().unwrap_or_default()
    }
}

/// One request, as a listener would hand it on.
struct Ask<'a> {
    method: Method,
    path: &'a str,
    from: &'a str,
    door: Door,
    headers: Vec<(&'a str, &'a str)>,
    body: &'a str,
}

fn get<'a>(path: &'a str, from: &'a str) -> Ask<'a> {
    let headers = vec![("host", HOST), ("accept", "text/html")];
    Ask { method: Method::GET, path, from, door: Door::Https, headers, body: "" }
}

fn post<'a>(path: &'a str, from: &'a str, body: &'a str) -> Ask<'a> {
    let headers = vec![
        ("host", HOST),
        ("origin", "https://tripoise.local:7443"),
        ("content-type", "application/x-www-form-urlencoded"),
    ];
    Ask { method: Method::POST, path, from, door: Door::Https, headers, body }
}

impl<'a> Ask<'a> {
    fn with(mut self, name: &'a str, value: &'a str) -> Self {
        self.headers.retain(|(kept, _)| *kept != name);
        self.headers.push((name, value));
        self
    }

    fn over_http(mut self) -> Self {
        self.door = Door::Http;
        self
    }
}

impl Studio {
    async fn ask(&self, ask: Ask<'_>) -> Result<Answer, Box<dyn Error>> {
        let mut request = Request::builder().method(ask.method).uri(ask.path);
        for (name, value) in &ask.headers {
            request = request.header(*name, *value);
        }
        let mut request = request.body(Body::from(ask.body.to_owned()))?;
        request.extensions_mut().insert(ConnectInfo(ask.from.parse::<SocketAddr>()?));
        request.extensions_mut().insert(ask.door);
        let answer = router(self.state.clone()).oneshot(request).await?;
        let (parts, body) = answer.into_parts();
        let body = axum::body::to_bytes(body, 1 << 22).await?;
        let body = String::from_utf8_lossy(&body).into_owned();
        Ok(Answer { status: parts.status, headers: parts.headers, body })
    }

    fn code(&self) -> Result<PairingCode, Box<dyn Error>> {
        Ok(self.access.codes().make(Timestamp::now())?.code)
    }

    /// Pairs a phone as a person does; its cookie.
    async fn paired(&self, name: &str) -> Result<String, Box<dyn Error>> {
        let body = format!("code={}&name={name}", self.code()?.letters());
        let answer = self.ask(post("/pair", PHONE, &body)).await?;
        assert_eq!((answer.status, answer.header("location")), (StatusCode::SEE_OTHER, "/"), "{answer:?}");
        Ok(answer.cookie().to_owned())
    }
}

/// Every path that the router knows, as it tells of itself; so a route cannot be left out here.
fn every_path(router: &Router) -> BTreeSet<String> {
    let told = format!("{router:?}");
    let quoted = told.split('"').skip(1).step_by(2).filter(|text| text.starts_with('/'));
    // What stands for any segment is filled in.
    quoted
        .map(|pattern| {
            let segment = |part: &str| if part.starts_with('{') { "a1".to_owned() } else { part.to_owned() };
            pattern.split('/').map(segment).collect::<Vec<_>>().join("/")
        })
        .collect()
}

const METHODS: [Method; 7] =
    [Method::GET, Method::HEAD, Method::POST, Method::PUT, Method::PATCH, Method::DELETE, Method::OPTIONS];

#[tokio::test]
async fn a_stranger_gets_the_pairing_set_and_nothing_else() -> Done {
    let studio = studio(Reach::Network)?;
    let mut paths = every_path(&router(studio.state.clone()));
    for known in
        ["/", "/a1", "/api/v1/events", "/assets/a1", "/labels/pdf/a1", "/pair", "/devices", "/set-up"]
    {
        assert!(paths.contains(known), "the router no longer tells of {known}: {paths:?}");
    }
    // Pages are matched beyond the router; and what is nearly open is shut.
    paths.extend(
        [
            "/rack",
            "/shelf/F07",
            "/settings",
            "/no/such/page",
            "/sw.js",
            "/manifest.webmanifest",
            "/pair/",
            "//pair",
        ]
        .map(str::to_owned),
    );
    paths.extend(["/PAIR", "/pair/../rack", "/%70air", "/set-up/x", "/studio-ca.crt/"].map(str::to_owned));
    paths.extend(crate::assets::all().iter().map(|asset| asset.path.to_owned()));
    let style = crate::assets::names().map(|names| names.css);
    for path in &paths {
        for method in METHODS {
            for accept in ["text/html", "application/json"] {
                let reads = [Method::GET, Method::HEAD].contains(&method);
                let open = (reads && (OPEN_TO_READ.contains(&path.as_str()) || style == Some(path.as_str())))
                    || (method == Method::POST && OPEN_TO_SEND.contains(&path.as_str()));
                let mut ask = get(path, PHONE).with("accept", accept);
                ask.method = method.clone();
                let answer = studio.ask(ask).await?;
                let sent_to_pair = answer.status == StatusCode::SEE_OTHER
                    && answer.header("location").starts_with("/pair?next=");
                let refused = answer.status == StatusCode::UNAUTHORIZED || (reads && sent_to_pair);
                assert_eq!(refused, !open, "{method} {path} {accept}: {answer:?}");
                if refused {
                    assert!(answer.body.len() < 120, "{method} {path}: a refusal says one thing: {answer:?}");
                }
            }
        }
    }
    Ok(())
}

#[tokio::test]
async fn what_is_open_tells_nothing_of_the_studio() -> Done {
    let studio = studio(Reach::Network)?;
    studio.paired("phone").await?;
    for path in OPEN_TO_READ {
        let answer = studio.ask(get(path, PHONE)).await?;
        for secret in ["/rack", "/more", "token", "phone by"] {
            assert!(path == "/pair" || !answer.body.contains(secret), "{path} tells {secret}");
        }
        assert!(!answer.body.contains("<script"), "{path}");
    }
    let certificate = studio.ask(get("/studio-ca.crt", PHONE)).await?;
    assert_eq!(certificate.header("content-type"), "application/x-x509-ca-cert");
    assert_eq!(certificate.body, "the certificate");
    let profile = studio.ask(get("/studio-ca.mobileconfig", PHONE)).await?;
    assert_eq!(profile.header("content-type"), "application/x-apple-aspen-config");
    let set_up = studio.ask(get("/set-up", PHONE).over_http()).await?;
    assert!(set_up.body.contains("00112233") && set_up.body.contains("https://tripoise.local:7443/pair"));
    assert!(set_up.header("content-security-policy").starts_with("default-src 'none'"), "{set_up:?}");
    Ok(())
}

#[tokio::test]
async fn a_paired_device_comes_in_until_it_is_shut_out() -> Done {
    let studio = studio(Reach::Network)?;
    let cookie = studio.paired("phone").await?;
    let with = |path| get(path, PHONE).with("cookie", &cookie);
    assert_eq!(studio.ask(with("/api/v1/events")).await?.status, StatusCode::OK);
    assert_eq!(studio.ask(with("/")).await?.status, StatusCode::OK);
    let list = studio.ask(with("/devices")).await?;
    assert!(list.body.contains("phone") && list.body.contains("(this one)"), "{list:?}");
    let id = studio.access.devices.all()[0].id;
    // From another device, which keeps coming in.
    let other = studio.paired("tablet").await?;
    let body = format!("do=revoke&device={id}");
    let revoked = studio.ask(post("/devices", PHONE, &body).with("cookie", &other)).await?;
    assert_eq!(revoked.status, StatusCode::SEE_OTHER);
    assert_eq!(studio.ask(with("/api/v1/events")).await?.status, StatusCode::UNAUTHORIZED, "at once");
    assert_eq!(studio.ask(with("/")).await?.header("location"), "/pair?next=%2F");
    let answer = studio.ask(get("/devices", PHONE).with("cookie", &other)).await?;
    assert!(answer.body.contains("<s>phone"), "{answer:?}");
    Ok(())
}

#[tokio::test]
async fn a_code_is_good_once_and_looking_takes_nothing() -> Done {
    let studio = studio(Reach::Network)?;
    let code = studio.code()?;
    let link = format!("/pair?code={}&next=%2Fshelf%2FF07", code.letters());
    for method in [Method::GET, Method::HEAD, Method::GET] {
        let mut ask = get(&link, PHONE);
        ask.method = method;
        assert_eq!(studio.ask(ask).await?.status, StatusCode::OK);
    }
    let shown = studio.ask(get(&link, PHONE)).await?;
    assert!(shown.body.contains(&code.to_string()) && shown.body.contains("/shelf/F07"), "{shown:?}");
    assert!(shown.header("set-cookie").is_empty());
    let body = format!("code={code}&name=phone&next=%2Fshelf%2FF07");
    let unnamed = studio.ask(post("/pair", PHONE, &format!("code={code}&name=+"))).await?;
    assert_eq!(unnamed.status, StatusCode::UNPROCESSABLE_ENTITY, "a slip in the name costs no code");
    let first = studio.ask(post("/pair", PHONE, &body)).await?;
    assert_eq!((first.status, first.header("location")), (StatusCode::SEE_OTHER, "/shelf/F07"));
    let second = studio.ask(post("/pair", "192.168.1.21:1", &body)).await?;
    assert_eq!(second.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(second.body.contains("phone"), "what was typed comes back");
    assert_eq!(studio.access.devices.all().len(), 1);
    Ok(())
}

#[tokio::test]
async fn a_code_runs_out() -> Done {
    let studio = studio(Reach::Network)?;
    let long_ago = Timestamp::now() - SignedDuration::from_secs(601);
    let code = studio.access.codes().make(long_ago)?.code;
    let answer = studio.ask(post("/pair", PHONE, &format!("code={code}&name=phone"))).await?;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(!studio.access.devices.any());
    Ok(())
}

#[tokio::test]
async fn wrong_codes_have_to_wait_but_not_for_ever() -> Done {
    let studio = studio(Reach::Network)?;
    let code = studio.code()?;
    let wrong = if code.letters() == "CCCCCCCC" { "DDDDDDDD" } else { "CCCCCCCC" };
    let wrong = format!("code={wrong}&name=phone");
    let right = format!("code={code}&name=phone");
    assert_eq!(studio.ask(post("/pair", PHONE, &wrong)).await?.status, StatusCode::UNPROCESSABLE_ENTITY);
    let early = studio.ask(post("/pair", PHONE, &right)).await?;
    assert_eq!(early.status, StatusCode::TOO_MANY_REQUESTS);
    let wait_s: u64 = early.header("retry-after").parse()?;
    assert!((1..=2).contains(&wait_s));
    assert!(!studio.access.devices.any(), "the right code, too early, lets nobody in");
    // Another phone is not held up by the first one's slip.
    let other = studio.ask(post("/pair", "192.168.1.21:1", &right)).await?;
    assert_eq!(other.status, StatusCode::SEE_OTHER);
    Ok(())
}

#[tokio::test]
async fn a_form_of_another_site_is_refused() -> Done {
    let studio = studio(Reach::Network)?;
    let cookie = studio.paired("phone").await?;
    let id = studio.access.devices.all()[0].id;
    let body = format!("do=revoke&device={id}");
    for (name, value) in [
        ("origin", "https://evil.example"),
        ("origin", "null"),
        ("origin", "https://tripoise.local:1"),
        ("sec-fetch-site", "cross-site"),
        ("sec-fetch-site", "same-site"),
    ] {
        let ask = post("/devices", PHONE, &body).with("cookie", &cookie).with(name, value);
        assert_eq!(studio.ask(ask).await?.status, StatusCode::FORBIDDEN, "{name}: {value}");
        let code = studio.code()?;
        let body = format!("code={code}&name=phone");
        let ask = post("/pair", PHONE, &body).with(name, value);
        assert_eq!(studio.ask(ask).await?.status, StatusCode::FORBIDDEN, "{name}: {value}");
    }
    let mut bare = post("/devices", PHONE, &body).with("cookie", &cookie);
    bare.headers.retain(|(name, _)| *name != "origin");
    assert_eq!(studio.ask(bare).await?.status, StatusCode::FORBIDDEN, "a cookie with no origin");
    let elsewhere = get("/", HERE).with("host", "evil.example");
    assert_eq!(studio.ask(elsewhere).await?.status, StatusCode::MISDIRECTED_REQUEST);
    assert_eq!(studio.access.devices.all().len(), 1);
    assert!(studio.access.devices.any(), "nobody was shut out");
    Ok(())
}

#[tokio::test]
async fn the_machine_itself_needs_no_pairing_and_makes_the_codes() -> Done {
    let studio = studio(Reach::Network)?;
    assert_eq!(studio.ask(get("/", HERE)).await?.status, StatusCode::OK);
    assert_eq!(studio.ask(get("/", "[::ffff:127.0.0.1]:9")).await?.status, StatusCode::OK);
    assert_eq!(studio.ask(post("/devices", HERE, "do=code")).await?.status, StatusCode::SEE_OTHER);
    let shown = studio.ask(get("/devices", HERE)).await?;
    let current = studio.access.codes().current(Timestamp::now())?.ok_or("no code")?;
    assert!(shown.body.contains(&current.code.to_string()), "{shown:?}");
    let cookie = studio.paired("phone").await?;
    let ask = post("/devices", PHONE, "do=code").with("cookie", &cookie);
    assert_eq!(studio.ask(ask).await?.status, StatusCode::FORBIDDEN, "a phone makes none");
    studio.code()?;
    let seen = studio.ask(get("/devices", PHONE).with("cookie", &cookie)).await?;
    let current = studio.access.codes().current(Timestamp::now())?.ok_or("no code")?;
    assert!(!seen.body.contains(&current.code.to_string()), "nor is it shown one");
    Ok(())
}
