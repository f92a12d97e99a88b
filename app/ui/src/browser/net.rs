//! Asking the server, with an end to the waiting.
//!
//! What this does not do: try again; whoever asks does.
use js_sys::{JSON, Promise, Uint8Array};
use wasm_bindgen::prelude::Closure;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::{JsFuture, future_to_promise};

/// House choice: how long an answer may take, 15 s; 100 kB over a slow phone line take about 4.
const PATIENCE_MS: i32 = 15_000;

/// House choice: how long a file may take, 120 s: half a megabyte at 4 kB/s.
const FILE_PATIENCE_MS: i32 = 120_000;

/// RFC 9110 15.5.2: what the server's gate says to a device that is not paired.
const UNAUTHORIZED: u16 = 401;

/// Why there is no answer to read.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum NoAnswer {
    /// The server could not be reached, or did not answer in time.
    Unreachable,
    /// It does not know this phone, or no longer.
    NotPaired,
    /// It refused the whole request, with its reason.
    Refused(String),
}

/// Sends a request and reads the answer's text.
///
/// # Errors   [`NoAnswer`].
pub async fn ask(address: &str, post: Option<&str>) -> Result<String, NoAnswer> {
    let body = post.map(|json| ("application/json", JsValue::from_str(json)));
    match answer(address, body, PATIENCE_MS).await? {
        (200..=299, text) => Ok(text),
        (status, text) => Err(NoAnswer::Refused(reason(status, &text))),
    }
}

/// Sends a file as it is and reads the answer's status and text, whatever the status is.
///
/// # Errors   [`NoAnswer`], but never that it was refused.
pub async fn send_file(address: &str, content: &Uint8Array) -> Result<(u16, String), NoAnswer> {
    // The server goes by the first bytes, whatever it is called.
    let body = ("application/octet-stream", JsValue::from(content));
    answer(address, Some(body), FILE_PATIENCE_MS).await
}

/// What the server said in refusing.
pub fn reason(status: u16, text: &str) -> String {
    let said = JSON::parse(text)
        .and_then(|value| js_sys::Reflect::get(&value, &JsValue::from_str("error")))
        .ok()
        .and_then(|said| said.as_string());
    said.unwrap_or_else(|| format!("the server answered {status}"))
}

async fn answer(
    address: &str,
    body: Option<(&str, JsValue)>,
    patience_ms: i32,
) -> Result<(u16, String), NoAnswer> {
    let unreachable = |_: JsValue| NoAnswer::Unreachable;
    let window = web_sys::window().ok_or(NoAnswer::Unreachable)?;
    let init = web_sys::RequestInit::new();
    if let Some((_, body)) = &body {
        init.set_method("POST");
        init.set_body(body);
    }
    let stop = web_sys::AbortController::new().map_err(unreachable)?;
    init.set_signal(Some(&stop.signal()));
    let request = web_sys::Request::new_with_str_and_init(address, &init).map_err(unreachable)?;
    if let Some((kind, _)) = body {
        request.headers().set("content-type", kind).map_err(unreachable)?;
    }
    let late = Closure::<dyn FnMut()>::new(move || stop.abort());
    let timer = window
        .set_timeout_with_callback_and_timeout_and_arguments_0(late.as_ref().unchecked_ref(), patience_ms)
        .map_err(unreachable)?;
    let answer = read(&window, &request).await;
    window.clear_timeout_with_handle(timer);
    match answer.map_err(unreachable)? {
        (UNAUTHORIZED, _) => Err(NoAnswer::NotPaired),
        // A proxy in front of a server that is gone (RFC 9110 15.6.3 to 15.6.5).
        (502..=504, _) => Err(NoAnswer::Unreachable),
        other => Ok(other),
    }
}

async fn read(window: &web_sys::Window, request: &web_sys::Request) -> Result<(u16, String), JsValue> {
    let response = JsFuture::from(window.fetch_with_request(request)).await?;
    let response: web_sys::Response = response.dyn_into()?;
    let text = JsFuture::from(response.text()?).await?.as_string().unwrap_or_default();
    Ok((response.status(), text))
}

/// House choice: how long a frame is waited for, 100 ms: six of a usual screen. A tab out of sight makes none.
const HIDDEN_MS: i32 = 100;

/// Waits until what the page shows now is on the screen.
pub async fn shown() {
    let promise = Promise::new(&mut |done, _| {
        let asked = web_sys::window().map(|window| window.request_animation_frame(&done));
        if !matches!(asked, Some(Ok(_))) {
            drop(done.call0(&JsValue::NULL));
        }
    });
    let late = future_to_promise(async {
        pause(HIDDEN_MS).await;
        Ok(JsValue::NULL)
    });
    // None is ever rejected. A frame is made after what waits for it has run, hence the second pause.
    drop(JsFuture::from(Promise::race(&js_sys::Array::of2(&promise, &late))).await);
    pause(0).await;
}

/// Waits.
pub async fn pause(ms: i32) {
    let promise = Promise::new(&mut |done, _| {
        let set = web_sys::window()
            .map(|window| window.set_timeout_with_callback_and_timeout_and_arguments_0(&done, ms));
        if !matches!(set, Some(Ok(_))) {
            // Without timers there is nothing to wait for.
            drop(done.call0(&JsValue::NULL));
        }
    });
    // A promise of a timer is never rejected.
    drop(JsFuture::from(promise).await);
}
