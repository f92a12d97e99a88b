//! `tripoise serve`: opens the store, opens the doors, and stops cleanly on Ctrl-C and SIGTERM.
//!
//! What this does not do: make certificates or decide who may come in; see [`super::reach`].
use super::reach::{self, ReachArgs, Reached};
use super::{StoreArg, data};
use crate::doors::{self, Doors};
use crate::state::AppState;
use crate::store::{EventStore, JournalStore};
use anyhow::Context;
use clap::Args;
use std::io::{self, IsTerminal, Write};
use std::path::Path;
use std::process::ExitCode;
use std::sync::Arc;
use tokio::signal::unix::{SignalKind, signal};
use tracing_subscriber::EnvFilter;

/// An invented studio, so that every page has something true to show.
const DEMO: &str = include_str!("../../../demo-data/studio.jsonl");

/// What to serve, and where.
#[derive(Debug, Args)]
pub struct Serve {
    #[command(flatten)]
    reach: ReachArgs,
    #[command(flatten)]
    store: StoreArg,
    /// Fill an empty store with an invented studio
    #[arg(long)]
    demo: bool,
}

impl Serve {
    pub(super) fn run(self) -> anyhow::Result<ExitCode> {
        let plan = match self.reach.plan() {
            Ok(plan) => plan,
            Err(cause) => {
                eprintln!("tripoise: {cause}");
                return Ok(ExitCode::from(2));
            }
        };
        start_log();
        let folder = self.store.folder()?;
        let runtime = tokio::runtime::Runtime::new().context("could not start the server's threads")?;
        runtime.block_on(serve(&folder, plan, self.demo))?;
        Ok(ExitCode::SUCCESS)
    }
}

async fn serve(folder: &Path, plan: reach::Plan, demo: bool) -> anyhow::Result<()> {
    // Before the store is opened, so that a stop during a long start is clean too.
    let stop = stop_signal()?;
    let opened = JournalStore::open(folder)?;
    for note in &opened.notes {
        tracing::warn!("{note}");
    }
    if demo && opened.store.is_empty() {
        let report = data::add(&opened.store, &data::read_lines(DEMO.as_bytes())?)?;
        tracing::info!(events = report.n_stored, "the store was empty and now holds the demo studio");
    }
    let n_events = opened.store.len();
    let Reached { http, https, access, network } = plan.open(folder).await?;
    let access = Arc::new(access);
    let said = reach::greeting(folder, &access)?;
    let state = AppState::start(opened, Arc::clone(&access))?;
    let announced = network.as_ref().and_then(|network| network.start(&access));
    let mut out = io::stdout().lock();
    writeln!(out, "{}", said.join("\n"))?;
    out.flush()?;
    drop(out);
    tracing::info!(address = %http.local_addr()?, store = %folder.display(), events = n_events, "serving");
    let stop = async {
        stop.await;
        if let Some(announced) = announced {
            announced.take_back().await;
        }
    };
    doors::run(Doors { http, https }, state, stop).await?;
    tracing::info!("stopped; everything acknowledged is on the disk");
    Ok(())
}

/// Done at the first Ctrl-C or SIGTERM.
fn stop_signal() -> anyhow::Result<impl Future<Output = ()> + Send + 'static> {
    let (mut interrupt, mut terminate) = (signal(SignalKind::interrupt())?, signal(SignalKind::terminate())?);
    Ok(async move {
        tokio::select! {
            _ = interrupt.recv() => {}
            _ = terminate.recv() => {}
        }
        tracing::info!("stopping: finishing what is being written");
    })
}

/// `TRIPOISE_LOG` sets what is logged, `info` by default; to the standard error.
fn start_log() {
    let filter =
        EnvFilter::try_from_env("TRIPOISE_LOG").unwrap_or_else(|_| EnvFilter::new("info,mdns_sd=off"));
    let log = tracing_subscriber::fmt().with_env_filter(filter).with_writer(io::stderr);
    let log = log.with_ansi(io::stderr().is_terminal());
    if let Err(cause) = log.try_init() {
        eprintln!("tripoise: the log could not be started ({cause})");
    }
}
