//! `/shell`: the document that phones keep for when the server does not answer.
//!
//! There is no page in it and nothing of the studio, so it is the same for everyone. Its one script is known
//! beforehand: the policy takes it by its hash (a nonce that is kept in a cache would be no secret).
//!
//! What this does not do: keep it; `public/sw.js` does.
use super::pages::bundle;
use crate::assets;
use axum::Router;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{Html, IntoResponse, Response};
use axum::routing::get;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest as _, Sha256};

/// The route.
pub fn router<S: Clone + Send + Sync + 'static>() -> Router<S> {
    Router::new().route("/shell", get(shell))
}

async fn shell() -> Response {
    let Some(start) = assets::start_shell_script() else {
        let text = "this Tripoise was built without its program; nothing can be kept on a phone\n";
        return (StatusCode::NOT_FOUND, text).into_response();
    };
    let assets = tripoise_ui::Assets { start, ..bundle() };
    let policy = policy(&assets.start);
    let mut response = Html(tripoise_ui::shell(&assets)).into_response();
    let headers = response.headers_mut();
    headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-cache"));
    if let Ok(policy) = HeaderValue::from_str(&policy) {
        headers.insert(header::CONTENT_SECURITY_POLICY, policy);
    }
    response
}

/// As strict as a page's: the script by its hash in place of a nonce (CSP 3, 6.7.3.3).
fn policy(start: &str) -> String {
    let hash = STANDARD.encode(Sha256::digest(start));
    format!(
        "default-src 'none'; script-src 'sha256-{hash}' 'strict-dynamic' 'wasm-unsafe-eval'; style-src 'self'; \
         img-src 'self' data: blob:; connect-src 'self'; manifest-src 'self'; worker-src 'self'; \
         form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_policy_names_the_script_by_its_hash() {
        // SHA-256 of "abc": FIPS 180-4's example, in base64.
        let policy = policy("abc");
        assert!(policy.contains("'sha256-ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0='"), "{policy}");
        assert!(!policy.contains("unsafe-inline") && !policy.contains("nonce"), "{policy}");
    }

    #[test]
    fn the_script_stands_in_the_document_byte_for_byte() {
        let start = "const m=await import(\"/assets/a.js\");await m.begin();".to_owned();
        let assets = tripoise_ui::Assets { start: start.clone(), ..tripoise_ui::Assets::default() };
        let html = tripoise_ui::shell(&assets);
        assert!(html.contains(&format!("<script type=\"module\">{start}</script>")), "{html}");
    }
}
