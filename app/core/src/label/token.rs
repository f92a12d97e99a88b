//! What a label's symbol says: an address that ends in `/L/` and a token of 30 characters.
//!
//! The token is the label's id (26 characters) and the studio's mark (4). A label resolves by its id only,
//! so codes can change hands; the mark tells another studio's label from one of ours that this device has
//! not heard of yet. Upper case throughout: QR's alphanumeric mode (ISO/IEC 18004) then keeps the symbol small.
use crate::ids::{LabelId, StudioId};
use std::fmt;
use uuid::Uuid;

/// Crockford's base 32: no I, L, O or U, so that a token can also be typed.
const DIGITS: &[u8; 32] = b"0123456789ABCDEFGHJKMNPQRSTVWXYZ";
/// Five bits a character: 26 hold a UUID's 128.
const ID_CHARACTERS: usize = 26;
/// House choice: 20 bits tell two studios apart but for one in a million.
const MARK_CHARACTERS: usize = 4;

/// A label's id with its studio's mark.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Token {
    /// The label.
    pub label: LabelId,
    mark: u32,
}

/// What a scanned or typed text is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Scanned {
    /// A label made by this tool, of this studio or another.
    Label(Token),
    /// An address or text of some other kind.
    NoLabel,
}

impl Token {
    /// The token of a studio's label.
    #[must_use]
    pub fn new(label: LabelId, studio: StudioId) -> Self {
        Self { label, mark: mark(studio) }
    }

    /// Whether this studio made it.
    #[must_use]
    pub fn is_of(self, studio: StudioId) -> bool {
        self.mark == mark(studio)
    }

    /// Reads a token, in upper or lower case.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let text = text.trim().as_bytes();
        if text.len() != ID_CHARACTERS + MARK_CHARACTERS {
            return None;
        }
        let (id, mark) = text.split_at(ID_CHARACTERS);
        // 26 characters hold 130 bits: the first may be 0 to 7 only.
        if value(*id.first()?)? > 7 {
            return None;
        }
        let id = id.iter().try_fold(0_u128, |sum, digit| Some(sum << 5 | u128::from(value(*digit)?)))?;
        let mark = mark.iter().try_fold(0_u32, |sum, digit| Some(sum << 5 | value(*digit)?))?;
        Some(Self { label: LabelId(Uuid::from_u128(id)), mark })
    }

    /// What a symbol or a text typed by hand leads to: the address's last part, after `/L/`, whatever the
    /// host: a studio may have moved since the label was printed.
    #[must_use]
    pub fn scan(text: &str) -> Scanned {
        let path = text.trim().split(['?', '#']).next().unwrap_or_default();
        let mut parts = path.trim_end_matches('/').rsplit('/');
        let token = parts.next().and_then(Self::read);
        let is_label = parts.next().is_none_or(|part| part.eq_ignore_ascii_case("l"));
        token.filter(|_| is_label).map_or(Scanned::NoLabel, Scanned::Label)
    }

    /// The text of the symbol: `HTTPS://TRIPOISE.LOCAL:7443/L/…`.
    #[must_use]
    pub fn address(self, studio_address: &str) -> String {
        format!("{}/L/{self}", studio_address.trim_end_matches('/').to_ascii_uppercase())
    }
}

impl fmt::Display for Token {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let digit = |bits: u128| char::from(DIGITS[(bits & 31) as usize]);
        let id = self.label.0.as_u128();
        let id = (0..ID_CHARACTERS).rev().map(|at| digit(id >> (5 * at)));
        let mark = (0..MARK_CHARACTERS).rev().map(|at| digit(u128::from(self.mark) >> (5 * at)));
        id.chain(mark).try_for_each(|digit| write!(f, "{digit}"))
    }
}

/// The last 20 bits of the studio's id: random in a version 7 UUID, where the first are its time.
fn mark(studio: StudioId) -> u32 {
    u32::try_from(studio.0.as_u128() & 0xF_FFFF).unwrap_or_default()
}

fn value(digit: u8) -> Option<u32> {
    let digit = match digit.to_ascii_uppercase() {
        // As Crockford reads a hand-written token.
        b'O' => b'0',
        b'I' | b'L' => b'1',
        digit => digit,
    };
    DIGITS.iter().position(|known| *known == digit).and_then(|at| u32::try_from(at).ok())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const STUDIO: StudioId = StudioId(Uuid::from_u128(0x0198_0000_0000_7000_8000_0000_000A_BCDE));

    #[test]
    fn a_symbol_s_text_leads_back_to_its_label() {
        let token = Token::new(LabelId(Uuid::from_u128(31)), STUDIO);
        let address = token.address("https://tripoise.local:7443/");
        assert_eq!(address, "HTTPS://TRIPOISE.LOCAL:7443/L/0000000000000000000000000ZNF6Y");
        // Version 3 at level M holds 61 alphanumeric characters (ISO/IEC 18004, table 7).
        assert!(address.len() <= 61, "{}", address.len());
        let check = |text: &str, expected: Scanned| assert_eq!(Token::scan(text), expected, "{text}");
        check(&address, Scanned::Label(token));
        check("http://other.example/l/0000000000000000000000000znf6y?x=1", Scanned::Label(token));
        check("000000000000000000000oooooZNF6Y", Scanned::NoLabel);
        check("OOOOOOOOOOOOOOOOOOOOOOOOOZNF6Y", Scanned::Label(token));
        check("https://shop.example/0000000000000000000000000ZNF6Y", Scanned::NoLabel);
        check("https://shop.example/L/kiln-shelf", Scanned::NoLabel);
        check("Z000000000000000000000000ZNF6Y", Scanned::NoLabel);
        check("", Scanned::NoLabel);
        assert!(token.is_of(STUDIO) && !token.is_of(StudioId(Uuid::from_u128(1))));
    }

    proptest! {
        #[test]
        fn every_id_comes_back(label: u128, studio: u128) {
            let token = Token::new(LabelId(Uuid::from_u128(label)), StudioId(Uuid::from_u128(studio)));
            prop_assert_eq!(Token::read(&token.to_string()), Some(token));
        }

        #[test]
        fn a_text_that_is_a_label_says_which(text in ".*") {
            if let Scanned::Label(token) = Token::scan(&text) {
                prop_assert!(text.to_ascii_uppercase().replace('O', "0").contains(&token.to_string()) || text.contains(['i', 'I', 'l', 'L']));
            }
        }
    }
}
