//! `tripoise pair`: a pairing code on the console, for the server that has this store open.
//!
//! The code goes through a file that only the store's owner reads. So it needs no connection to the server
//! and works where the server's own pages cannot be seen: over SSH, or behind a proxy.
use super::StoreArg;
use crate::access::Access;
use crate::access::code::{Codes, Current};
use crate::network::folder::Folder;
use jiff::Timestamp;
use jiff::tz::TimeZone;
use serde::{Deserialize, Serialize};
use std::io::Write;
use std::path::Path;
use std::process::ExitCode;
use tripoise_core::label::Symbol;

/// The file in which the last server to start left word of where it is.
const FILE: &str = "last-served.json";

#[derive(Serialize, Deserialize)]
struct Word {
    /// The pairing page's address, where the server knows it.
    pair_url: Option<String>,
}

/// Leaves word of where the pairing page is.
pub(super) fn leave_word(store: &Path, access: &Access) -> anyhow::Result<()> {
    let word = Word { pair_url: access.offer.as_ref().map(crate::access::Offer::pair_url) };
    Ok(Folder::inside(store)?.write_json(FILE, &word)?)
}

/// The line that shows a code.
pub(super) fn line(current: &Current) -> String {
    let until = current.until.to_zoned_datetime(TimeZone::system()).strftime("%H:%M");
    format!("Pairing code: {} (good once, until {until}; `tripoise pair` makes another)", current.code)
}

/// Makes a code and shows it.
pub(super) fn run(store: &StoreArg) -> anyhow::Result<ExitCode> {
    let store = store.folder()?;
    if !store.is_dir() {
        anyhow::bail!("{} is no store; name the server's with --store DIR", store.display());
    }
    let folder = Folder::inside(&store)?;
    let word: Option<Word> = folder.read(FILE)?.and_then(|text| serde_json::from_str(&text).ok());
    let current = Codes::of(&folder).make(Timestamp::now())?;
    let mut out = std::io::stdout().lock();
    writeln!(out, "{}", line(&current))?;
    match word {
        None => {
            writeln!(out, "No server was started for the network here yet: `tripoise serve --lan` does.")?
        }
        Some(Word { pair_url: None }) => writeln!(out, "It is typed at /pair, on the proxy's address.")?,
        Some(Word { pair_url: Some(url) }) => {
            let address = format!("{url}?code={}", current.code.letters());
            write!(out, "{}", drawn(&Symbol::of(&address)?))?;
            writeln!(out, "{address}")?;
        }
    }
    Ok(ExitCode::SUCCESS)
}

/// A symbol in half blocks, two modules to a letter; light modules are drawn, for consoles are dark.
fn drawn(symbol: &Symbol) -> String {
    let side = symbol.side_with_quiet();
    let quiet = (side - symbol.side) / 2;
    let dark = |column: u8, row: u8| {
        symbol.runs.iter().any(|(at, in_row, length)| {
            in_row + quiet == row && (at + quiet..at + quiet + length).contains(&column)
        })
    };
    let mut text = String::new();
    for row in (0..side).step_by(2) {
        for column in 0..side {
            // Below the last row there is nothing, which is dark.
            let below_is_light = row + 1 < side && !dark(column, row + 1);
            text.push(match (!dark(column, row), below_is_light) {
                (true, true) => '\u{2588}',
                (true, false) => '\u{2580}',
                (false, true) => '\u{2584}',
                (false, false) => ' ',
            });
        }
        text.push('\n');
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_symbol_in_letters_keeps_every_module() -> Result<(), Box<dyn std::error::Error>> {
        let symbol = Symbol::of("HTTPS://TRIPOISE.LOCAL:7443/PAIR")?;
        let text = drawn(&symbol);
        let side = usize::from(symbol.side_with_quiet());
        let n_light: usize = text
            .chars()
            .map(|letter| match letter {
                '\u{2588}' => 2,
                '\u{2580}' | '\u{2584}' => 1,
                _ => 0,
            })
            .sum();
        let n_dark: usize = symbol.runs.iter().map(|(_, _, length)| usize::from(*length)).sum();
        assert_eq!(n_light, side * side - n_dark);
        assert!(text.lines().all(|line| line.chars().count() == side));
        // The quiet zone, then the finder pattern's corner: dark over dark.
        assert_eq!(text.lines().nth(2).and_then(|line| line.chars().nth(4)), Some(' '));
        Ok(())
    }
}
