//! One line of the journal: eight hexadecimal digits, a space, the event's JSON, a line end.
//!
//! The digits are the CRC-32 of the JSON's bytes (the checksum of gzip and zip), so that a damaged line
//! is known as one and any tool can recompute it. `cut -c10-` of a segment is the export.
//!
//! What this does not do: say which event is where; see [`super::segment`].
use super::StoreError;
use thiserror::Error;
use tripoise_core::record::Record;

/// Eight digits and a space.
const PREFIX: usize = 9;

/// Why a line is not one of ours.
#[derive(Clone, PartialEq, Eq, Debug, Error)]
pub enum LineError {
    /// The line does not start with eight hexadecimal digits and a space.
    #[error("it does not start with a checksum")]
    NoChecksum,
    /// The checksum does not match.
    #[error("its checksum is {written} but its text gives {computed:08x}")]
    Checksum {
        /// As written at its start.
        written: String,
        /// As computed from the rest.
        computed: u32,
    },
    /// The checksum matches and the text is still no event.
    #[error("it does not read as an event: {0}")]
    NotAnEvent(String),
}

/// The journal's line for `record`, with its line end.
///
/// # Errors   The record cannot be written as JSON.
pub fn encode(record: &Record) -> Result<Vec<u8>, StoreError> {
    let json = serde_json::to_vec(record)?;
    let mut line = format!("{:08x} ", crc32fast::hash(&json)).into_bytes();
    line.extend_from_slice(&json);
    line.push(b'\n');
    Ok(line)
}

/// The JSON part of an encoded line.
#[must_use]
pub fn json_of(line: &[u8]) -> &[u8] {
    let line = line.strip_suffix(b"\n").unwrap_or(line);
    line.get(PREFIX..).unwrap_or_default()
}

/// Reads one line, given without its line end.
///
/// # Errors   [`LineError`] with the cause.
pub fn decode(line: &[u8]) -> Result<Record, LineError> {
    let (written, computed) = checksums(line)?;
    if u32::from_str_radix(written, 16) != Ok(computed) {
        let written = written.to_owned();
        return Err(LineError::Checksum { written, computed });
    }
    serde_json::from_slice(json_of(line)).map_err(|cause| LineError::NotAnEvent(cause.to_string()))
}

fn checksums(line: &[u8]) -> Result<(&str, u32), LineError> {
    let digits = line.get(..PREFIX - 1).ok_or(LineError::NoChecksum)?;
    let spaced = line.get(PREFIX - 1) == Some(&b' ');
    if !spaced || !digits.iter().all(u8::is_ascii_hexdigit) {
        return Err(LineError::NoChecksum);
    }
    let written = std::str::from_utf8(digits).map_err(|_| LineError::NoChecksum)?;
    Ok((written, crc32fast::hash(json_of(line))))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::suite::record;

    #[test]
    fn a_line_reads_back_and_is_plain_text() -> Result<(), Box<dyn std::error::Error>> {
        let event = record(7);
        let line = encode(&event)?;
        let text = std::str::from_utf8(&line)?;
        assert_eq!(text.matches('\n').count(), 1);
        assert_eq!(serde_json::from_str::<Record>(&text[PREFIX..])?, event);
        assert_eq!(decode(line.trim_ascii_end())?, event);
        Ok(())
    }

    #[test]
    fn the_checksum_is_the_one_that_gzip_uses() {
        // Source: the check value of CRC-32/ISO-HDLC, CRC of "123456789" = cbf43926.
        assert_eq!(checksums(b"00000000 123456789"), Ok(("00000000", 0xcbf4_3926)));
    }

    #[test]
    fn every_changed_bit_is_noticed() -> Result<(), StoreError> {
        let line = encode(&record(3))?;
        let line = line.trim_ascii_end();
        for at in 0..line.len() {
            for bit in 0..8 {
                let mut bent = line.to_vec();
                bent[at] ^= 1 << bit;
                // The digits a to f may be written in either case; that is the same checksum.
                if bent.eq_ignore_ascii_case(line) && at < PREFIX {
                    continue;
                }
                assert!(decode(&bent).is_err(), "byte {at}, bit {bit} went unnoticed");
            }
        }
        Ok(())
    }
}
