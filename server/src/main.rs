//! The `tripoise` binary. All of it is in the library; see [`tripoise::cli`].
use std::process::ExitCode;

fn main() -> ExitCode {
    tripoise::cli::main()
}
