//! A photo's form as a browser without the program posts it: the file itself, among the form's fields.
//!
//! The file is scaled down and kept, and what the phone's program would have found out about it is put into the
//! form's fields; from there on the form is read and recorded like any other ([`super::pages`]). Where that says
//! no, the page comes back with those fields, so that the photo need not be chosen again.
use crate::error::ApiError;
use crate::picture::{NoPicture, Scaled, scale};
use crate::state::AppState;
use crate::store::StoreError;
use axum::extract::multipart::{Field, Multipart, MultipartError};
use axum::extract::{DefaultBodyLimit, FromRequest, Request};
use axum::http::StatusCode;
use tokio::sync::Semaphore;
use tripoise_core::form::{FormValues, Problem};
use tripoise_core::photo::PhotoKind;
use tripoise_core::view::piece::Act;
use tripoise_core::view::{Page, PageData};

/// The longest file. House choice: 30 MB; a phone's largest pictures have 10 to 25.
const MOST_FILE_BYTES: usize = 30_000_000;

/// The longest form. House choice: 100 MB. What a file has over [`MOST_FILE_BYTES`] is read and thrown away, since a
/// browser that is cut short shows no answer.
const MOST_SENT_BYTES: usize = 100_000_000;

/// The longest text of one field, as of the forms without files.
const MOST_TEXT_BYTES: usize = super::pages::MAX_FORM_BYTES;

/// A decoded picture takes some hundred megabytes: never two of them.
static AT_WORK: Semaphore = Semaphore::const_new(1);

/// Whether the page has a form with a file.
pub(super) fn is_on(page: &Page) -> bool {
    matches!(&page.data, PageData::Piece(data) if matches!(data.act, Act::Photo))
}

/// What was posted.
pub(super) struct Posted {
    /// The form's fields, with what is known of the photo.
    pub values: FormValues,
    /// What is wrong with the file.
    pub problems: Vec<Problem>,
}

/// Why the form could not be read at all.
pub(super) enum NotRead {
    /// It is no such form.
    Request(ApiError),
    /// The photo could not be kept.
    Store(FormValues, StoreError),
}

impl From<MultipartError> for NotRead {
    fn from(cause: MultipartError) -> Self {
        Self::Request(ApiError::request(cause.status(), cause.body_text()))
    }
}

/// Reads the form and keeps its photo.
///
/// # Errors   [`NotRead`].
pub(super) async fn read(state: &AppState, mut request: Request) -> Result<Posted, NotRead> {
    DefaultBodyLimit::max(MOST_SENT_BYTES).apply(&mut request);
    let form = Multipart::from_request(request, state).await;
    let mut form = form
        .map_err(|cause| ApiError::request(cause.status(), cause.body_text()))
        .map_err(NotRead::Request)?;
    let (mut pairs, mut file) = (Vec::new(), None);
    while let Some(mut field) = form.next_field().await? {
        let name = field.name().unwrap_or_default().to_owned();
        if field.file_name().is_some() {
            file = Some(content(&mut field, MOST_FILE_BYTES).await?);
        } else {
            let text = content(&mut field, MOST_TEXT_BYTES).await?.ok_or_else(too_long)?;
            pairs.push((name, String::from_utf8_lossy(&text).into_owned()));
        }
    }
    let mut values = FormValues::from_pairs(pairs);
    let wrong = |text: String| vec![Problem::new("file", text)];
    let problems = match file {
        // A browser sends an empty file where none was chosen; the form's own reading asks for one.
        None => Vec::new(),
        Some(Some(file)) if file.is_empty() => Vec::new(),
        Some(None) => {
            wrong(format!("this file is over {} MB; make it smaller first", MOST_FILE_BYTES / 1_000_000))
        }
        Some(Some(file)) => match scaled(file).await {
            Ok(photo) => match keep(state, &mut values, photo).await {
                Ok(()) => Vec::new(),
                Err(cause) => return Err(NotRead::Store(values, cause)),
            },
            Err(cause) => wrong(cause.to_string()),
        },
    };
    Ok(Posted { values, problems })
}

fn too_long() -> NotRead {
    NotRead::Request(ApiError::request(StatusCode::PAYLOAD_TOO_LARGE, "a field of this form is too long"))
}

/// A part of the form to its end; none where it is longer than `most` bytes.
async fn content(field: &mut Field<'_>, most: usize) -> Result<Option<Vec<u8>>, MultipartError> {
    let mut content = Some(Vec::new());
    while let Some(chunk) = field.chunk().await? {
        content = content.filter(|content| content.len() + chunk.len() <= most);
        if let Some(content) = &mut content {
            content.extend_from_slice(&chunk);
        }
    }
    Ok(content)
}

/// The photo, made on a thread that answers nobody.
async fn scaled(file: Vec<u8>) -> Result<Scaled, NoPicture> {
    // The semaphore is never closed.
    let turn = AT_WORK.acquire().await;
    let done = tokio::task::spawn_blocking(move || scale(&file)).await;
    drop(turn);
    done.unwrap_or_else(|cause| {
        tracing::error!(%cause, "a picture could not be scaled down");
        Err(NoPicture::Damaged)
    })
}

/// Keeps the photo and says in the form's fields what the phone's program would have said.
async fn keep(state: &AppState, values: &mut FormValues, photo: Scaled) -> Result<(), StoreError> {
    let Scaled { content, width, height } = photo;
    let (photos, bytes) = (state.photos.clone(), content.len());
    let kept = tokio::task::spawn_blocking(move || photos.keep(&content)).await;
    let (sha256, _) = kept.map_err(|_| StoreError::Closed)??;
    let known = [
        ("sha256", sha256.to_string()),
        ("media", PhotoKind::Jpeg.key().to_owned()),
        ("width", width.to_string()),
        ("height", height.to_string()),
        ("bytes", bytes.to_string()),
    ];
    for (name, value) in known {
        values.0.insert(name.to_owned(), vec![value]);
    }
    Ok(())
}
