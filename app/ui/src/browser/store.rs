//! The phone's store: object stores of `IndexedDB`, changed in one transaction at a time.
//!
//! `meta` holds the phone's row, `waiting` the entries that the server has not been seen to have, `feed` the
//! server's feed in chunks, `photos` a row for each photo; each value is JSON text. `photo_files` holds the
//! photos themselves as bytes, by the same names: the service worker shows them from there. [`change`] reads what
//! a decision needs inside the very transaction that writes its outcome, and returns only after the transaction's
//! complete event. Browsers close connections in the background: on a dead one it opens another and tries once more.
//!
//! What this does not do: decide anything; that is `tripoise_core::sync`.
use super::{phone, record};
use idb::{
    Database, DatabaseEvent as _, Error, Factory, KeyRange, ObjectStoreParams, Query, Transaction,
    TransactionMode, TransactionResult,
};
use js_sys::Uint8Array;
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::fmt;
use std::rc::Rc;
use tripoise_core::photo::{PhotoHash, PhotoKind};
use tripoise_core::sync::{Chunk, ChunkKey, Held, Phone, PhotoRow, Reads, Waiting, Write};
use wasm_bindgen::{JsCast, JsValue};

const NAME: &str = "tripoise";
/// A newer number is written by a build that this one cannot share the store with. 2: photos.
const VERSION: u32 = 2;
const META: &str = "meta";
const WAITING: &str = "waiting";
const FEED: &str = "feed";
const PHOTOS: &str = "photos";
const FILES: &str = "photo_files";
const ALL: [&str; 5] = [META, WAITING, FEED, PHOTOS, FILES];
const ROW: &str = "phone";

/// Why the phone did not keep something.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum StoreError {
    /// The browser gives this page no storage: a private window, or site data is not allowed.
    Refused,
    /// There is no room left.
    Full,
    /// A newer Tripoise has been at the store.
    Newer,
    /// The connection is dead.
    Dead(String),
    /// What was decided could not be.
    Decision(String),
}

impl fmt::Display for StoreError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Refused => f.write_str("this browser keeps nothing for this page; allow site data and try again"),
            Self::Full => f.write_str(
                "this phone's storage is full; nothing is recorded, and what you typed is still here; make room and try again",
            ),
            Self::Newer => f.write_str("a newer Tripoise has been used here; open the page again while the server can be reached"),
            Self::Dead(cause) => write!(f, "this phone's storage failed ({cause}); what you typed is still here, try again"),
            Self::Decision(cause) => f.write_str(cause),
        }
    }
}

impl From<Error> for StoreError {
    fn from(error: Error) -> Self {
        match &error {
            Error::DomException(cause) => of_name(&cause.name(), &cause.message()),
            Error::IndexedDbNotFound(_) => Self::Refused,
            other => match cause_of(other).and_then(|value| value.dyn_into::<web_sys::DomException>().ok()) {
                Some(cause) => of_name(&cause.name(), &cause.message()),
                None => Self::Dead(other.to_string()),
            },
        }
    }
}

fn cause_of(error: &Error) -> Option<JsValue> {
    match error {
        Error::IndexedDbOpenFailed(cause)
        | Error::TransactionOpenFailed(cause)
        | Error::UpdateFailed(cause)
        | Error::GetAllFailed(cause)
        | Error::GetFailed(cause)
        | Error::DeleteFailed(cause) => Some(cause.clone()),
        _ => None,
    }
}

/// The names are those of the standard (Indexed Database API 3.0 and Storage).
fn of_name(name: &str, message: &str) -> StoreError {
    match name {
        "QuotaExceededError" => StoreError::Full,
        "SecurityError" | "NotAllowedError" => StoreError::Refused,
        "VersionError" => StoreError::Newer,
        _ => StoreError::Dead(format!("{name}: {message}")),
    }
}

thread_local! {
    static CONNECTION: RefCell<Option<Rc<Database>>> = const { RefCell::new(None) };
}

/// What a decision reads beside the phone's row, the waiting entries and the photos' rows.
pub enum What {
    /// Nothing.
    Waiting,
    /// These chunks of the feed.
    Chunks(Reads),
}

/// Reads what `what` names, decides, and writes the outcome, in one transaction. The phone's image in memory
/// follows. When this returns, what was written survives the browser's end.
///
/// # Errors   Nothing of it is written.
pub async fn change<T>(
    what: impl Fn(&Phone) -> What,
    decide: impl Fn(&Held) -> Result<(T, Write), String>,
) -> Result<(T, Write), StoreError> {
    let (_, value, write) = change_of(None, &what, &decide).await?;
    Ok((value, write))
}

/// The same, with the file of a photo that is put down, and with what was read.
async fn change_of<T>(
    file: Option<(&PhotoHash, &Uint8Array)>,
    what: &impl Fn(&Phone) -> What,
    decide: &impl Fn(&Held) -> Result<(T, Write), String>,
) -> Result<(Held, T, Write), StoreError> {
    match attempt(file, what, decide).await {
        Err(StoreError::Dead(_)) => {
            CONNECTION.set(None);
            attempt(file, what, decide).await
        }
        other => other,
    }
}

