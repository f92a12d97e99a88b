//! Reads `/add/posts`.
use super::{HEIGHT, WIDTH, bought_on, codes, firings_before, kiln, line};
use crate::code::Code;
use crate::event::{Body, PostAdded};
use crate::form::quantity::Feelers;
use crate::form::{FormValues, NewId, Problem, Reader, Submission, no_form};
use crate::ids::PostId;
use crate::view::Page;
use crate::view::add::MOST_POSTS;
use crate::view::add::posts::AddPosts;

/// A batch of posts alike, one event each; or one post corrected.
///
/// # Errors   Every problem at once.
pub fn read(
    page: &Page,
    data: &AddPosts,
    values: &FormValues,
    new_id: NewId<'_>,
) -> Result<Submission, Vec<Problem>> {
    if values.get("do") != "posts" {
        return Err(no_form(values));
    }
    let mut reader = Reader::new(values, page.unit, Feelers::default());
    match page.correcting.as_ref().map(|correcting| &correcting.body) {
        Some(Body::PostAdded(own)) => {
            let code = codes::corrected(&mut reader, &data.taken, &own.code);
            let post = like_this(&mut reader, page, data);
            let (code, post) = reader.finish(code.zip(post))?;
            let next = format!("/post/{code}");
            Ok(Submission::new(vec![PostAdded { post: own.post, code, ..post }.into()], next))
        }
        Some(_) => Err(no_form(values)),
        None => {
            let count = reader.count("count", 1, MOST_POSTS);
            let post = like_this(&mut reader, page, data);
            let codes = count.and_then(|count| codes::read(&mut reader, 'P', &data.taken, count));
            let (codes, post) = reader.finish(codes.zip(post))?;
            let alike = |code: Code| PostAdded { post: PostId(new_id()), code, ..post.clone() }.into();
            let bodies = codes.into_iter().map(alike).collect();
            Ok(Submission::new(bodies, format!("/add/posts?kiln={}", post.kiln)))
        }
    }
}

/// What all of the batch have in common; id and code are filled in piece by piece.
fn like_this(reader: &mut Reader<'_>, page: &Page, data: &AddPosts) -> Option<PostAdded> {
    let nominal = reader.length("nominal", HEIGHT);
    let material = reader.choice("material");
    let section = reader.choice("section");
    let width = reader.length("width", WIDTH);
    let price_cents = reader.optional_cents("price");
    let bought_on = bought_on(reader, page.today);
    let firings_before = firings_before(reader);
    let kiln = kiln(reader, &data.kilns);
    let place = line(reader, "place");
    Some(PostAdded {
        post: PostId(uuid::Uuid::nil()),
        code: crate::code::nth('P', 0),
        material: material?,
        nominal_nm: nominal?.nm,
        section: section?,
        width_nm: width?.nm,
        price_cents,
        bought_on,
        firings_before,
        kiln: kiln?,
        place,
    })
}

#[cfg(test)]
#[path = "posts_tests.rs"]
mod tests;
