//! `tripoise calc stack`: a column of shelves on three posts each, bottom first.
//!
//! What this does not do: say that a stack may be fired. It gives figures for rigid parts at rest.
use super::input::{FAR_MM, HEIGHT, LENGTH, MASS, Node, OWN_MASS, Object, POSITION, Quantity};
use super::output::Output;
use super::{CalcError, Kind};
use crate::geometry::PlanPoint;
use crate::geometry::stack::{LaidShelf, Layer, PlacedLoad, StackError, stand};
use crate::geometry::three_post::Post;

/// The kind.
pub const KIND: Kind = Kind { name: "stack", run, help: HELP };

const HELP: &str = "\
How a column of shelves stands: lean, added-up slope, and what keeps each layer from tipping. Rigid parts,
small angles, posts square to the plane they stand on, the floor level at height 0.

Input:
layers          1 to 200, the bottom one first, all in one plan; each
  posts         three of {x_mm, y_mm, height_mm}
  shelf         {length_mm, width_mm, thickness_mm, mass_kg}, from (0, 0) to (length, width)
  loads         [{x_mm, y_mm, mass_kg, centre_height_mm}], the last above the shelf's top (may be left out)

Output: layers [{top_mm; slope_mm_per_m; lean_mm; post_offsets_mm, each post's plan distance to the nearest
post below, null in the bottom layer; margin_mm, least signed distance from the centre of mass of all that
these posts carry to the sides of their triangle, negative where it tips; carried_kg}]; height_mm; lean_mm
(of the top); mass_kg; worst_layer, the index of the least margin; worst_margin_mm.

Example:
tripoise calc stack <<'END'
{\"layers\":[{\"posts\":[{\"x_mm\":40,\"y_mm\":40,\"height_mm\":150.0},{\"x_mm\":560,\"y_mm\":40,\"height_mm\":150.4},
{\"x_mm\":300,\"y_mm\":260,\"height_mm\":149.8}],\"shelf\":{\"length_mm\":600,\"width_mm\":300,\"thickness_mm\":19,\"mass_kg\":7.1},
\"loads\":[{\"x_mm\":150,\"y_mm\":150,\"mass_kg\":1.2,\"centre_height_mm\":60}]}]}
END
";

/// House choice: a column of 200 layers is ten times as many as any kiln holds.
const MOST_LAYERS: usize = 200;
/// House choice: pots on one shelf.
const MOST_LOADS: usize = 10_000;
const THICKNESS: Quantity = Quantity::from_zero("a thickness", "millimetres from 0 to 100000", FAR_MM);
const CENTRE_HEIGHT: Quantity =
    Quantity::from_zero("a height of a centre of mass", "millimetres from 0 to 100000", FAR_MM);

fn run(node: &Node<'_>) -> Result<String, CalcError> {
    let fields = node.object(&["layers"])?;
    let list = fields.field("layers", "a list of layers, each {posts, shelf, loads}")?;
    let layers = list.list("layers", 1, MOST_LAYERS)?.read(read_layer)?;
    let stack = stand(&layers).map_err(|why| match why {
        StackError::PostsInLine { layer } => CalcError::together(
            format!("layers[{layer}].posts"),
            "the three posts stand in one line",
            "three posts that span a triangle",
        ),
        other @ (StackError::Weightless { .. } | StackError::Empty) => {
            list.cannot(other.to_string(), "layers with a mass")
        }
    })?;
    let mut out = Output::new();
    out.objects("layers", &stack.layers, |out, layer| {
        out.number("top_mm", layer.top_mm)
            .number("slope_mm_per_m", layer.slope_mm_per_m)
            .number("lean_mm", layer.lean_mm);
        match layer.post_offsets_mm {
            Some(offsets) => out.numbers("post_offsets_mm", &offsets),
            None => out.null("post_offsets_mm"),
        };
        out.number("margin_mm", layer.margin_mm).number("carried_kg", layer.carried_kg);
    });
    out.number("height_mm", stack.height_mm)
        .number("lean_mm", stack.lean_mm)
        .number("mass_kg", stack.mass_kg)
        .whole("worst_layer", stack.worst_layer)
        .number("worst_margin_mm", stack.worst_margin_mm);
    out.finish()
}

fn read_layer(layer: &Node<'_>) -> Result<Layer, CalcError> {
    let fields = layer.object(&["posts", "shelf", "loads"])?;
    let posts = fields.field("posts", "three posts, each {x_mm, y_mm, height_mm}")?;
    let found = posts.list("posts", 3, 3)?.read(read_post)?;
    let posts = <[Post; 3]>::try_from(found).map_err(|_| posts.refuse("three posts", "3 of them"))?;
    let shelf = fields.field("shelf", "{length_mm, width_mm, thickness_mm, mass_kg}")?;
    let loads = match fields.optional("loads") {
        Some(loads) => loads.list("loads", 0, MOST_LOADS)?.read(read_load)?,
        None => Vec::new(),
    };
    Ok(Layer { posts, shelf: read_shelf(&shelf)?, loads })
}

fn read_post(post: &Node<'_>) -> Result<Post, CalcError> {
    let fields = post.object(&["x_mm", "y_mm", "height_mm"])?;
    let PlanPoint { x_mm, y_mm } = read_place(&fields)?;
    Ok(Post { x_mm, y_mm, height_mm: fields.number("height_mm", &HEIGHT)? })
}

fn read_shelf(shelf: &Node<'_>) -> Result<LaidShelf, CalcError> {
    let fields = shelf.object(&["length_mm", "width_mm", "thickness_mm", "mass_kg"])?;
    Ok(LaidShelf {
        length_mm: fields.number("length_mm", &LENGTH)?,
        width_mm: fields.number("width_mm", &LENGTH)?,
        thickness_mm: fields.number("thickness_mm", &THICKNESS)?,
        mass_kg: fields.number("mass_kg", &OWN_MASS)?,
    })
}

fn read_load(load: &Node<'_>) -> Result<PlacedLoad, CalcError> {
    let fields = load.object(&["x_mm", "y_mm", "mass_kg", "centre_height_mm"])?;
    Ok(PlacedLoad {
        at: read_place(&fields)?,
        mass_kg: fields.number("mass_kg", &MASS)?,
        centre_height_mm: fields.number("centre_height_mm", &CENTRE_HEIGHT)?,
    })
}

fn read_place(fields: &Object<'_>) -> Result<PlanPoint, CalcError> {
    Ok(PlanPoint { x_mm: fields.number("x_mm", &POSITION)?, y_mm: fields.number("y_mm", &POSITION)? })
}
