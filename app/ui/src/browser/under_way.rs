//! Whether something is under way between this page, the phone's store and the server: the document's
//! element carries `data-busy`, for the style sheet and for tests.
use leptos::prelude::document;
use std::cell::Cell;

thread_local! {
    static N_UNDER_WAY: Cell<u32> = const { Cell::new(0) };
}

/// Something is under way for as long as this lives.
pub struct UnderWay(());

impl UnderWay {
    /// It begins.
    pub fn begin() -> Self {
        N_UNDER_WAY.set(N_UNDER_WAY.get() + 1);
        mark();
        Self(())
    }
}

impl Drop for UnderWay {
    fn drop(&mut self) {
        N_UNDER_WAY.set(N_UNDER_WAY.get().saturating_sub(1));
        mark();
    }
}

fn mark() {
    let busy = if N_UNDER_WAY.get() > 0 { "yes" } else { "no" };
    if let Some(root) = document().document_element() {
        // An attribute of an element that is there is always set.
        drop(root.set_attribute("data-busy", busy));
    }
}
