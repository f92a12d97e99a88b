//! Photos, small: each leads to its entry, where it is shown large and can be taken back.
use leptos::prelude::*;
use tripoise_core::view::photo::Photo;

/// A strip of photos under a heading; nothing where there is none.
pub fn strip(photos: &[Photo]) -> Option<impl IntoView + use<>> {
    (!photos.is_empty()).then(|| {
        let photos: Vec<_> = photos
            .iter()
            .map(|photo| {
                let href = format!("/entry/{}", photo.entry);
                view! {
                    <li>
                        <a href=href>{picture(photo)}</a>
                    </li>
                }
            })
            .collect();
        view! {
            <section>
                <h2>"Photos"</h2>
                <ul class="photos">{photos}</ul>
            </section>
        }
    })
}

/// One photo, loaded when it comes into view.
pub fn picture(photo: &Photo) -> impl IntoView + use<> {
    let Photo { src, alt, width, height, .. } = photo.clone();
    view! {
        <img
            class="photo"
            src=src
            alt=alt
            width=width.to_string()
            height=height.to_string()
            loading="lazy"
            decoding="async"
        />
    }
}
