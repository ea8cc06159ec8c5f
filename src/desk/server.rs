//! Turns an open port into answers: connections of this machine alone, each with limits on size and time.
//! Invariant: a request that is slow, broken or endless costs itself only; the desk stops when it is told to.
//! Must not: know what a path shows.

use std::net::{Ipv4Addr, SocketAddr};
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use tokio::net::TcpListener;
use tokio::sync::{Semaphore, watch};

use crate::practice::Failed;

/// So long may the head of a request take.
const HEAD_TIME: Duration = Duration::from_secs(10);

/// So long may a connection be open; the longest answer, a day's pack, takes seconds.
const CONNECTION_TIME: Duration = Duration::from_secs(300);

/// So long are requests waited for that were begun when the desk is told to stop.
const FAREWELL: Duration = Duration::from_secs(5);

/// More than a browser opens.
const CONNECTIONS: usize = 256;

/// Bytes of the head of a request.
const HEAD_SIZE: usize = 32 * 1024;

/// The port of a desk, listened at and not yet answered.
pub(super) struct Port {
    listener: std::net::TcpListener,
    pub number: u16,
}

impl Port {
    /// Listens on this machine's own address; port 0: whichever is free.
    ///
    /// # Errors
    /// The port is taken.
    pub fn open(port: u16) -> Result<Port, Failed> {
        let address = SocketAddr::from((Ipv4Addr::LOCALHOST, port));
        let cannot = |error| Failed::doing(format!("cannot listen at {address}"), error);
        let listener = std::net::TcpListener::bind(address).map_err(cannot)?;
        listener.set_nonblocking(true).map_err(cannot)?;
        let number = listener.local_addr().map_err(cannot)?.port();
        Ok(Port { listener, number })
    }

    /// Answers until the process is told to stop.
    ///
    /// # Errors
    /// The system refuses a thread or a signal.
    pub fn answer(self, router: Router) -> Result<(), Failed> {
        let cannot = |error| Failed::doing("cannot run the desk", error);
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_all()
            .max_blocking_threads(8)
            .thread_name("desk")
            .build()
            .map_err(cannot)?;
        let answered = runtime.block_on(async {
            let listener = TcpListener::from_std(self.listener)?;
            accept(listener, router).await
        });
        runtime.shutdown_timeout(FAREWELL);
        answered.map_err(cannot)
    }
}

async fn accept(listener: TcpListener, router: Router) -> std::io::Result<()> {
    let places = Arc::new(Semaphore::new(CONNECTIONS));
    let (stop, stopped) = watch::channel(false);
    let mut told = std::pin::pin!(told_to_stop()?);
    loop {
        let place = places.clone().acquire_owned();
        let place = tokio::select! {
            () = &mut told => break,
            place = place => place.expect("the semaphore is never closed"),
        };
        let stream = tokio::select! {
            () = &mut told => break,
            accepted = listener.accept() => accepted,
        };
        let Ok((stream, _)) = stream else {
            // too many open files, or a caller who is gone already: the next may be luckier
            tokio::time::sleep(Duration::from_millis(50)).await;
            continue;
        };
        let router = router.clone();
        let mut stopped = stopped.clone();
        tokio::spawn(async move {
            let connection = hyper::server::conn::http1::Builder::new()
                .timer(TokioTimer::new())
                .header_read_timeout(HEAD_TIME)
                .max_buf_size(HEAD_SIZE)
                // who has said all there is to say may still listen
                .half_close(true)
                .serve_connection(TokioIo::new(stream), TowerToHyperService::new(router));
            let mut connection = std::pin::pin!(connection);
            let limit = tokio::time::sleep(CONNECTION_TIME);
            tokio::select! {
                // how a connection ends is the caller's business
                _ = connection.as_mut() => {}
                () = limit => {}
                () = async { let _ = stopped.wait_for(|stopped| *stopped).await; } => {
                    connection.as_mut().graceful_shutdown();
                    let _ = tokio::time::timeout(FAREWELL, connection).await;
                }
            }
            drop(place);
        });
    }
    drop(listener);
    // nobody listens any more when all connections are closed already
    let _ = stop.send(true);
    let all = u32::try_from(CONNECTIONS).expect("a small number");
    let _ = tokio::time::timeout(FAREWELL, places.acquire_many(all)).await;
    Ok(())
}

/// Ends when the process is told to stop, from the keyboard or by the system.
fn told_to_stop() -> std::io::Result<impl Future<Output = ()>> {
    #[cfg(unix)]
    let mut terminated = tokio::signal::unix::signal(tokio::signal::unix::SignalKind::terminate())?;
    Ok(async move {
        #[cfg(unix)]
        tokio::select! {
            _ = tokio::signal::ctrl_c() => {}
            _ = terminated.recv() => {}
        }
        #[cfg(not(unix))]
        let _ = tokio::signal::ctrl_c().await;
    })
}
