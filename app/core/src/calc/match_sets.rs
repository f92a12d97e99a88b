//! `tripoise calc match`: posts into sets of two, three or four of equal height.
//!
//! What this does not do: keep present sets together; that is [`crate::grouping::keep`], on the page.
use super::input::{FAR_MM, HEIGHT, Node, Quantity, UNCERTAINTY};
use super::output::Output;
use super::{CalcError, Kind};
use crate::grouping::{Grouping, Rules, SetSize, best_sets};
use serde::Deserialize;
use std::borrow::Cow;

/// The kind.
pub const KIND: Kind = Kind { name: "match", run, help: HELP };

const HELP: &str = "\
Groups posts into sets of equal height. Exact: the most sets; then the least material ground off; then
the least total spread after grinding. Posts of equal height are taken in code order, and of answers that
are equal in all of that the one is given that leaves the taller posts over.

Input:
posts           [{code, height_mm}], 1 to 1000000, each code once
set_size        2, 3 or 4
tolerance_mm    greatest spread (highest less lowest) of a finished set
dress_max_mm    the most that may be ground off one post's end (0 when left out)
u_height_mm     standard uncertainty of one height, the same for all (0 when left out)
coverage        how many of them the guard band takes (1.96 when left out)

The tolerance used is tolerance_mm - coverage * sqrt(2) * u_height_mm; below 0 no set is accepted.
Output: sets [{codes, from the lowest up; spread_mm after grinding; remove [{code, remove_mm}]}],
unmatched [codes], n_sets, total_removed_mm, total_spread_mm, tolerance_used_mm.

Example:
tripoise calc match <<'END'
{\"posts\":[{\"code\":\"P1\",\"height_mm\":152.3},{\"code\":\"P2\",\"height_mm\":152.9},
{\"code\":\"P3\",\"height_mm\":152.1},{\"code\":\"P4\",\"height_mm\":150.4},{\"code\":\"P5\",\"height_mm\":152.5}],
\"set_size\":3,\"tolerance_mm\":0.5,\"dress_max_mm\":0,\"u_height_mm\":0.02}
END
";

/// The contract's bound.
const MOST_POSTS: usize = 1_000_000;
/// House choice: a code is written on a post's end with iron wash; 64 characters are more than fit.
const LONGEST_CODE: usize = 64;
/// 1.96: at least 95 % for the whole set, whichever way the errors fall (a set of three at the edge of
/// the guard band conforms with 95.5 %; with 1.645, which is for one pair, with 91.2 %).
const COVERAGE: f64 = 1.96;
/// House choice: heights are compared in steps of 1e-10 mm. At 100 m, the most that is read, that is
/// 1e15 steps, below 2^53, so a decimal of up to ten places is one whole number and its sums are exact.
const STEPS_PER_MM: f64 = 1e10;

const TOLERANCE: Quantity = Quantity::from_zero("a tolerance", "millimetres from 0 to 100000", FAR_MM);
const DRESSING: Quantity =
    Quantity::from_zero("a limit for grinding", "millimetres from 0 to 100000", FAR_MM);
const COVERAGE_FACTOR: Quantity =
    Quantity::from_zero("a coverage factor", "a number from 0 to 100, such as 1.96", 100.0);

/// The input as serde reads it straight from the text.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Wire<'a> {
    #[serde(borrow)]
    posts: Vec<WirePost<'a>>,
    set_size: u8,
    tolerance_mm: f64,
    dress_max_mm: Option<f64>,
    u_height_mm: Option<f64>,
    coverage: Option<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WirePost<'a> {
    #[serde(borrow)]
    code: Cow<'a, str>,
    height_mm: f64,
}

/// The input, read and found in order but for codes given twice.
struct Input<'a> {
    codes: Vec<Cow<'a, str>>,
    heights: Vec<i64>,
    rules: Rules,
    tolerance_used_mm: f64,
}

/// Every number but the heights.
struct Terms {
    set_size: SetSize,
    tolerance_mm: f64,
    dress_max_mm: Option<f64>,
    u_height_mm: Option<f64>,
    coverage: Option<f64>,
}

