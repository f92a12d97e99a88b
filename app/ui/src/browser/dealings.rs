//! How this phone last fared with the server, and what its storage holds, for the badge and `/phone`.
//!
//! What this does not do: count entries; the phone's store does.
use super::record;
use jiff::Timestamp;
use std::cell::Cell;
use tripoise_core::view::phone::Dealings;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;

/// Where the moment of the last exchange is kept: it is told, and nothing depends on it.
const LAST: &str = "tripoise.last_exchange_ms";

thread_local! {
    static DEALINGS: Cell<Option<Dealings>> = const { Cell::new(None) };
}

/// What is known now.
pub fn now() -> Dealings {
    DEALINGS.get().unwrap_or_else(|| {
        let last = record::kept(LAST).and_then(|text| text.parse().ok());
        let last_exchange = last.and_then(|ms| Timestamp::from_millisecond(ms).ok());
        let begun = Dealings { last_exchange, ..Dealings::default() };
        DEALINGS.set(Some(begun));
        begun
    })
}

/// An exchange ended well.
pub fn exchanged() {
    let ms = record::now_ms();
    if let Some(Ok(Some(storage))) = web_sys::window().map(|window| window.local_storage()) {
        // Full or refused: after a restart the page says that it does not know.
        drop(storage.set_item(LAST, &ms.to_string()));
    }
    let last_exchange = Timestamp::from_millisecond(ms).ok().or(now().last_exchange);
    DEALINGS.set(Some(Dealings { last_exchange, paired: true, ..now() }));
}

/// The server said that it does not know this phone.
pub fn not_paired() {
    DEALINGS.set(Some(Dealings { paired: false, ..now() }));
}

/// Asks the browser what this site's storage holds.
///
/// # Returns   Whether that changed what is known.
pub async fn weigh() -> bool {
    let Some(window) = web_sys::window().filter(web_sys::Window::is_secure_context) else { return false };
    let Ok(asked) = window.navigator().storage().estimate() else { return false };
    let Ok(estimate) = JsFuture::from(asked).await else { return false };
    let number = |value: &JsValue, name: &str| {
        let found = js_sys::Reflect::get(value, &JsValue::from_str(name)).ok()?.as_f64()?;
        // Whole bytes, far below 2^53.
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a count of bytes")]
        (found >= 0.0).then_some(found as u64)
    };
    let used_bytes = number(&estimate, "usage");
    // Chromium alone tells the kinds apart.
    let details = js_sys::Reflect::get(&estimate, &JsValue::from_str("usageDetails")).ok();
    let details = details.filter(JsCast::is_instance_of::<js_sys::Object>);
    let used_by_entries_bytes = details.and_then(|details| number(&details, "indexedDB"));
    let before = now();
    DEALINGS.set(Some(Dealings { used_bytes, used_by_entries_bytes, ..before }));
    now() != before
}
