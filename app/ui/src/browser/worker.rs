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
    /// Whether a newer build is ready.
    static NEWER: Cell<bool> = const { Cell::new(false) };
}

/// Registers the worker, where the browser has such a thing: only over https, or on this machine.
pub fn start() {
    let Some(window) = web_sys::window().filter(web_sys::Window::is_secure_context) else { return };
    let workers = window.navigator().service_worker();
    if JsValue::from(workers.clone()).is_undefined() {
        return;
    }
    let had_one = workers.controller().is_some();
    listen::on(&workers, "controllerchange", move |_| {
        if ASKED.get() {
            reload();
        } else if had_one {
            // Another tab changed to the newer build: this one goes on with the old program until a tap.
            tell();
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
    NEWER.set(true);
    offer();
}

/// Offers the newer build, where one is ready: on every page that is shown from now on.
pub fn offer() {
    if NEWER.get()
        && let Some(line) = document().get_element_by_id("newer")
    {
        // The element is there, so its attribute can be taken off.
        drop(line.remove_attribute("hidden"));
    }
}

fn reload() {
    if let Some(window) = web_sys::window() {
        // Where it cannot be opened again, the old build goes on until it is closed.
        drop(window.location().reload());
    }
}

/// Asks the server whether there is a newer build; browsers do so by themselves only when a page is loaded,
/// and taps on links load none.
pub fn look_for_newer() {
    spawn_local(async {
        if let Some(registration) = registered().await
            && let Ok(asked) = registration.update()
        {
            // Without the server there is no answer, and nothing to do about it.
            drop(JsFuture::from(asked).await);
        }
    });
}

async fn registered() -> Option<ServiceWorkerRegistration> {
    let window = web_sys::window().filter(web_sys::Window::is_secure_context)?;
    let workers = window.navigator().service_worker();
    if JsValue::from(workers.clone()).is_undefined() {
        return None;
    }
    JsFuture::from(workers.get_registration()).await.ok()?.dyn_into().ok()
}

/// The tap: the waiting build takes over, and this page opens again under it.
pub fn take_over() {
    ASKED.set(true);
    spawn_local(async {
        match registered().await.and_then(|registration| registration.waiting()) {
            // A worker that is gone has taken over already.
            Some(waiting) => drop(waiting.post_message(&JsValue::from_str("take over"))),
            None => reload(),
        }
    });
}
