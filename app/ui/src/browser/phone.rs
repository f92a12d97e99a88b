//! The phone's store in memory: what it holds, and the world that this adds up to.
//!
//! It follows every change that this tab makes; where another tab was faster, it is read again.
//!
//! What this does not do: write. It can be thrown away at any moment.
use super::store::{self, StoreError};
use std::cell::RefCell;
use tripoise_core::sync::{Held, Write};
use tripoise_core::world::{Growing, World};

struct Image {
    held: Held,
    /// Folded when it is first asked for.
    world: Option<Growing>,
}

thread_local! {
    static IMAGE: RefCell<Option<Image>> = const { RefCell::new(None) };
}

/// Reads the store, unless it is here already.
///
/// # Errors   It cannot be read.
pub async fn load() -> Result<(), StoreError> {
    if IMAGE.with_borrow(Option::is_none) {
        let held = store::read_all().await?;
        IMAGE.set(Some(Image { held, world: None }));
    }
    Ok(())
}

/// What the store holds, where it has been read.
pub fn held<T>(look: impl FnOnce(&Held) -> T) -> Option<T> {
    IMAGE.with_borrow(|image| image.as_ref().map(|image| look(&image.held)))
}

/// The world on this phone, where the store has been read and a feed was once followed to its end.
pub fn world<T>(look: impl FnOnce(&Held, &World) -> T) -> Option<T> {
    IMAGE.with_borrow_mut(|image| {
        let Image { held, world } = image.as_mut()?;
        if !held.phone.whole {
            return None;
        }
        let growing = world.get_or_insert_with(|| Growing::fold(held.records()));
        Some(look(held, growing.world()))
    })
}

/// Whether the world on this phone is added up, so that pages need not wait for that.
pub fn is_folded() -> bool {
    IMAGE.with_borrow(|image| {
        image.as_ref().is_some_and(|image| image.world.is_some() || !image.held.phone.whole)
    })
}

/// A change was written: `before` is what the transaction read, `write` what it wrote.
pub(super) fn follow(before: &Held, write: &Write) {
    IMAGE.with_borrow_mut(|image| {
        let Some(mirror) = image else { return };
        let same = |held: &Held| {
            (&held.phone, &held.waiting, &held.photos) == (&before.phone, &before.waiting, &before.photos)
        };
        if !same(&mirror.held) {
            // Another tab wrote meanwhile: read again when next asked.
            *image = None;
            return;
        }
        mirror.held.apply(write);
        let grows = mirror.world.as_mut().is_none_or(|world| grow(world, &mirror.held, write));
        if !grows {
            mirror.world = None;
        }
    });
}

/// Whether the world could simply be moved on.
fn grow(world: &mut Growing, held: &Held, write: &Write) -> bool {
    let takes_away = write.drop_generations_before.is_some()
        || write
            .put_waiting
            .iter()
            .any(|entry| !entry.counts() && world.world().entry(entry.record.id).is_some())
        || write.drop_waiting.iter().any(|id| !held.waiting.contains_key(id) && write.put_chunks.is_empty());
    if takes_away {
        return false;
    }
    let new = write.put_waiting.iter().filter(|entry| entry.counts()).map(|entry| &entry.record);
    new.chain(write.put_chunks.iter().flat_map(|chunk| &chunk.records)).all(|record| world.add(record))
}
