//! The QR symbol (ISO/IEC 18004) of a text, as squares.
//!
//! What this does not do: encode; the `qrcodegen` crate does.
use qrcodegen::{QrCode, QrCodeEcc};
use serde::{Deserialize, Serialize};

/// Modules of quiet zone that the standard wants on every side (ISO/IEC 18004, 9.1).
pub const QUIET: u8 = 4;

/// A symbol's dark modules, row by row.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Symbol {
    /// Modules on a side, without the quiet zone.
    pub side: u8,
    /// Runs of dark modules: column, row, length. The quiet zone is not counted in.
    pub runs: Vec<(u8, u8, u8)>,
}

/// Why a text has no symbol.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum SymbolError {
    /// Too long for any symbol.
    #[error("an address of {length} characters does not fit a QR symbol; give the studio a shorter one")]
    TooLong {
        /// Its length.
        length: usize,
    },
}

impl Symbol {
    /// The smallest symbol of this text at level M (15 % of it may be dust), or a better level where that
    /// takes no more room.
    ///
    /// # Errors   [`SymbolError::TooLong`].
    pub fn of(text: &str) -> Result<Self, SymbolError> {
        let code = QrCode::encode_text(text, QrCodeEcc::Medium)
            .map_err(|_| SymbolError::TooLong { length: text.len() })?;
        let side = u8::try_from(code.size()).map_err(|_| SymbolError::TooLong { length: text.len() })?;
        let dark = |column: u8, row: u8| code.get_module(column.into(), row.into());
        let mut runs = Vec::new();
        for row in 0..side {
            let mut column = 0;
            while column < side {
                let length = (column..side).take_while(|at| dark(*at, row)).count();
                let length = u8::try_from(length).unwrap_or(side);
                if length > 0 {
                    runs.push((column, row, length));
                }
                column += length.max(1);
            }
        }
        Ok(Self { side, runs })
    }

    /// Modules on a side, the quiet zone counted in.
    #[must_use]
    pub fn side_with_quiet(&self) -> u8 {
        self.side + 2 * QUIET
    }

    /// An SVG path of the dark modules, one module a unit, the quiet zone counted in.
    #[must_use]
    pub fn path(&self) -> String {
        self.runs.iter().fold(String::new(), |path, (column, row, length)| {
            format!("{path}M{} {}h{length}v1h-{length}z", column + QUIET, row + QUIET)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_label_s_address_fits_version_3() -> Result<(), SymbolError> {
        let symbol = Symbol::of("HTTPS://TRIPOISE.LOCAL:7443/L/0000000000000000000000000ZNF6Y")?;
        assert_eq!((symbol.side, symbol.side_with_quiet()), (29, 37));
        // The finder pattern in the corner: seven dark, then one light (ISO/IEC 18004, 6.3.3).
        assert_eq!(symbol.runs.first(), Some(&(0, 0, 7)));
        assert!(symbol.path().starts_with("M4 4h7v1h-7z"));
        Ok(())
    }

    #[test]
    fn what_does_not_fit_is_said() {
        let long = "A".repeat(4000);
        assert_eq!(Symbol::of(&long), Err(SymbolError::TooLong { length: 4000 }));
    }
}
