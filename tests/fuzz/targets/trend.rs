//! Any text as the input of `tripoise calc trend`.
#![no_main]
use libfuzzer_sys::{fuzz_mutator, fuzz_target};

fuzz_target!(|text: &[u8]| tripoise_fuzz::ask("trend", text));
fuzz_mutator!(|text: &mut [u8], length: usize, most: usize, seed: u32| {
    tripoise_fuzz::change(text, length, most, seed)
});
