//! How long builds took, kept for `cargo xtask bench`.
use crate::project::{Project, say};
use anyhow::{Context as _, Result};
use std::fmt::Write as _;
use std::fs;
use std::time::Duration;

/// Linux counts a process's start in hundredths of a second (`proc(5)`: USER_HZ, 100 on every Linux port in use).
const TICKS_PER_S: f64 = 100.0;

/// Says how long the steps took; keeps the list when it was a build from nothing.
///
/// # Errors   When the list cannot be written.
pub fn note(project: &Project, cold: bool, steps: &[(&str, Duration)]) -> Result<()> {
    let mut text = String::new();
    for (name, took) in steps {
        write!(text, "{name} {:.1} s, ", took.as_secs_f64())?;
    }
    let total = since_start()?;
    write!(text, "in all {total:.0} s")?;
    say(format_args!("built: {text}"));
    if cold {
        fs::write(project.target.join("cold-build.txt"), text)?;
    }
    Ok(())
}

/// What the last build from nothing took, where it is known.
#[must_use]
pub fn last_cold_build(project: &Project) -> Option<String> {
    fs::read_to_string(project.target.join("cold-build.txt")).ok()
}

/// Seconds since `cargo xtask` was typed: cargo becomes this process, so its own build counts in.
fn since_start() -> Result<f64> {
    let stat = fs::read_to_string("/proc/self/stat")?;
    let started = started_ticks(&stat).context("/proc/self/stat reads otherwise than expected")?;
    let uptime = fs::read_to_string("/proc/uptime")?;
    let now_s: f64 = uptime.split_whitespace().next().context("/proc/uptime is empty")?.parse()?;
    Ok(now_s - started / TICKS_PER_S)
}

/// The 22nd field of `/proc/PID/stat`; the second is a name in parentheses that may hold anything.
fn started_ticks(stat: &str) -> Option<f64> {
    stat.rsplit_once(')')?.1.split_whitespace().nth(19)?.parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_start_is_found_behind_any_name() {
        let stat = "7 (a) b (c)) S 1 7 7 0 -1 4194304 1 0 0 0 0 0 0 0 20 0 1 0 4321 1 1";
        assert_eq!(started_ticks(stat), Some(4321.0));
        assert_eq!(started_ticks("7 (a"), None);
    }

    #[test]
    fn this_process_started_a_moment_ago() -> Result<()> {
        let seconds = since_start()?;
        assert!((0.0..3600.0).contains(&seconds), "{seconds}");
        Ok(())
    }
}