/// The answer for input that is in order, three times as fast as by way of a tree of a million values.
///
/// # Returns
/// Nothing for input that may not be in order: [`KIND`] then reads it again and names the field.
pub(super) fn quick(text: &str) -> Option<Result<String, CalcError>> {
    let wire: Wire<'_> = serde_json::from_str(text).ok()?;
    let optional = |value: Option<f64>, bounds: &Quantity| value.is_none_or(|value| bounds.holds(value));
    let in_order = (1..=MOST_POSTS).contains(&wire.posts.len())
        && TOLERANCE.holds(wire.tolerance_mm)
        && optional(wire.dress_max_mm, &DRESSING)
        && optional(wire.u_height_mm, &UNCERTAINTY)
        && optional(wire.coverage, &COVERAGE_FACTOR)
        && wire.posts.iter().all(|post| {
            HEIGHT.holds(post.height_mm) && (1..=LONGEST_CODE).contains(&post.code.chars().count())
        });
    let set_size = SetSize::of(usize::from(wire.set_size)).filter(|_| in_order)?;
    let terms = Terms {
        set_size,
        tolerance_mm: wire.tolerance_mm,
        dress_max_mm: wire.dress_max_mm,
        u_height_mm: wire.u_height_mm,
        coverage: wire.coverage,
    };
    let posts = wire.posts.into_iter().map(|post| (post.code, steps(post.height_mm)));
    Some(answer(&input(posts.unzip(), &terms)))
}

fn run(node: &Node<'_>) -> Result<String, CalcError> {
    let fields =
        node.object(&["posts", "set_size", "tolerance_mm", "dress_max_mm", "u_height_mm", "coverage"])?;
    let posts = fields.field("posts", "a list of posts, each {code, height_mm}")?;
    let posts = posts.list("posts", 1, MOST_POSTS)?.read(read_post)?;
    let size = fields.field("set_size", "2, 3 or 4")?;
    let set_size = SetSize::of(size.whole("a set size", 2, 4)? as usize)
        .ok_or_else(|| size.refuse("a set size", "2, 3 or 4"))?;
    let terms = Terms {
        set_size,
        tolerance_mm: fields.number("tolerance_mm", &TOLERANCE)?,
        dress_max_mm: fields.optional_number("dress_max_mm", &DRESSING)?,
        u_height_mm: fields.optional_number("u_height_mm", &UNCERTAINTY)?,
        coverage: fields.optional_number("coverage", &COVERAGE_FACTOR)?,
    };
    answer(&input(posts.into_iter().unzip(), &terms))
}

fn input<'a>((codes, heights): (Vec<Cow<'a, str>>, Vec<i64>), terms: &Terms) -> Input<'a> {
    let u_height_mm = terms.u_height_mm.unwrap_or(0.0);
    let guard_mm = terms.coverage.unwrap_or(COVERAGE) * std::f64::consts::SQRT_2 * u_height_mm;
    let tolerance_used_mm = terms.tolerance_mm - guard_mm;
    Input {
        codes,
        heights,
        rules: Rules {
            set_size: terms.set_size,
            tolerance: tolerance_steps(tolerance_used_mm, guard_mm),
            dress_max: steps(terms.dress_max_mm.unwrap_or(0.0)),
        },
        tolerance_used_mm,
    }
}

fn answer(input: &Input<'_>) -> Result<String, CalcError> {
    let order = code_order(&input.codes)?;
    let heights: Vec<i64> = order.iter().map(|post| input.heights[*post]).collect();
    let codes: Vec<&str> = order.iter().map(|post| &*input.codes[*post]).collect();
    write(&codes, &heights, &best_sets(&heights, &input.rules), input)
}

fn read_post(post: &Node<'_>) -> Result<(Cow<'static, str>, i64), CalcError> {
    let fields = post.object(&["code", "height_mm"])?;
    let code = fields.field("code", "the post's code")?.text("a code", LONGEST_CODE)?;
    let height_mm = fields.number("height_mm", &HEIGHT)?;
    Ok((Cow::Owned(code.to_owned()), steps(height_mm)))
}

/// The nearest whole number of steps.
fn steps(mm: f64) -> i64 {
    // FAR_MM in steps is 1e15: `as` is exact.
    libm::round(mm * STEPS_PER_MM) as i64
}

/// The greatest whole number of steps within the tolerance; a tolerance without guard band is a decimal.
fn tolerance_steps(used_mm: f64, guard_mm: f64) -> i64 {
    if guard_mm == 0.0 { steps(used_mm) } else { libm::floor(used_mm * STEPS_PER_MM) as i64 }
}

