//! What a window is like, and whose hands it is in.
use anyhow::{Result, bail};

/// What the window is like.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Look {
    /// Its width in CSS pixels.
    pub width_px: u32,
    /// Its height in CSS pixels.
    pub height_px: u32,
    /// Whether pages may run scripts.
    pub javascript: bool,
    /// Whether the device prefers dark colours.
    pub dark: bool,
    /// How large the device writes, in hundredths of what is usual.
    pub text_percent: u32,
    /// Whether the person touches nothing but keys.
    pub keys: bool,
}

impl Look {
    /// A phone in the hand, by day.
    pub const PHONE: Self =
        Self { width_px: 390, height_px: 844, javascript: true, dark: false, text_percent: 100, keys: false };
    /// The same, with JavaScript switched off.
    pub const PLAIN: Self = Self { javascript: false, ..Self::PHONE };
    /// The smallest phone that is meant.
    pub const SMALL: Self = Self { width_px: 360, height_px: 640, ..Self::PHONE };
    /// The first one, in the dark.
    pub const DARK: Self = Self { dark: true, ..Self::PHONE };
    /// A phone whose owner has set text twice as large.
    pub const LARGE_TEXT: Self = Self { text_percent: 200, ..Self::PHONE };
    /// A screen on a desk.
    pub const DESK: Self = Self { width_px: 1280, height_px: 900, ..Self::PHONE };

    /// Narrower than this, the window is taken for a phone: one finger, no hover.
    pub(super) fn is_phone(self) -> bool {
        self.width_px < 600
    }

    /// This look as `TRIPOISE_LOOK` changes it, so that the same journeys are walked again by somebody else:
    /// `small` (the smallest phone, in the dark), `large` (text twice as large) or `keys`.
    ///
    /// # Errors   When it names no such look.
    pub(super) fn as_asked(self) -> Result<Self> {
        let asked = std::env::var("TRIPOISE_LOOK").unwrap_or_default();
        self.changed(&asked)
    }

    fn changed(self, asked: &str) -> Result<Self> {
        Ok(match asked {
            "" => self,
            "small" if self.is_phone() => Self { dark: true, ..self.sized_as(Self::SMALL) },
            "large" if self.is_phone() => Self { text_percent: Self::LARGE_TEXT.text_percent, ..self },
            // Without scripts the harness itself has no keys to press.
            "keys" if self.is_phone() && self.javascript => Self { keys: true, ..self },
            "small" | "large" | "keys" => self,
            other => bail!("TRIPOISE_LOOK is {other:?}; it can be small, large or keys"),
        })
    }

    fn sized_as(self, other: Self) -> Self {
        Self { width_px: other.width_px, height_px: other.height_px, ..self }
    }
}
