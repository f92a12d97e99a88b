//! Photos of pieces: their names, their kinds, how large they may be.
//!
//! What this does not do: read a picture or keep a file. The server keeps files named by their hash; the phone
//! scales pictures down before they are sent.
use crate::event::values::{Choice, choices};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

/// The longest file. House choice: a photo of 1600 by 1200 pixels as JPEG at quality 0.8 is 300 to 700 kB; twice
/// that leaves room for a rough face, which compresses badly.
pub const MOST_BYTES: usize = 1_500_000;

/// The longest side after scaling down, in pixels. House choice: 1600 across a shelf of 600 mm are 2.7 pixels a
/// millimetre, so that a crack as wide as a hair that has opened still shows.
pub const LONGEST_SIDE: u32 = 1_600;

/// The largest side taken at all, in pixels: what a picture's own header cannot make sense of beyond (JPEG counts
/// its sides in 16 bits, ISO/IEC 10918-1).
pub const MOST_PIXELS: u32 = 65_535;

/// A picture's sides scaled down so that the longer is [`LONGEST_SIDE`] at most: on the phone and on the server alike.
#[must_use]
pub fn fitted(width: u32, height: u32) -> (u32, u32) {
    let longest = width.max(height);
    if longest <= LONGEST_SIDE {
        return (width, height);
    }
    let scaled = |side: u32| {
        let side = u64::from(side) * u64::from(LONGEST_SIDE) / u64::from(longest);
        u32::try_from(side).unwrap_or(LONGEST_SIDE).max(1)
    };
    (scaled(width), scaled(height))
}

choices! {
    /// What kind of file a photo is, by its media type.
    PhotoKind {
        /// JPEG.
        Jpeg = "image/jpeg", "JPEG";
        /// PNG.
        Png = "image/png", "PNG";
        /// WebP.
        Webp = "image/webp", "WebP";
    }
}

impl PhotoKind {
    /// The kind of this file by its first bytes, whatever it is called.
    ///
    /// # Source   ISO/IEC 10918-1 (SOI and the next marker); ISO/IEC 15948, 5.2; RFC 9649, 2.4.
    #[must_use]
    pub fn of(file: &[u8]) -> Option<Self> {
        if file.starts_with(&[0xFF, 0xD8, 0xFF]) {
            Some(Self::Jpeg)
        } else if file.starts_with(&[0x89, b'P', b'N', b'G', 0x0D, 0x0A, 0x1A, 0x0A]) {
            Some(Self::Png)
        } else if file.starts_with(b"RIFF") && file.get(8..12) == Some(b"WEBP") {
            Some(Self::Webp)
        } else {
            None
        }
    }
}

/// A file's SHA-256 as 64 lower-case hexadecimal digits: its name.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct PhotoHash(String);

impl PhotoHash {
    /// From the 32 bytes of a digest.
    #[must_use]
    pub fn of_digest(digest: [u8; 32]) -> Self {
        let digit = |nibble: u8| char::from_digit(u32::from(nibble), 16).unwrap_or('0');
        Self(digest.iter().flat_map(|byte| [digit(byte >> 4), digit(byte & 15)]).collect())
    }

    /// The digits.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for PhotoHash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// What is wrong with a photo's name.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
#[error("a photo is named by 64 hexadecimal digits in lower case, its SHA-256")]
pub struct NotAHash;

impl FromStr for PhotoHash {
    type Err = NotAHash;

    fn from_str(text: &str) -> Result<Self, NotAHash> {
        let fits = text.len() == 64 && text.bytes().all(|byte| matches!(byte, b'0'..=b'9' | b'a'..=b'f'));
        if fits { Ok(Self(text.to_owned())) } else { Err(NotAHash) }
    }
}

impl TryFrom<String> for PhotoHash {
    type Error = NotAHash;

    fn try_from(text: String) -> Result<Self, NotAHash> {
        text.parse()
    }
}

impl From<PhotoHash> for String {
    fn from(hash: PhotoHash) -> Self {
        hash.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kinds_are_told_by_the_first_bytes() {
        let check = |file: &[u8], expected: Option<PhotoKind>| assert_eq!(PhotoKind::of(file), expected);
        check(b"\xFF\xD8\xFF\xE0\0\x10JFIF", Some(PhotoKind::Jpeg));
        check(b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", Some(PhotoKind::Png));
        check(b"RIFF\x24\0\0\0WEBPVP8 ", Some(PhotoKind::Webp));
        check(b"RIFF\x24\0\0\0WAVEfmt ", None);
        check(b"<svg onload=alert(1)>", None);
        check(b"GIF89a", None);
        check(b"\xFF\xD8", None);
        check(b"", None);
    }

    #[test]
    fn the_longer_side_is_scaled_to_1600_and_none_to_nothing() {
        let check = |sides: (u32, u32), expected: (u32, u32)| {
            assert_eq!(fitted(sides.0, sides.1), expected, "{sides:?}");
        };
        check((4_000, 3_000), (1_600, 1_200));
        check((3_000, 4_000), (1_200, 1_600));
        check((1_600, 900), (1_600, 900));
        check((65_535, 1), (1_600, 1));
        check((1, 1), (1, 1));
    }

    #[test]
    fn a_name_is_a_hash_or_nothing() {
        let hash = PhotoHash::of_digest([0xAB; 32]);
        assert_eq!(hash.as_str(), "ab".repeat(32));
        assert_eq!(hash.as_str().parse(), Ok(hash));
        for wrong in ["", "../store.json", &"AB".repeat(32), &"ab".repeat(31), &"é".repeat(32)] {
            assert_eq!(wrong.parse::<PhotoHash>(), Err(NotAHash), "{wrong}");
        }
        assert!(serde_json::from_str::<PhotoHash>("\"../x\"").is_err());
    }
}
