//! Who asks, through which door, from where. Made of each request, before anything else looks at it.
//!
//! The listener says from which address a connection comes ([`ConnectInfo`]) and which [`Door`] it is;
//! without either, a request is a stranger's. What a request claims about itself in its headers can only
//! lower what it may do, never raise it, unless a proxy was announced on the command line.
use super::devices::Device;
use super::{Access, Reach};
use axum::extract::ConnectInfo;
use axum::http::{HeaderMap, HeaderName, HeaderValue, Request, header};
use std::net::{IpAddr, Ipv6Addr, SocketAddr};

/// What proxies add. A request with any of these was passed on, so it is not this machine's own.
const FORWARDED: [&str; 5] =
    ["forwarded", "x-forwarded-for", "x-forwarded-host", "x-forwarded-proto", "x-real-ip"];

/// Through HTTPS a cookie that no page of plain HTTP can set or see (RFC 6265bis, 4.1.3.2).
const SECURE_COOKIE: &str = "__Host-tripoise";

/// Through plain HTTP. HTTPS takes it too, so that a phone is paired once.
const PLAIN_COOKIE: &str = "tripoise";

/// 400 days, the longest that browsers keep a cookie (RFC 6265bis, 5.5); renewed while it is used.
const COOKIE_LIFE_S: u32 = 400 * 24 * 60 * 60;

/// How a connection came in.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Door {
    /// Anyone on the way can read and change what passes.
    Http,
    /// Nobody can.
    Https,
}

/// Who asks.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Visitor {
    /// The machine that the server runs on: whoever sits at it can read the store anyway.
    ThisMachine,
    /// A device that was paired. A person and a role will stand beside it.
    Device(Device),
    /// Anybody else.
    Stranger,
}

/// One request's circumstances; handlers take it as an extension.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Visit {
    /// Who asks.
    pub visitor: Visitor,
    /// Through which door; behind a proxy, the proxy's.
    pub door: Door,
    /// From which address; behind a proxy, the one that the proxy saw.
    pub address: IpAddr,
}

impl Visit {
    /// What a request is.
    #[must_use]
    pub fn of<B>(access: &Access, request: &Request<B>) -> Self {
        let (extensions, headers) = (request.extensions(), request.headers());
        let peer = extensions.get::<ConnectInfo<SocketAddr>>().map(|peer| peer.0.ip().to_canonical());
        let mut door = extensions.get::<Door>().copied().unwrap_or(Door::Http);
        let mut address = peer.unwrap_or(IpAddr::V6(Ipv6Addr::UNSPECIFIED));
        let passed_on = FORWARDED.iter().any(|name| headers.contains_key(*name));
        if access.reach == Reach::Proxy {
            address = last_forwarded(headers).unwrap_or(address);
            if headers.get("x-forwarded-proto").is_some_and(|scheme| scheme == "https") {
                door = Door::Https;
            }
        }
        let own = access.reach != Reach::Proxy && address.is_loopback() && !passed_on;
        let visitor = if own {
            Visitor::ThisMachine
        } else {
            tokens(headers, door)
                .find_map(|token| access.devices.who(token))
                .map_or(Visitor::Stranger, Visitor::Device)
        };
        Self { visitor, door, address }
    }

    /// Whether a browser calls this page's origin secure: only then are there camera, installing and work
    /// without network (W3C, Secure Contexts, 3.1).
    #[must_use]
    pub fn is_secure_context(&self) -> bool {
        self.door == Door::Https || self.visitor == Visitor::ThisMachine
    }
}

/// The address that the nearest proxy saw: the last one of the last header. Those before it were written
/// by whoever asked.
fn last_forwarded(headers: &HeaderMap) -> Option<IpAddr> {
    let last = headers.get_all("x-forwarded-for").iter().next_back()?.to_str().ok()?;
    let last = last.rsplit(',').next()?.trim();
    last.parse::<IpAddr>().ok().or_else(|| last.parse::<SocketAddr>().ok().map(|with_port| with_port.ip()))
}

/// The tokens that a request shows, the stronger cookie's first.
fn tokens(headers: &HeaderMap, door: Door) -> impl Iterator<Item = &str> {
    let names = match door {
        Door::Https => &[SECURE_COOKIE, PLAIN_COOKIE][..],
        Door::Http => &[PLAIN_COOKIE],
    };
    names.iter().flat_map(move |name| {
        let lines = headers.get_all(header::COOKIE).iter().filter_map(|line| line.to_str().ok());
        let pairs = lines.flat_map(|line| line.split(';')).filter_map(|pair| pair.trim().split_once('='));
        pairs.filter(move |(key, _)| key == name).map(|(_, token)| token)
    })
}

/// The header that gives a device its token, or renews it.
#[must_use]
pub fn set_cookie(token: &str, door: Door) -> Option<(HeaderName, HeaderValue)> {
    let (name, secure) = match door {
        Door::Https => (SECURE_COOKIE, "; Secure"),
        Door::Http => (PLAIN_COOKIE, ""),
    };
    let text = format!("{name}={token}; Path=/; Max-Age={COOKIE_LIFE_S}; HttpOnly; SameSite=Lax{secure}");
    Some((header::SET_COOKIE, HeaderValue::from_str(&text).ok()?))
}

/// The cookie that a request showed, once more, so that it does not run out while it is used.
#[must_use]
pub fn renewed_cookie(headers: &HeaderMap, door: Door, access: &Access) -> Option<(HeaderName, HeaderValue)> {
    let token = tokens(headers, door).find(|token| access.devices.who(token).is_some())?;
    set_cookie(token, door)
}
