//! The server's doors: plain HTTP always, HTTPS beside it on the local network. Both lead to one router.
//!
//! What this does not do: choose addresses or certificates; [`crate::cli`] and [`crate::network`] do.
use crate::access::visit::Door;
use crate::error::ServerError;
use crate::routes;
use crate::state::AppState;
use axum::Extension;
use axum_server::tls_rustls::{RustlsAcceptor, RustlsConfig};
use axum_server::{Control, Handle};
use std::future::Future;
use std::net::SocketAddr;
use std::time::Duration;
use tokio::net::TcpListener;

/// How long open requests may take to end once the server was told to stop.
///
/// House choice: 5 s, half of the 10 s after which service managers commonly kill.
const GRACE: Duration = Duration::from_secs(5);

/// House choice: a phone on bad wireless has sent its first request long before; whoever opens connections
/// and says nothing holds each no longer than this.
const FIRST_REQUEST: Duration = Duration::from_secs(60);

/// Where connections come in.
pub struct Doors {
    /// Plain HTTP.
    pub http: TcpListener,
    /// HTTPS, and what it presents.
    pub https: Option<(TcpListener, RustlsConfig)>,
}

/// Serves until `shutdown` is done; then finishes what is being written and closes the store.
///
/// # Errors   A listener failed, or the store could not be closed.
pub async fn run(
    doors: Doors,
    state: AppState,
    shutdown: impl Future<Output = ()> + Send,
) -> Result<(), ServerError> {
    let control = Control::new();
    let http = axum_server::Server::<SocketAddr>::from_listener(doors.http)
        .handle(Handle::with_control(control.clone()))
        .first_request_timeout(FIRST_REQUEST)
        .serve(service(&state, Door::Http));
    let https = async {
        let Some((listener, config)) = doors.https else { return Ok(()) };
        axum_server::Server::<SocketAddr>::from_listener(listener)
            .acceptor(RustlsAcceptor::new(config))
            .handle(Handle::with_control(control.clone()))
            .first_request_timeout(FIRST_REQUEST)
            .serve(service(&state, Door::Https))
            .await
    };
    let stop = async {
        shutdown.await;
        control.graceful_shutdown(Some(GRACE));
        tokio::time::sleep(GRACE).await;
    };
    let both = async { tokio::try_join!(http, https) };
    let served = tokio::select! {
        served = both => served.map(|_| ()),
        () = stop => Ok(()),
    };
    state.store.close().await?;
    Ok(served?)
}

type Service = axum::extract::connect_info::IntoMakeServiceWithConnectInfo<axum::Router, SocketAddr>;

fn service(state: &AppState, door: Door) -> Service {
    routes::router(state.clone()).layer(Extension(door)).into_make_service_with_connect_info()
}
