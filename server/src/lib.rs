//! Tripoise's server: keeps the store, takes events in, serves the pages.
//!
//! Start reading at [`run`], then [`store`] (what is kept and how), [`ledger`] (the world kept up to
//! date), [`exchange`] (what devices send and get) and [`routes`] (every URL). The command line is [`cli`].

pub mod store;

pub mod ledger;

pub mod exchange;
pub mod state;

pub mod error;
pub mod routes;

pub mod assets;
pub mod label_pdf;

pub mod cli;

use error::ServerError;
use state::AppState;
use std::future::{Future, IntoFuture};
use std::time::Duration;
use store::Opened;
use tokio::net::TcpListener;
use tokio::sync::oneshot;

/// How long open requests may take to end once the server was told to stop.
///
/// House choice: 5 s, half of the 10 s after which service managers commonly kill.
const GRACE: Duration = Duration::from_secs(5);

/// Serves an opened store on `listener` until `shutdown` is done; then finishes what is being written.
///
/// # Errors   The store cannot be read, or the listener failed.
pub async fn run(
    listener: TcpListener,
    opened: Opened,
    shutdown: impl Future<Output = ()> + Send + 'static,
) -> Result<(), ServerError> {
    let state = AppState::start(opened, listener.local_addr()?)?;
    let (stop, stopped) = oneshot::channel::<()>();
    let server = axum::serve(listener, routes::router(state.clone())).with_graceful_shutdown(async move {
        // A dropped sender means the same.
        drop(stopped.await);
    });
    let mut server = std::pin::pin!(server.into_future());
    let deadline = async move {
        shutdown.await;
        drop(stop);
        tokio::time::sleep(GRACE).await;
    };
    let served = tokio::select! {
        served = &mut server => served,
        () = deadline => Ok(()),
    };
    state.store.close().await?;
    Ok(served?)
}
