//! `tripoise calc four-post`: four posts in, the gap by which a shelf rocks on them out.
//!
//! What this does not do: compute; that is [`crate::geometry::four_post`].
use super::input::Node;
use super::output::Output;
use super::three_post::post;
use super::{CalcError, Kind};
use crate::geometry::four_post::{Diagonal, judge};

pub(super) const KIND: Kind = Kind { name: "four-post", run, help: HELP };

const HELP: &str = "\
Four posts under a rigid flat shelf: it rests on three of them and rocks by the gap at the fourth.

Input:  posts   four of {x_mm, y_mm, height_mm}, in order around the shelf
Output: twist_mm         z1 - z2 + z3 - z4
        gaps_mm          per post, the plane through the other three less its height: above 0 it stands free
        gap_mm           the greatest of them
        resting_posts    indices of the two, across from each other, that always carry; null where all four do
        balanced_gap_mm  the gap at each of the other two when the shelf is balanced over those

Example:
tripoise calc four-post <<'END'
{\"posts\":[{\"x_mm\":40,\"y_mm\":40,\"height_mm\":150.2},{\"x_mm\":560,\"y_mm\":40,\"height_mm\":149.9},{\"x_mm\":560,\"y_mm\":260,\"height_mm\":150.1},{\"x_mm\":40,\"y_mm\":260,\"height_mm\":150}]}
END
";

fn run(input: &Node<'_>) -> Result<String, CalcError> {
    let object = input.object(&["posts"])?;
    let field = object.field("posts", "four posts with x_mm, y_mm, height_mm")?;
    let posts = field.list("posts", 4, 4)?.read(post)?;
    let [a, b, c, d] = posts.as_slice() else {
        return Err(field.refuse("a list of posts", "4 of them"));
    };
    let found = judge(&[*a, *b, *c, *d]).map_err(|err| {
        let text = err.to_string();
        let (cause, want) = text.split_once("; give ").unwrap_or((&text, "other posts"));
        field.cannot(cause, want)
    })?;
    let mut out = Output::new();
    out.number("twist_mm", found.twist_mm).numbers("gaps_mm", &found.gaps_mm).number("gap_mm", found.gap_mm);
    match found.resting {
        Some(Diagonal::FirstThird) => out.wholes("resting_posts", &[0, 2]),
        Some(Diagonal::SecondFourth) => out.wholes("resting_posts", &[1, 3]),
        None => out.null("resting_posts"),
    };
    out.number("balanced_gap_mm", found.balanced_gap_mm);
    out.finish()
}

#[cfg(test)]
mod tests {
    use crate::calc::run;

    fn check(posts: &[(f64, f64, f64)], wanted: &str) {
        let posts: Vec<String> = posts
            .iter()
            .map(|(x, y, height)| format!(r#"{{"x_mm":{x},"y_mm":{y},"height_mm":{height}}}"#))
            .collect();
        let text = run("four-post", &format!(r#"{{"posts":[{}]}}"#, posts.join(",")))
            .unwrap_or_else(|err| err.to_string());
        assert_eq!(text, wanted);
    }

    #[test]
    fn worked_by_hand() {
        check(
            &[(0.0, 0.0, 151.0), (4.0, 0.0, 150.0), (4.0, 2.0, 150.0), (0.0, 2.0, 150.0)],
            r#"{"twist_mm":1.0,"gaps_mm":[-1.0,1.0,-1.0,1.0],"gap_mm":1.0,"resting_posts":[0,2],"balanced_gap_mm":0.5}"#,
        );
        check(
            &[(0.0, 0.0, 150.0), (4.0, 0.0, 150.0), (4.0, 2.0, 150.0), (0.0, 2.0, 150.0)],
            r#"{"twist_mm":0.0,"gaps_mm":[0.0,0.0,0.0,0.0],"gap_mm":0.0,"resting_posts":null,"balanced_gap_mm":0.0}"#,
        );
    }

    #[test]
    fn posts_that_form_no_quadrilateral_are_refused() {
        check(
            &[(0.0, 0.0, 150.0), (4.0, 2.0, 150.0), (4.0, 0.0, 150.0), (0.0, 2.0, 150.0)],
            "posts: the four do not follow each other around the shelf; give them in order around it",
        );
        check(
            &[(0.0, 0.0, 150.0), (2.0, 0.0, 150.0), (4.0, 0.0, 150.0), (0.0, 2.0, 150.0)],
            "posts: three of the four stand in one line; give posts that form a quadrilateral",
        );
    }
}
