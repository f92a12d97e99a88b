//! The decoder's module (`app/scan`), loaded from the path in the page's head.
//!
//! It takes numbers and has its own memory, so what it exports is called as it is, without glue. The policy
//! allows it: it comes from this server, and `wasm-unsafe-eval` lets WebAssembly be compiled.
//!
//! What this does not do: read a picture that is not on a canvas.
use super::js;
use js_sys::{Function, Object, Uint8Array, WebAssembly};
use leptos::prelude::{document, window};
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;

/// One instance.
pub struct Decoder {
    memory: WebAssembly::Memory,
    room: Function,
    read_rgba: Function,
    text: Function,
    text_length: Function,
}

impl Decoder {
    /// Loads it; `None` where it is out of reach.
    pub async fn load() -> Option<Self> {
        let named = document().query_selector("meta[name=decoder]").ok()??;
        let answer = window().fetch_with_str(&named.get_attribute("content")?);
        let made = JsFuture::from(WebAssembly::instantiate_streaming(&answer, &Object::new())).await.ok()?;
        let exports = js::get(&js::get(&made, "instance"), "exports");
        let function = |name: &str| js::get(&exports, name).dyn_into::<Function>().ok();
        Some(Self {
            memory: js::get(&exports, "memory").dyn_into().ok()?,
            room: function("room")?,
            read_rgba: function("read_rgba")?,
            text: function("text")?,
            text_length: function("text_length")?,
        })
    }

    /// The texts in these pixels; `None` where it trapped, after which this instance is of no use.
    pub fn read(&self, width: u32, height: u32, pixels: &JsValue) -> Option<Vec<String>> {
        let n_bytes = width.checked_mul(height)?.checked_mul(4)?;
        let at = number(&self.room, &[n_bytes])?;
        // Seen anew each time: the memory may have grown, which detaches older views.
        Uint8Array::new_with_byte_offset_and_length(&self.memory.buffer(), at, n_bytes).set(pixels, 0);
        let n_texts = number(&self.read_rgba, &[width, height])?;
        (0..n_texts).map(|nth| self.text(nth)).collect()
    }

    fn text(&self, nth: u32) -> Option<String> {
        let (at, length) = (number(&self.text, &[nth])?, number(&self.text_length, &[nth])?);
        let bytes = Uint8Array::new_with_byte_offset_and_length(&self.memory.buffer(), at, length);
        String::from_utf8(bytes.to_vec()).ok()
    }
}

/// Calls an export. WebAssembly's numbers are signed to JavaScript; these never are negative.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a 32-bit number of WebAssembly")]
fn number(export: &Function, arguments: &[u32]) -> Option<u32> {
    let arguments = arguments.iter().map(|number| JsValue::from(*number)).collect();
    export.apply(&JsValue::UNDEFINED, &arguments).ok()?.as_f64().map(|number| number as i64 as u32)
}