/// Keeps a photo, row and file together. Where there is no room, copies of what the server has make some.
///
/// # Errors   It is not kept.
pub async fn keep_photo(
    sha256: &PhotoHash,
    media: PhotoKind,
    content: &Uint8Array,
) -> Result<(), StoreError> {
    let file = Some((sha256, content));
    let decide = |held: &Held| Ok(((), held.keep_photo(sha256, media, content.length(), record::now_ms())));
    let what = |_: &Phone| What::Waiting;
    match change_of(file, &what, &decide).await {
        Err(StoreError::Full) => {
            let (_, dropped) = change(|_| What::Waiting, |held| Ok(((), held.make_room()))).await?;
            if dropped.is_empty() {
                return Err(StoreError::Full);
            }
            change_of(file, &what, &decide).await.map(drop)
        }
        kept => kept.map(drop),
    }
}

/// The file of a photo; none where it is not here.
///
/// # Errors   It cannot be read.
pub async fn photo_file(sha256: &PhotoHash) -> Result<Option<Uint8Array>, StoreError> {
    let database = connection().await?;
    let reading = database.transaction(&[FILES], TransactionMode::ReadOnly)?;
    let found = reading.object_store(FILES)?.get(JsValue::from_str(sha256.as_str()))?.await?;
    Ok(found.and_then(|content| content.dyn_into().ok()))
}

/// Everything that the store holds; a new phone's row where it holds nothing.
///
/// # Errors   It cannot be read.
pub async fn read_all() -> Result<Held, StoreError> {
    let all = |_: &Phone| What::Chunks(Reads::All);
    let (held, (), _) = change_of(None, &all, &|_| Ok(((), Write::default()))).await?;
    Ok(held)
}

async fn attempt<T>(
    file: Option<(&PhotoHash, &Uint8Array)>,
    what: &impl Fn(&Phone) -> What,
    decide: &impl Fn(&Held) -> Result<(T, Write), String>,
) -> Result<(Held, T, Write), StoreError> {
    let database = connection().await?;
    let transaction = begin(&database)?;
    let (held, is_new) = read(&transaction, what).await?;
    let (value, mut write) = match decide(&held) {
        Ok(decided) => decided,
        Err(cause) => {
            transaction.abort()?;
            return Err(StoreError::Decision(cause));
        }
    };
    let before = held.phone.clone();
    if is_new && write.phone.is_none() {
        write.phone = Some(before);
    }
    put(&transaction, &write)?;
    if let Some((sha256, content)) = file {
        transaction.object_store(FILES)?.put(content, Some(&JsValue::from_str(sha256.as_str())))?;
    }
    let asked_later = transaction.object_store(META)?.transaction();
    match transaction.await? {
        TransactionResult::Committed => {}
        // A full disk shows only when the transaction commits: it then aborts without an error event.
        TransactionResult::Aborted => {
            return Err(asked_later
                .error()
                .map_or(StoreError::Full, |cause| of_name(&cause.name(), &cause.message())));
        }
    }
    phone::follow(&held, &write);
    Ok((held, value, write))
}

/// A transaction over the whole store whose complete event comes only when the device has it on its disk: the
/// default of some browsers is sooner, when the system has it. `idb` has no word for that, hence the raw call.
fn begin(database: &Database) -> Result<Transaction, StoreError> {
    let raw = JsValue::from(database.transaction(&[META], TransactionMode::ReadOnly)?.database());
    let options = js_sys::Object::new();
    let set = js_sys::Reflect::set(&options, &"durability".into(), &"strict".into());
    let strict = set.and_then(|_| js_sys::Reflect::get(&raw, &"transaction".into())).and_then(|method| {
        let scope: js_sys::Array = ALL.iter().map(|name| JsValue::from_str(name)).collect();
        method.dyn_into::<js_sys::Function>()?.call3(&raw, &scope, &"readwrite".into(), &options)
    });
    match strict.ok().and_then(|made| made.dyn_into::<web_sys::IdbTransaction>().ok()) {
        Some(made) => Ok(made.into()),
        None => Ok(database.transaction(&ALL, TransactionMode::ReadWrite)?),
    }
}

