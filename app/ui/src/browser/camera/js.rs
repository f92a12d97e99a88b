//! What browsers offer under names that `web_sys` does not know, or knows only as unstable.
//!
//! What this does not do: fail. What a browser does not have is as if it said no.
use js_sys::{Array, Function, Object, Promise, Reflect};
use leptos::prelude::window;
use tripoise_core::view::scan::Trouble;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::MediaStreamTrack;

/// A property, undefined where there is none.
pub fn get(object: &JsValue, name: &str) -> JsValue {
    Reflect::get(object, &name.into()).unwrap_or(JsValue::UNDEFINED)
}

/// Calls a method; `None` where there is none or it throws.
pub fn call(object: &JsValue, method: &str, argument: &JsValue) -> Option<JsValue> {
    get(object, method).dyn_into::<Function>().ok()?.call1(object, argument).ok()
}

/// Calls a method that promises something, and waits for it.
pub async fn promised(object: &JsValue, method: &str, argument: &JsValue) -> Option<JsValue> {
    let promise: Promise = call(object, method, argument)?.dyn_into().ok()?;
    JsFuture::from(promise).await.ok()
}

/// An object with these properties.
pub fn object(properties: &[(&str, JsValue)]) -> JsValue {
    let made = Object::new();
    for (name, value) in properties {
        // Setting a property of a fresh object cannot fail.
        drop(Reflect::set(&made, &(*name).into(), value));
    }
    made.into()
}

/// What the error of `getUserMedia` means.
pub fn trouble(error: &JsValue) -> Trouble {
    Trouble::of(&get(error, "name").as_string().unwrap_or_default())
}

/// The camera on the back, in a picture no larger than it is read.
pub fn rear_camera() -> JsValue {
    let about = |value: JsValue| object(&[("ideal", value)]);
    object(&[
        ("facingMode", about("environment".into())),
        ("width", about(1280.into())),
        ("height", about(960.into())),
    ])
}

/// Whether the camera may be opened without asking. Browsers that cannot say so ask.
pub async fn may_use_camera() -> bool {
    let permissions = get(&window().navigator(), "permissions");
    let camera = object(&[("name", "camera".into())]);
    let status = promised(&permissions, "query", &camera).await;
    status.is_some_and(|status| get(&status, "state") == "granted")
}

/// Whether the camera has a lamp that a page may switch (MediaStream Image Capture, 8.2).
pub fn has_lamp(track: &MediaStreamTrack) -> bool {
    let can = call(track, "getCapabilities", &JsValue::UNDEFINED);
    can.is_some_and(|can| get(&can, "torch").is_truthy())
}

/// Lights the lamp or puts it out. Returns whether that was done.
pub async fn light(track: &MediaStreamTrack, on: bool) -> bool {
    let wanted = object(&[("advanced", Array::of1(&object(&[("torch", on.into())])).into())]);
    promised(track, "applyConstraints", &wanted).await.is_some()
}

/// Waits.
pub async fn wait(ms: i32) {
    let promise = Promise::new(&mut |done, _| {
        // Without a timer the wait is over at once.
        if window().set_timeout_with_callback_and_timeout_and_arguments_0(&done, ms).is_err() {
            drop(done.call0(&JsValue::UNDEFINED));
        }
    });
    drop(JsFuture::from(promise).await);
}
