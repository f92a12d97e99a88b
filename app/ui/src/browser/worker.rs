//! The service worker: registering it, and changing to a newer build when a person says so.
//!
//! What this does not do: keep files or answer for the server; `public/sw.js` does.
use super::listen;
use leptos::prelude::document;
use std::cell::Cell;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::{JsFuture, spawn_local};
use web_sys::{ServiceWorkerContainer, ServiceWorkerRegistration, ServiceWorkerState};

thread_local! {
    /// Whether this tab asked for the change of build, and so opens its page again when it has happened.
    static ASKED: Cell<bool> = const { Cell::new(false) };
}

/// Registers the worker, where the browser has such a thing: only over https, or on this machine.
pub fn start() {
    let Some(window) = web_sys::window().filter(web_sys::Window::is_secure_context) else { return };
    let workers = window.navigator().service_worker();
    if JsValue::from(workers.clone()).is_undefined() {
        return;
    }
    listen::on(&workers, "controllerchange", |_| {
        if ASKED.get() && let Some(window) = web_sys::window() {
            // Where it cannot be opened again, the old build goes on until it is closed.
            drop(window.location().reload());
        }
    });
    spawn_local(async move {
        let registered = JsFuture::from(workers.register("/sw.js")).await;
        // Refused in some private windows: everything works but for opening without the server.
        if let Ok(Ok(registration)) = registered.map(JsCast::dyn_into::<ServiceWorkerRegistration>) {
            watch(&workers, registration);
        }
    });
}

/// Says that a newer build waits, now or once it has been fetched.
fn watch(workers: &ServiceWorkerContainer, registration: ServiceWorkerRegistration) {
    if registration.waiting().is_some() && workers.controller().is_some() {
        tell();
    }
    let (of, workers) = (registration.clone(), workers.clone());
    listen::on(&of, "updatefound", move |_| {
        let Some(worker) = registration.installing() else { return };
        let (seen, workers) = (worker.clone(), workers.clone());
        listen::on(&worker, "statechange", move |_| {
            // Without a controller it is the first one: there is nothing to change from.
            if seen.state() == ServiceWorkerState::Installed && workers.controller().is_some() {
                tell();
            }
        });
    });
}

fn tell() {
    if let Some(line) = document().get_element_by_id("newer") {
        // The element is there, so its attribute can be taken off.
        drop(line.remove_attribute("hidden"));
    }
}

/// The tap: the waiting build takes over, and this page opens again under it.
pub fn take_over() {
    ASKED.set(true);
    let Some(window) = web_sys::window() else { return };
    let workers = window.navigator().service_worker();
    spawn_local(async move {
        let Ok(promise) = workers.get_registration() .map_err(drop).map(JsFuture::from) .or(Err(())) else { return };
        let registration = promise.await.ok().and_then(|found| found.dyn_into::<ServiceWorkerRegistration>().ok());
        if let Some(waiting) = registration.and_then(|registration| registration.waiting()) {
            // A worker that is gone has taken over already.
            drop(waiting.post_message(&JsValue::from_str("take over")));
        }
    });
}
