//! The build of Tripoise as a library, so that its decisions can be tested.
//!
//! [`toolchain`] finds a compiler for the browser, [`wasm`] makes the program with it, [`decoder`] what reads labels, [`bundle`]
//! puts program, style and public files together and into the server's binary. [`serve`], [`mod@test`],
//! [`mod@bench`] and [`pictures`] use that binary. [`answers`] builds the calculations alone, for both
//! machines, [`calculations`] measures them, [`mod@phone`] what is waited for on a phone, [`rating`] asks
//! Lighthouse. [`tools`] fetches what they need, [`project`] knows
//! the folders and runs commands.
//!
//! What this does not do: anything at run time. The binary needs nothing from here.
pub mod answers;
pub mod bench;
pub mod bundle;
pub mod calculations;
pub mod decoder;
pub mod files;
pub mod phone;
pub mod pictures;
pub mod project;
pub mod rating;
pub mod serve;
pub mod server_process;
pub mod test;
pub mod times;
pub mod toolchain;
pub mod tools;
pub mod wasm;