async fn connection() -> Result<Rc<Database>, StoreError> {
    if let Some(open) = CONNECTION.with_borrow(Clone::clone) {
        return Ok(open);
    }
    let mut request = Factory::new()?.open(NAME, Some(VERSION))?;
    request.on_upgrade_needed(|event| {
        let made = event.database().and_then(|database| {
            // What an older build made stays as it is.
            let there = database.store_names();
            for name in ALL.into_iter().filter(|name| !there.iter().any(|one| one == name)) {
                database.create_object_store(name, ObjectStoreParams::new())?;
            }
            Ok(())
        });
        if let Err(cause) = made {
            leptos::logging::error!("the phone's store could not be made: {cause}");
        }
    });
    let mut database = request.await?;
    // Another tab wants to upgrade or delete the store: let go of it.
    database.on_version_change(|_| {
        if let Some(open) = CONNECTION.take() {
            open.close();
        }
    });
    database.on_close(|_| CONNECTION.set(None));
    let database = Rc::new(database);
    CONNECTION.set(Some(Rc::clone(&database)));
    Ok(database)
}

async fn read(transaction: &Transaction, what: &impl Fn(&Phone) -> What) -> Result<(Held, bool), StoreError> {
    let row = transaction.object_store(META)?.get(JsValue::from_str(ROW))?.await?;
    let (phone, is_new) = match row {
        Some(row) => (parse(&row)?, false),
        None => (record::first_phone(), true),
    };
    let mut held = Held::new(phone);
    for row in transaction.object_store(WAITING)?.get_all(None, None)?.await? {
        let entry: Waiting = parse(&row)?;
        held.waiting.insert(entry.record.id, entry);
    }
    for row in transaction.object_store(PHOTOS)?.get_all(None, None)?.await? {
        let photo: PhotoRow = parse(&row)?;
        held.photos.insert(photo.sha256.clone(), photo);
    }
    let query = match what(&held.phone) {
        What::Waiting => return Ok((held, is_new)),
        What::Chunks(Reads::All) => None,
        What::Chunks(Reads::Tail(key)) => Some(Query::from(JsValue::from_str(&key_text(key)))),
    };
    let rows = transaction.object_store(FEED)?.get_all(query, None)?.await?;
    held.chunks = rows
        .iter()
        .map(|row| parse(row).map(|chunk: Chunk| (chunk.key, chunk.records)))
        .collect::<Result<BTreeMap<_, _>, _>>()?;
    Ok((held, is_new))
}

/// Puts the outcome down. The requests are not waited for: the transaction's complete event covers them.
fn put(transaction: &Transaction, write: &Write) -> Result<(), StoreError> {
    let (meta, waiting, feed) = (
        transaction.object_store(META)?,
        transaction.object_store(WAITING)?,
        transaction.object_store(FEED)?,
    );
    if let Some(phone) = &write.phone {
        meta.put(&text(phone)?, Some(&JsValue::from_str(ROW)))?;
    }
    for id in &write.drop_waiting {
        waiting.delete(JsValue::from_str(&id.to_string()))?;
    }
    for entry in &write.put_waiting {
        waiting.put(&text(entry)?, Some(&JsValue::from_str(&entry.record.id.to_string())))?;
    }
    put_photos(transaction, write)?;
    if let Some(generation) = write.drop_generations_before {
        let first = key_text(ChunkKey { generation, index: 0 });
        feed.delete(KeyRange::upper_bound(&JsValue::from_str(&first), Some(true))?)?;
    }
    for chunk in &write.put_chunks {
        feed.put(&text(chunk)?, Some(&JsValue::from_str(&key_text(chunk.key))))?;
    }
    Ok(())
}

fn put_photos(transaction: &Transaction, write: &Write) -> Result<(), StoreError> {
    let (photos, files) = (transaction.object_store(PHOTOS)?, transaction.object_store(FILES)?);
    for sha256 in &write.drop_photos {
        photos.delete(JsValue::from_str(sha256.as_str()))?;
        files.delete(JsValue::from_str(sha256.as_str()))?;
    }
    for row in &write.put_photos {
        photos.put(&text(row)?, Some(&JsValue::from_str(row.sha256.as_str())))?;
    }
    Ok(())
}

/// Sorts as the key does.
fn key_text(key: ChunkKey) -> String {
    format!("{:016x}-{:016x}", key.generation, key.index)
}

fn text(value: &impl Serialize) -> Result<JsValue, StoreError> {
    match serde_json::to_string(value) {
        Ok(text) => Ok(JsValue::from_str(&text)),
        Err(cause) => Err(StoreError::Decision(cause.to_string())),
    }
}

fn parse<T: DeserializeOwned>(row: &JsValue) -> Result<T, StoreError> {
    let text = row.as_string().unwrap_or_default();
    serde_json::from_str(&text).map_err(|cause| {
        StoreError::Decision(format!(
            "something on this phone cannot be read ({cause}); it may come from a newer Tripoise"
        ))
    })
}

/// Asks the browser not to clear this page's storage when the device runs short.
pub fn keep_for_good() {
    let asked = web_sys::window().map(|window| window.navigator().storage().persist());
    if let Some(Ok(promise)) = asked {
        wasm_bindgen_futures::spawn_local(async move {
            // A browser that says no keeps it as long as there is room; nothing else changes.
            drop(wasm_bindgen_futures::JsFuture::from(promise).await);
        });
    }
}
