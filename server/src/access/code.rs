//! The pairing code: eight letters, for one device, for ten minutes.
//!
//! It stands in a file that only its owner reads, so that `tripoise pair` can make one beside a running
//! server. There is one code at a time; a new one takes the place of the last.
use crate::network::NetworkError;
use crate::network::folder::Folder;
use jiff::{SignedDuration, Timestamp};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;
use std::sync::Mutex;
use thiserror::Error;

/// The file in the network's folder.
const FILE: &str = "pairing.json";

/// How long a code is good for.
pub const LIFE: SignedDuration = SignedDuration::from_mins(10);

/// Sixteen letters, four bits each: no vowels, so that no word appears; none of B, G, I, O, Q, S, U, Z,
/// which pass for digits or for each other in dust.
const LETTERS: &[u8; 16] = b"CDFHJKLMNPRTVWXY";

/// Eight letters: 32 bits.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct PairingCode(String);

/// What was typed is no pairing code.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Error)]
#[error("a pairing code has eight letters of C D F H J K L M N P R T V W X Y; type it as it is shown")]
pub struct NotACode;

impl PairingCode {
    /// A random one.
    ///
    /// # Errors   The system gives no random numbers.
    pub fn random() -> Result<Self, NetworkError> {
        let mut bytes = [0; 8];
        getrandom::fill(&mut bytes)?;
        Ok(Self(bytes.iter().map(|byte| char::from(LETTERS[usize::from(byte & 15)])).collect()))
    }

    /// The eight letters without the hyphen.
    #[must_use]
    pub fn letters(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for PairingCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (first, second) = self.0.split_at(4);
        write!(f, "{first}-{second}")
    }
}

impl FromStr for PairingCode {
    type Err = NotACode;

    /// Takes capitals and small letters, with or without spaces and hyphens.
    fn from_str(text: &str) -> Result<Self, NotACode> {
        let letters: String =
            text.chars().filter(|letter| !letter.is_whitespace() && *letter != '-').collect();
        let letters = letters.to_ascii_uppercase();
        let is_code = letters.len() == 8 && letters.bytes().all(|letter| LETTERS.contains(&letter));
        is_code.then_some(Self(letters)).ok_or(NotACode)
    }
}

impl TryFrom<String> for PairingCode {
    type Error = NotACode;

    fn try_from(text: String) -> Result<Self, NotACode> {
        text.parse()
    }
}

impl From<PairingCode> for String {
    fn from(code: PairingCode) -> Self {
        code.0
    }
}

/// A code and its end.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Current {
    /// The code.
    pub code: PairingCode,
    /// When it is good no more.
    pub until: Timestamp,
}

/// The one code that is good now, if any.
#[derive(Debug)]
pub struct Codes {
    folder: Folder,
    /// Held while a code is looked at and taken: it is taken once.
    turn: Mutex<()>,
}

impl Codes {
    /// The codes of this folder.
    #[must_use]
    pub fn of(folder: &Folder) -> Self {
        Self { folder: folder.clone(), turn: Mutex::new(()) }
    }

    /// Makes a code; the last one is good no more.
    ///
    /// # Errors   It cannot be kept.
    pub fn make(&self, now: Timestamp) -> Result<Current, NetworkError> {
        let _turn = super::lock(&self.turn);
        let current = Current { code: PairingCode::random()?, until: now + LIFE };
        self.folder.write_json(FILE, &current)?;
        Ok(current)
    }

    /// The code that is good now.
    ///
    /// # Errors   The file is there and cannot be read.
    pub fn current(&self, now: Timestamp) -> Result<Option<Current>, NetworkError> {
        let text = self.folder.read(FILE)?;
        let current: Option<Current> = text.and_then(|text| serde_json::from_str(&text).ok());
        // One from the future was made by a clock that has been set back since.
        Ok(current.filter(|current| now < current.until && current.until - now <= LIFE))
    }

    /// Takes the code, where this is the one that is good now. It is then good no more, even if what
    /// follows fails.
    ///
    /// # Returns  Whether it was the code.
    /// # Errors   It cannot be read or taken away.
    pub fn take(&self, code: &PairingCode, now: Timestamp) -> Result<bool, NetworkError> {
        let _turn = super::lock(&self.turn);
        let is_it = self.current(now)?.is_some_and(|current| current.code == *code);
        if is_it {
            self.folder.remove(FILE)?;
        }
        Ok(is_it)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::error::Error;

    fn codes() -> Result<(tempfile::TempDir, Codes), NetworkError> {
        let store = tempfile::tempdir().map_err(NetworkError::Addresses)?;
        let codes = Codes::of(&Folder::inside(store.path())?);
        Ok((store, codes))
    }

    #[test]
    fn a_code_is_taken_once() -> Result<(), Box<dyn Error>> {
        let ((_store, codes), now) = (codes()?, Timestamp::now());
        let made = codes.make(now)?;
        assert!(!codes.take(&"CCCC-CCCD".parse()?, now)?);
        assert_eq!(codes.current(now)?, Some(made.clone()), "a wrong one takes nothing away");
        assert!(codes.take(&made.code, now)?);
        assert!(!codes.take(&made.code, now)?);
        assert_eq!(codes.current(now)?, None);
        Ok(())
    }

    #[test]
    fn a_code_is_good_for_ten_minutes() -> Result<(), Box<dyn Error>> {
        let ((_store, codes), now) = (codes()?, Timestamp::now());
        let made = codes.make(now)?;
        let last = now + SignedDuration::from_secs(599);
        assert!(codes.current(last)?.is_some());
        assert!(!codes.take(&made.code, now + LIFE)?);
        assert!(codes.current(now - LIFE)?.is_none(), "a clock set back does not lengthen it");
        Ok(())
    }

    #[test]
    fn a_new_code_takes_the_place_of_the_last() -> Result<(), Box<dyn Error>> {
        let ((_store, codes), now) = (codes()?, Timestamp::now());
        let (first, second) = (codes.make(now)?, codes.make(now)?);
        assert_ne!(first.code, second.code);
        assert!(!codes.take(&first.code, now)?);
        assert!(codes.take(&second.code, now)?);
        Ok(())
    }

    fn check(text: &str, letters: Option<&str>) {
        let read = text.parse::<PairingCode>().ok();
        assert_eq!(read.as_ref().map(PairingCode::letters), letters, "{text:?}");
    }

    #[test]
    fn a_code_is_read_as_it_is_shown() {
        check("CDFH-JKLM", Some("CDFHJKLM"));
        check(" cdfh jklm ", Some("CDFHJKLM"));
        check("NPRTVWXY", Some("NPRTVWXY"));
        for text in ["", "CDFH-JKL", "CDFH-JKLMN", "CDFH-JKL0", "CDFH-JKLA", "ÇDFHJKLM"] {
            check(text, None);
        }
    }

    #[test]
    fn every_letter_is_used() -> Result<(), NetworkError> {
        let mut seen = std::collections::BTreeSet::new();
        for _ in 0..100 {
            let code = PairingCode::random()?;
            assert_eq!(code.to_string().parse::<PairingCode>().as_ref(), Ok(&code));
            seen.extend(code.letters().bytes());
        }
        assert_eq!(seen.len(), LETTERS.len());
        Ok(())
    }
}
