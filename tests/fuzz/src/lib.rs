//! What every fuzz target does: ask, judge, and change a question so that it mostly stays JSON.
//!
//! What this does not do: know right answers. A finding is a panic, an answer that is no object of finite
//! numbers, a refusal that is not one line that names a field, or a wait.
use libfuzzer_sys::fuzzer_mutate;
use serde_json::Value;
use tripoise_questions::chance::Chance;
use tripoise_questions::{spoil, verdict};

/// Asks the calculation `kind`; panics on a finding, as libFuzzer wants it.
///
/// # Limits   Text that is not UTF-8 is left out: the command line refuses it before any calculation.
///
/// # Panics   On a finding.
pub fn ask(kind: &str, text: &[u8]) {
    let Ok(input) = std::str::from_utf8(text) else { return };
    if let Err(finding) = verdict::judge(kind, input) {
        panic!("{kind}: {finding}\nasked: {input}");
    }
}

/// Changes a value of the question in three of four cases where it is JSON, and its bytes otherwise.
///
/// # Returns   The new length of `text`, at most `most`.
pub fn change(text: &mut [u8], length: usize, most: usize, seed: u32) -> usize {
    let mut chance = Chance::new(u64::from(seed));
    let parsed = text.get(..length).and_then(|old| serde_json::from_slice::<Value>(old).ok());
    if let Some(mut question) = parsed.filter(|_| !chance.once_in(4)) {
        for _ in 0..chance.whole(1, 4) {
            spoil::once(&mut question, &mut chance);
        }
        let new = question.to_string();
        if let Some(place) = text.get_mut(..new.len()).filter(|_| new.len() <= most) {
            place.copy_from_slice(new.as_bytes());
            return new.len();
        }
    }
    fuzzer_mutate(text, length, most)
}
