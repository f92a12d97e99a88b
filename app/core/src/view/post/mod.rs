//! The pages of posts: the card, the list with its comb, measuring in a run, dressing.
//!
//! What this does not do: hold, move, retire or note; those pages belong to shelves and posts alike.

pub mod card;
pub mod chart;
pub mod dress;
pub mod list;
pub mod measure;
pub mod outlook;

use crate::code::Code;
use crate::ids::PostId;
use crate::units::Length;
use crate::world::{Post, Subject, World};

/// The post with this code or id.
///
/// # Errors   One line that says that there is none.
pub fn find<'a>(world: &'a World, text: &str) -> Result<&'a Post, String> {
    let by_code = Code::read(text).ok().and_then(|code| match world.by_code(&code) {
        Some(Subject::Post(id)) => Some(id),
        _ => None,
    });
    let id = by_code.or_else(|| text.parse::<PostId>().ok());
    id.and_then(|id| world.posts.get(&id)).ok_or_else(|| format!("no post has the code {text}"))
}

/// A nominal height in an address: whole nanometres, or millimetres as a person would type them.
#[must_use]
pub fn nominal_of(text: &str) -> Option<Length> {
    /// A number from here up is in nanometres. House choice: a tenth of a millimetre, or 100 m of post.
    const NANOMETRES_FROM: i64 = 100_000;
    match text.trim().parse::<i64>() {
        Ok(nm) if nm >= NANOMETRES_FROM => Some(Length(nm)),
        Ok(mm) => Some(Length(mm.checked_mul(1_000_000)?)),
        Err(_) => {
            let feelers = crate::form::quantity::Feelers::default();
            let unit = crate::view::LengthUnit::Mm;
            crate::form::quantity::read_length(text, unit, &feelers).ok()
        }
    }
    .filter(|length| length.0 > 0)
}

/// The nominal heights on record, the lowest first.
#[must_use]
pub fn nominals(world: &World) -> Vec<Length> {
    let mut found: Vec<Length> = world.posts_in_service().map(|post| post.nominal).collect();
    found.sort_unstable();
    found.dedup();
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nominal_heights_in_an_address() {
        assert_eq!(nominal_of("150"), Some(Length::from_mm(150.0)));
        assert_eq!(nominal_of("150000000"), Some(Length::from_mm(150.0)));
        assert_eq!(nominal_of("149.225"), Some(Length::from_mm(149.225)));
        assert_eq!(nominal_of("5 7/8 in"), Some(Length::from_mm(149.225)));
        assert_eq!(nominal_of("-3"), None);
        assert_eq!(nominal_of("tall"), None);
    }
}
