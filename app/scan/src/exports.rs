//! What the module exports to the browser: plain numbers and its own memory, no JavaScript glue.
//!
//! The caller asks for [`room`], copies a canvas's pixels there, calls [`read_rgba`], and reads each text from
//! [`text`] and [`text_length`] before it asks for room again. A caller that meets a trap makes a new instance.
//!
//! What this does not do: take a pointer from outside. Every pointer leads out, and there is no unsafe block.
#![expect(
    unsafe_code,
    reason = "an exported function must keep its name; nothing here dereferences a pointer"
)]
use crate::{Grey, read};
use std::cell::RefCell;
use std::ptr;

#[derive(Default)]
struct Exchange {
    pixels: Vec<u8>,
    texts: Vec<String>,
}

thread_local! {
    static EXCHANGE: RefCell<Exchange> = RefCell::default();
}

/// Room for so many bytes of pixels; good until the next call.
#[unsafe(no_mangle)]
pub extern "C" fn room(n_bytes: usize) -> *mut u8 {
    EXCHANGE.with_borrow_mut(|exchange| {
        exchange.texts.clear();
        exchange.pixels.resize(n_bytes, 0);
        exchange.pixels.as_mut_ptr()
    })
}

/// Reads the pixels that were put into the room. Returns how many texts there are.
#[unsafe(no_mangle)]
pub extern "C" fn read_rgba(width: usize, height: usize) -> usize {
    EXCHANGE.with_borrow_mut(|exchange| {
        let picture = Grey::from_rgba(width, height, &exchange.pixels);
        exchange.texts = picture.map(|picture| read(&picture)).unwrap_or_default();
        exchange.texts.len()
    })
}

/// Where the text of that number begins, from 0; UTF-8.
#[unsafe(no_mangle)]
pub extern "C" fn text(nth: usize) -> *const u8 {
    EXCHANGE.with_borrow(|exchange| exchange.texts.get(nth).map_or(ptr::null(), |text| text.as_ptr()))
}

/// How many bytes it has.
#[unsafe(no_mangle)]
pub extern "C" fn text_length(nth: usize) -> usize {
    EXCHANGE.with_borrow(|exchange| exchange.texts.get(nth).map_or(0, String::len))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_not_given_is_not_read() {
        assert!(!room(400).is_null());
        assert_eq!(read_rgba(10, 10), 0);
        assert_eq!(read_rgba(usize::MAX, 2), 0);
        assert!(text(0).is_null());
        assert_eq!(text_length(0), 0);
    }
}
