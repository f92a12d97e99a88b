//! `tripoise serve`: opens the store, listens, and stops cleanly on Ctrl-C and SIGTERM.
//!
//! What this does not do: pair phones; until it can, only this machine is served.
use super::{StoreArg, data};
use crate::run;
use crate::store::{EventStore, JournalStore};
use anyhow::Context;
use clap::Args;
use std::io::{self, IsTerminal, Write};
use std::net::SocketAddr;
use std::path::Path;
use std::process::ExitCode;
use tokio::net::TcpListener;
use tokio::signal::unix::{SignalKind, signal};
use tracing_subscriber::EnvFilter;

/// An invented studio, so that every page has something true to show.
const DEMO: &str = include_str!("../../../demo-data/studio.jsonl");

/// What to serve, and where.
#[derive(Debug, Args)]
pub struct Serve {
    /// Where to listen; only addresses of this machine itself for now
    #[arg(long, value_name = "ADDRESS:PORT", default_value = "127.0.0.1:7450")]
    listen: String,
    #[command(flatten)]
    store: StoreArg,
    /// Fill an empty store with an invented studio
    #[arg(long)]
    demo: bool,
}

impl Serve {
    pub(super) fn run(self) -> anyhow::Result<ExitCode> {
        let address = match loopback(&self.listen) {
            Ok(address) => address,
            Err(cause) => {
                eprintln!("tripoise: {cause}");
                return Ok(ExitCode::from(2));
            }
        };
        start_log();
        let folder = self.store.folder()?;
        let runtime = tokio::runtime::Runtime::new().context("could not start the server's threads")?;
        runtime.block_on(serve(&folder, address, self.demo))?;
        Ok(ExitCode::SUCCESS)
    }
}

async fn serve(folder: &Path, address: SocketAddr, demo: bool) -> anyhow::Result<()> {
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
    let listener = TcpListener::bind(address).await.map_err(|cause| in_words(&cause, address))?;
    let address = listener.local_addr()?;
    let mut out = io::stdout().lock();
    writeln!(out, "Tripoise is at http://{address}")?;
    out.flush()?;
    drop(out);
    tracing::info!(%address, store = %folder.display(), events = opened.store.len(), "serving");
    run(listener, opened, stop).await?;
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

fn loopback(listen: &str) -> Result<SocketAddr, String> {
    let named = listen.strip_prefix("localhost:").map(|port| format!("127.0.0.1:{port}"));
    let text = named.as_deref().unwrap_or(listen);
    let address: SocketAddr = text.parse().map_err(|_| {
        format!("--listen {listen:?} is not an address and a port; give one like 127.0.0.1:7450")
    })?;
    if address.ip().is_loopback() {
        return Ok(address);
    }
    Err(format!(
        "--listen {listen} would open the store to the network, and phones cannot be paired yet; give an address of this machine itself, like 127.0.0.1:{}",
        address.port()
    ))
}

fn in_words(cause: &io::Error, address: SocketAddr) -> anyhow::Error {
    let (ip, port) = (address.ip(), address.port());
    match cause.kind() {
        io::ErrorKind::AddrInUse => anyhow::anyhow!(
            "port {port} of {ip} is in use; stop the program that has it, or choose another port with --listen"
        ),
        io::ErrorKind::PermissionDenied => anyhow::anyhow!(
            "port {port} of {ip} may not be used by this user; choose one above 1023 with --listen"
        ),
        _ => anyhow::anyhow!("could not listen on {address} ({cause}); choose another with --listen"),
    }
}

/// `TRIPOISE_LOG` sets what is logged, `info` by default; to the standard error.
fn start_log() {
    let filter = EnvFilter::try_from_env("TRIPOISE_LOG").unwrap_or_else(|_| EnvFilter::new("info"));
    let log = tracing_subscriber::fmt().with_env_filter(filter).with_writer(io::stderr);
    let log = log.with_ansi(io::stderr().is_terminal());
    if let Err(cause) = log.try_init() {
        eprintln!("tripoise: the log could not be started ({cause})");
    }
}
