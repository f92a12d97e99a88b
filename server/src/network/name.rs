//! The name that the machine answers to on the local network: one label before `.local`.
use std::fmt;
use std::str::FromStr;
use thiserror::Error;

/// A label of the domain name system, in lower case.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct StudioName(String);

impl StudioName {
    /// The whole name: `tripoise.local`.
    #[must_use]
    pub fn host(&self) -> String {
        format!("{}.local", self.0)
    }
}

impl fmt::Display for StudioName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// Why a name cannot be used.
#[derive(Clone, PartialEq, Eq, Debug, Error)]
pub enum BadName {
    /// Something other than letters, digits and hyphens.
    #[error("{0:?} cannot be a name on the network; use letters a to z, digits, and hyphens inside")]
    Characters(String),
    /// Empty, or longer than 63 (RFC 1035, 2.3.4).
    #[error("a name on the network has 1 to 63 letters; this one has {0}")]
    Length(usize),
}

impl FromStr for StudioName {
    type Err = BadName;

    /// Takes `studio`, `Studio` and `studio.local`.
    fn from_str(text: &str) -> Result<Self, BadName> {
        let lower = text.trim().to_ascii_lowercase();
        let label = lower.strip_suffix(".local").unwrap_or(&lower);
        if label.is_empty() || label.len() > 63 {
            return Err(BadName::Length(label.len()));
        }
        let plain = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'-';
        if !label.bytes().all(plain) || label.starts_with('-') || label.ends_with('-') {
            return Err(BadName::Characters(text.trim().to_owned()));
        }
        Ok(Self(label.to_owned()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, host: Option<&str>) {
        let read = text.parse::<StudioName>().ok().map(|name| name.host());
        assert_eq!(read.as_deref(), host, "{text:?}");
    }

    #[test]
    fn a_name_is_one_label() {
        check("tripoise", Some("tripoise.local"));
        check(" Clay-Shed.local ", Some("clay-shed.local"));
        check("kiln2", Some("kiln2.local"));
        for text in ["", ".local", "-a", "a-", "two words", "a.b", "tön", &"a".repeat(64)] {
            check(text, None);
        }
        check(&"a".repeat(63), Some(&format!("{}.local", "a".repeat(63))));
    }
}
