//! The bundle's files over HTTP: `/assets/…` kept for a year, `/sw.js` and its like asked about each time.
//!
//! What this does not do: compress anything; the bundle is compressed when it is built.
use crate::assets::{self, Asset};
use axum::{
    Router,
    body::Body,
    extract::Path,
    http::{HeaderMap, HeaderValue, StatusCode, header},
    response::{IntoResponse, Response},
    routing::get,
};

/// House choice: a year, the longest that caches are asked to honour (RFC 9111, once RFC 2616 14.21).
const FOR_A_YEAR: &str = "public, max-age=31536000, immutable";

/// The routes of the bundle: `/assets/{name}` and one for each file that is not named by its hash.
pub fn router<S: Clone + Send + Sync + 'static>() -> Router<S> {
    let hashed = get(|Path(name): Path<String>, headers: HeaderMap| async move {
        match assets::find(&format!("/assets/{name}")) {
            Some(asset) => answer(asset, &headers),
            None => (StatusCode::NOT_FOUND, "no such file; reload the page\n").into_response(),
        }
    });
    assets::all().iter().filter(|asset| !asset.immutable).fold(
        Router::new().route("/assets/{name}", hashed),
        |router, asset| {
            router.route(asset.path, get(move |headers: HeaderMap| async move { answer(asset, &headers) }))
        },
    )
}

/// One file, in the form the browser takes, or 304 where it has it already.
fn answer(asset: &'static Asset, request: &HeaderMap) -> Response {
    let mut response = Response::new(Body::empty());
    let headers = response.headers_mut();
    let caching = if asset.immutable { FOR_A_YEAR } else { "no-cache" };
    headers.insert(header::CACHE_CONTROL, HeaderValue::from_static(caching));
    headers.insert(header::VARY, HeaderValue::from_static("accept-encoding"));
    let tag = format!("\"{}\"", asset.hash);
    let known = request.get_all(header::IF_NONE_MATCH).iter().any(|sent| names_tag(sent, &tag));
    if let Ok(tag) = HeaderValue::from_str(&tag) {
        headers.insert(header::ETAG, tag);
    }
    if known {
        *response.status_mut() = StatusCode::NOT_MODIFIED;
        return response;
    }
    headers.insert(header::CONTENT_TYPE, HeaderValue::from_static(asset.content_type));
    headers.insert(header::X_CONTENT_TYPE_OPTIONS, HeaderValue::from_static("nosniff"));
    let body = match asset.brotli.filter(|_| takes_brotli(request)) {
        Some(compressed) => {
            headers.insert(header::CONTENT_ENCODING, HeaderValue::from_static("br"));
            compressed
        }
        None => asset.bytes,
    };
    *response.body_mut() = Body::from(body);
    response
}

/// Whether an `If-None-Match` names `tag`, strongly or weakly (the comparison is weak, RFC 9110 13.1.2).
fn names_tag(sent: &HeaderValue, tag: &str) -> bool {
    sent.to_str().is_ok_and(|text| {
        text.split(',').any(|one| one.trim() == "*" || one.trim().trim_start_matches("W/") == tag)
    })
}

/// Whether `Accept-Encoding` lists `br` with a weight above 0 (RFC 9110 12.5.3).
fn takes_brotli(request: &HeaderMap) -> bool {
    let listed = request.get_all(header::ACCEPT_ENCODING).iter().filter_map(|sent| sent.to_str().ok());
    listed.flat_map(|text| text.split(',')).any(|one| {
        let mut parts = one.split(';').map(str::trim);
        let brotli = parts.next().is_some_and(|coding| coding.eq_ignore_ascii_case("br"));
        let weight = parts.find_map(|part| part.strip_prefix("q="));
        brotli && weight.is_none_or(|q| q.parse::<f32>().is_ok_and(|q| q > 0.0))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    static PROGRAM: Asset = Asset {
        path: "/assets/tripoise-0.wasm",
        content_type: "application/wasm",
        immutable: true,
        hash: "00ff00ff00ff00ff",
        bytes: b"the program, long",
        brotli: Some(b"short"),
    };
    static WORKER: Asset = Asset { path: "/sw.js", immutable: false, brotli: None, ..PROGRAM };

    fn request(pairs: &[(header::HeaderName, &'static str)]) -> HeaderMap {
        pairs.iter().map(|(name, value)| (name.clone(), HeaderValue::from_static(value))).collect()
    }

    /// Whether the answer to this `Accept-Encoding` is the compressed form.
    fn check_coding(accept: &'static str, compressed: bool) {
        let response = answer(&PROGRAM, &request(&[(header::ACCEPT_ENCODING, accept)]));
        let coding = response.headers().get(header::CONTENT_ENCODING);
        assert_eq!(coding.is_some_and(|coding| coding == "br"), compressed, "{accept}");
        assert_eq!(response.headers()[header::CONTENT_TYPE], "application/wasm");
    }

    #[test]
    fn brotli_goes_only_to_those_who_take_it() {
        check_coding("gzip, deflate, br, zstd", true);
        check_coding("BR;q=0.5", true);
        check_coding("br;q=0", false);
        check_coding("br; q=0.0, gzip", false);
        check_coding("gzip, bro", false);
        check_coding("", false);
    }

    #[test]
    fn hashed_files_are_kept_for_a_year_and_the_others_are_asked_about() {
        let caching = |asset| answer(asset, &HeaderMap::new()).headers()[header::CACHE_CONTROL].clone();
        assert_eq!(caching(&PROGRAM), FOR_A_YEAR);
        assert_eq!(caching(&WORKER), "no-cache");
    }

    #[test]
    fn what_the_browser_has_is_not_sent_again() {
        let status = |sent| answer(&WORKER, &request(&[(header::IF_NONE_MATCH, sent)])).status();
        assert_eq!(status("\"00ff00ff00ff00ff\""), StatusCode::NOT_MODIFIED);
        assert_eq!(status("\"1\", W/\"00ff00ff00ff00ff\""), StatusCode::NOT_MODIFIED);
        assert_eq!(status("\"00ff\""), StatusCode::OK);
    }
}
