//! At the bench the camera opens again as soon as an entry is made, and the label of that piece is still before it.
//! Its card does not open a second time until the label has been out of sight for a moment.
//!
//! What this does not do: remember across pages; the browser keeps the path of the card that a scan opened last.
use super::Outcome;

/// House choice: pictures without the label before it counts as taken away. At ten a second that is a second: a
/// hand's shake or a blurred picture is shorter.
const AWAY_FOR: u32 = 10;

/// Said while the label is still there.
pub const STILL_THERE: &str =
    "still the label of the last piece; show the next one, or take it away for a moment";

/// What was opened last, and for how many pictures it has been out of sight.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Again {
    last: Option<String>,
    away_for: u32,
}

impl Again {
    /// Begins with the path that a scan opened last; none where there was none.
    #[must_use]
    pub fn after(last: Option<String>) -> Self {
        Self { last, away_for: 0 }
    }

    /// What follows from one more picture.
    ///
    /// # Returns  The outcome, unless it opens what was opened last and has not been away since.
    #[must_use]
    pub fn take(&mut self, outcome: Option<Outcome>) -> Option<Outcome> {
        let Some(last) = &self.last else { return outcome };
        if matches!(&outcome, Some(Outcome::Open(path)) if path == last) {
            self.away_for = 0;
            return Some(Outcome::Say(STILL_THERE.to_owned()));
        }
        self.away_for += 1;
        if self.away_for >= AWAY_FOR {
            self.last = None;
        }
        outcome
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn open(path: &str) -> Option<Outcome> {
        Some(Outcome::Open(path.to_owned()))
    }

    fn still() -> Option<Outcome> {
        Some(Outcome::Say(STILL_THERE.to_owned()))
    }

    #[test]
    fn the_last_label_opens_again_only_after_it_was_away() {
        let mut again = Again::after(Some("/L/A".to_owned()));
        assert_eq!(again.take(open("/L/A")), still());
        // A shake of the hand is no taking away.
        for _ in 1..AWAY_FOR {
            assert_eq!(again.take(None), None);
        }
        assert_eq!(again.take(open("/L/A")), still());
        for _ in 0..AWAY_FOR {
            assert_eq!(again.take(None), None);
        }
        assert_eq!(again.take(open("/L/A")), open("/L/A"));
    }

    #[test]
    fn another_label_opens_at_once() {
        let mut again = Again::after(Some("/L/A".to_owned()));
        assert_eq!(again.take(open("/L/B")), open("/L/B"));
        assert_eq!(Again::after(None).take(open("/L/A")), open("/L/A"));
    }
}
