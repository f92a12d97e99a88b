//! Labels: where they lie on a sheet, what the symbol on each says, and what each is printed with.
//!
//! Start reading at [`sheet::lay_out`]. The printable page and the PDF draw the same [`sheet::Place`]s.
//! What this does not do: draw, or know which pieces want a label; `view/labels` does.

mod grid;
pub mod sheet;
mod symbol;
mod token;

pub use grid::{Grid, GridError, Paper, common};
pub use symbol::{Symbol, SymbolError};
pub use token::{Scanned, Token};
