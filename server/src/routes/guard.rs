//! What every request passes: the right host, no write from another site, headers on every answer.
//!
//! Host allow-list ([`crate::access::hosts`]): a page of another site whose name was made to point here (DNS rebinding) is refused.
//! Writes: `Sec-Fetch-Site` decides where the browser sends it; else `Origin` must equal `Host`; else the
//! request is taken only when it carries no cookie. `GET` and `HEAD` change nothing anywhere.
//!
//! What this does not do: know who is asking; that is [`super::gate`].
use crate::access::Access;
use crate::access::visit::Visit;
use crate::error::ApiError;
use crate::state::AppState;
use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, Uri, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

/// On every answer that does not set its own. The service worker's fetches are governed by the policy its
/// script came with, so it is not `'none'`.
const HEADERS: [(HeaderName, &str); 5] = [
    (
        header::CONTENT_SECURITY_POLICY,
        "default-src 'self'; object-src 'none'; base-uri 'none'; frame-ancestors 'none'; form-action 'self'",
    ),
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    // Not no-referrer: a form would then post with `Origin: null`.
    (header::REFERRER_POLICY, "same-origin"),
    (header::X_FRAME_OPTIONS, "DENY"),
    (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
];

/// The guard, as a layer around every route.
pub async fn check(State(state): State<AppState>, request: Request, next: Next) -> Response {
    let is_api = request.uri().path().starts_with("/api/");
    let verdict = judge(request.method(), request.uri(), request.headers(), &state.access);
    let mut answer = match verdict {
        Ok(()) => next.run(request).await,
        Err(refused) => refused.into_response(),
    };
    // Over plain HTTP from another machine browsers ignore it, and complain.
    let insecure = answer.extensions().get::<Visit>().is_some_and(|visit| !visit.is_secure_context());
    let headers = answer.headers_mut();
    if !insecure {
        headers.insert("cross-origin-opener-policy", HeaderValue::from_static("same-origin"));
    }
    for (name, value) in HEADERS {
        headers.entry(name).or_insert(HeaderValue::from_static(value));
    }
    if is_api {
        headers.entry(header::CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
    }
    answer
}

fn judge(method: &Method, uri: &Uri, headers: &HeaderMap, access: &Access) -> Result<(), ApiError> {
    let host = text(headers, &header::HOST).or_else(|| uri.authority().map(|name| name.as_str()));
    if !host.is_some_and(|host| access.answers_to(host)) {
        let text = format!(
            "this server does not answer to {:?}; open {} on the machine it runs on",
            host.unwrap_or(""),
            access.own_url()
        );
        return Err(ApiError::request(StatusCode::MISDIRECTED_REQUEST, text));
    }
    let reads = [Method::GET, Method::HEAD, Method::OPTIONS].contains(method);
    if reads || from_here(headers, host) {
        return Ok(());
    }
    Err(ApiError::request(
        StatusCode::FORBIDDEN,
        "this came from another site's page; open Tripoise itself and send it again",
    ))
}

/// Whether a write comes from our own page, or from no page at all.
fn from_here(headers: &HeaderMap, host: Option<&str>) -> bool {
    if let Some(site) = text(headers, &HeaderName::from_static("sec-fetch-site")) {
        return matches!(site, "same-origin" | "none");
    }
    if let Some(origin) = text(headers, &header::ORIGIN) {
        let name = origin.strip_prefix("http://").or_else(|| origin.strip_prefix("https://"));
        return name.is_some() && name == host;
    }
    !headers.contains_key(header::ORIGIN) && !headers.contains_key(header::COOKIE)
}

fn text<'a>(headers: &'a HeaderMap, name: &HeaderName) -> Option<&'a str> {
    headers.get(name).and_then(|value| value.to_str().ok())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check_write(pairs: &[(&str, &str)], taken: bool) {
        let mut headers = HeaderMap::new();
        for (name, value) in pairs {
            let name = HeaderName::from_bytes(name.as_bytes());
            let value = HeaderValue::from_str(value);
            if let (Ok(name), Ok(value)) = (name, value) {
                headers.insert(name, value);
            }
        }
        assert_eq!(headers.len(), pairs.len());
        assert_eq!(from_here(&headers, Some("localhost:7450")), taken, "{pairs:?}");
    }

    #[test]
    fn a_write_from_another_site_is_refused() {
        check_write(&[("sec-fetch-site", "same-origin")], true);
        check_write(&[("sec-fetch-site", "none")], true);
        check_write(&[("sec-fetch-site", "same-site")], false);
        check_write(&[("sec-fetch-site", "cross-site"), ("origin", "http://localhost:7450")], false);
        check_write(&[("origin", "http://localhost:7450"), ("cookie", "a=b")], true);
        check_write(&[("origin", "http://localhost:3000")], false);
        check_write(&[("origin", "null")], false);
        check_write(&[("cookie", "a=b")], false);
        check_write(&[], true);
    }
}