fn mm(steps: i64) -> f64 {
    steps as f64 / STEPS_PER_MM
}

/// Places of the posts in code order (by Unicode code points), or the first code given twice.
fn code_order(codes: &[Cow<'_, str>]) -> Result<Vec<usize>, CalcError> {
    // Sorting by the first 16 bytes, held in one number, is five times as fast as following a million texts.
    let head = |code: &str| {
        let mut bytes = [0; 16];
        for (slot, byte) in bytes.iter_mut().zip(code.bytes()) {
            *slot = byte;
        }
        u128::from_be_bytes(bytes)
    };
    let mut order: Vec<(u128, usize)> = codes.iter().map(|code| head(code)).zip(0..).collect();
    order.sort_unstable_by(|one, two| {
        let same_head = || codes[one.1].cmp(&codes[two.1]).then(one.1.cmp(&two.1));
        one.0.cmp(&two.0).then_with(same_head)
    });
    let twice =
        order.windows(2).filter(|pair| codes[pair[0].1] == codes[pair[1].1]).min_by_key(|pair| pair[1].1);
    if let Some(pair) = twice {
        let (first, again) = (pair[0].1, pair[1].1);
        let cause = format!("{} is the code of posts[{first}] too", serde_json::Value::from(&*codes[again]));
        let path = format!("posts[{again}].code");
        return Err(CalcError::together(path, cause, "each post its own code"));
    }
    Ok(order.into_iter().map(|(_, post)| post).collect())
}

fn write(codes: &[&str], heights: &[i64], found: &Grouping, input: &Input<'_>) -> Result<String, CalcError> {
    let rules = &input.rules;
    let sets: Vec<&[usize]> = found.sets().collect();
    let mut left = found.unmatched.clone();
    left.sort_unstable();
    let left: Vec<&str> = left.iter().map(|post| codes[*post]).collect();
    let mut out = Output::new();
    out.objects("sets", &sets, |out, set| {
        let in_set: Vec<&str> = set.iter().map(|post| codes[*post]).collect();
        let tall: Vec<i64> = set.iter().map(|post| heights[*post]).collect();
        let lowest = tall.first().copied().unwrap_or(0);
        let cuts: Vec<(&str, i64)> = in_set
            .iter()
            .zip(&tall)
            .map(|(code, height)| (*code, rules.cut(lowest, *height)))
            .filter(|(_, cut)| *cut > 0)
            .collect();
        out.texts("codes", &in_set)
            .number("spread_mm", mm(rules.judge(&tall).map_or(0, |cost| cost.spread)))
            .objects("remove", &cuts, |out, (code, cut)| {
                out.text("code", code).number("remove_mm", mm(*cut));
            });
    });
    out.texts("unmatched", &left)
        .whole("n_sets", found.worth.n_sets)
        .number("total_removed_mm", mm(found.worth.removed))
        .number("total_spread_mm", mm(found.worth.spread))
        .number("tolerance_used_mm", input.tolerance_used_mm);
    out.finish()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc;
    use proptest::prelude::*;
    use serde_json::json;

    fn with_posts(posts: &[(String, f64)]) -> serde_json::Value {
        let posts: Vec<_> =
            posts.iter().map(|(code, height)| json!({"code": code, "height_mm": height})).collect();
        json!({"posts": posts, "set_size": 3, "tolerance_mm": 0.5})
    }

    proptest! {
        #[test]
        fn the_quick_way_answers_as_the_careful_way(
            heights in prop::collection::vec(100.0..103.0, 1..40), codes in prop::collection::vec("\\PC{0,20}", 40),
            size in 2..5_u8, tolerance in 0.0..2.0, dress in prop::option::of(-0.1..1.0), u in prop::option::of(0.0..0.2)
        ) {
            let posts: Vec<(String, f64)> = codes.into_iter().zip(heights).collect();
            let mut input = with_posts(&posts);
            input["set_size"] = json!(size);
            input["tolerance_mm"] = json!(tolerance);
            input["dress_max_mm"] = json!(dress);
            input["u_height_mm"] = json!(u);
            let careful = run(&Node::root(&input));
            match quick(&input.to_string()) {
                Some(answer) => prop_assert_eq!(answer, careful),
                None => prop_assert!(careful.is_err(), "the quick way left out {input}"),
            }
        }

        #[test]
        fn the_order_of_the_posts_changes_nothing(heights in prop::collection::vec(0..30_u8, 1..30), turn in 0..30_usize) {
            let mut posts: Vec<(String, f64)> = heights.iter().enumerate()
                .map(|(i, height)| (format!("P{i}"), 100.0 + f64::from(*height) / 10.0)).collect();
            let answer = calc::run("match", &with_posts(&posts).to_string());
            prop_assert!(answer.is_ok());
            let turn = turn % posts.len();
            posts.rotate_left(turn);
            prop_assert_eq!(calc::run("match", &with_posts(&posts).to_string()), answer);
        }
    }

    #[test]
    fn bad_input_names_the_field() {
        let post = |code: &str, height: f64| json!({"code": code, "height_mm": height});
        let check = |input: serde_json::Value, expected: &str| {
            let found = calc::run("match", &input.to_string()).map_err(|err| err.to_string());
            assert_eq!(found, Err(expected.to_owned()));
        };
        let with = |posts: serde_json::Value| json!({"posts": posts, "set_size": 3, "tolerance_mm": 0.5});
        check(
            with(json!([post("P1", 150.0), post("P2", 150.0), post("P3", -3.0)])),
            "posts[2].height_mm: -3.0 is not a height; give a length above 0",
        );
        check(
            with(json!([post("P1", 150.0), post("P2", 150.0), post("P1", 152.0)])),
            "posts[2].code: \"P1\" is the code of posts[0] too; give each post its own code",
        );
        check(
            with(json!([post("", 150.0)])),
            "posts[0].code: \"\" is not a code; give text of 1 to 64 characters",
        );
        check(with(json!([])), "posts: 0 is not the number of posts wanted; give 1 to 1000000 of them");
        check(
            json!({"posts": [post("P1", 1.0)], "set_size": 5, "tolerance_mm": 0.5}),
            "set_size: 5 is not a set size; give a whole number from 2 to 4",
        );
        check(
            json!({"posts": [post("P1", 1.0)], "set_size": 2, "tolerance_mm": 0.5, "keep": []}),
            "keep: not a known field; give posts, set_size, tolerance_mm, dress_max_mm, u_height_mm, coverage",
        );
    }

    #[test]
    fn a_spread_of_the_tolerance_itself_is_a_set() {
        // 152.31 − 151.81 is 0.5 in decimals and 0.5 + 4 ulp in doubles.
        let posts =
            [("A", 152.31), ("B", 151.81), ("C", 152.0)].map(|(code, height)| (code.to_owned(), height));
        let answer = calc::run("match", &with_posts(&posts).to_string());
        let expected = r#"{"sets":[{"codes":["B","C","A"],"spread_mm":0.5,"remove":[]}],"unmatched":[],"n_sets":1,"total_removed_mm":0.0,"total_spread_mm":0.5,"tolerance_used_mm":0.5}"#;
        assert_eq!(answer, Ok(expected.to_owned()));
    }

    #[test]
    fn the_guard_band_takes_1_96_uncertainties_when_no_coverage_is_given() {
        let used = |more: &str| {
            let input = format!(
                r#"{{"posts":[{{"code":"A","height_mm":1}}],"set_size":2,"tolerance_mm":0.5,"u_height_mm":0.1{more}}}"#
            );
            calc::run("match", &input)
                .map(|answer| answer.split_once("used_mm\":").map(|end| end.1.to_owned()))
        };
        assert_eq!(used(""), used(r#","coverage":1.96"#));
        // 0.5 − 1.96 · √2 · 0.1
        assert!(used("").is_ok_and(|used| used.is_some_and(|text| text.starts_with("0.2228141"))));
        assert_ne!(used(""), used(r#","coverage":1.645"#));
    }

    #[test]
    fn codes_that_begin_alike_are_put_in_order_and_told_apart() {
        let long = "the same first sixteen bytes ";
        let posts = ["c", "b", "a", "d"].map(|end| (format!("{long}{end}"), 150.0));
        let answer = calc::run("match", &with_posts(&posts).to_string());
        let expected = format!(r#"{{"sets":[{{"codes":["{long}a","{long}b","{long}c"]"#);
        assert!(answer.as_ref().is_ok_and(|answer| answer.starts_with(&expected)), "{answer:?}");
        let twice = [0, 1, 0].map(|i| posts[i].clone());
        assert!(calc::run("match", &with_posts(&twice).to_string()).is_err());
    }
}
