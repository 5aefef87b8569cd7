//! `serve`: the shop's own pages, from this one program, with nothing fetched from elsewhere.

mod acting;
mod api;
mod assets;
mod bays;
mod begin;
mod caller;
mod certificate;
mod changes;
mod ended;
mod ending;
mod fault;
mod frame;
mod hand;
mod health;
mod house;
mod invented;
mod job;
mod measure;
mod missing;
mod net;
mod once;
mod people;
mod picture;
mod plan;
mod practice;
mod raise;
mod reach;
mod records;
mod replay;
mod routes;
mod session;
mod settings;
mod shelf;
mod shown_as;
mod sign_in;
#[cfg(test)]
mod tests;
mod today;
mod unwritten;
mod written;

use std::net::SocketAddr;
use std::path::PathBuf;
use std::time::{Duration, SystemTime};

use clap::Args;

use crate::desk::{Ended, Place, tell, time_of};

/// Where to listen, and for whom.
#[derive(Args, Debug)]
pub(crate) struct Options {
    #[command(flatten)]
    place: Place,
    /// Address and port. On any but this machine's own the pages are sent under TLS only, and whoever begins the book from
    /// another machine types the code that is printed here.
    #[arg(long, value_name = "ADDRESS:PORT", default_value = "127.0.0.1:7420")]
    listen: SocketAddr,
    /// The shop's own certificate, PEM. Left out on a network = one made for this shop, kept beside the book.
    #[arg(long, value_name = "FILE", requires = "key")]
    certificate: Option<PathBuf>,
    /// Its private key, PEM.
    #[arg(long, value_name = "FILE", requires = "certificate")]
    key: Option<PathBuf>,
    /// A name or address under which tablets ask, beside this machine's own; may be said several times.
    #[arg(long = "name", value_name = "NAME", value_parser = named)]
    names: Vec<String>,
    /// Whoever leaves a tablet alone for so many minutes is signed out.
    #[arg(long, value_name = "MINUTES", default_value_t = 15, value_parser = clap::value_parser!(u64).range(1..=720))]
    idle: u64,
    /// Say nothing of each request.
    #[arg(long)]
    quiet: bool,
}

impl Options {
    const fn idle(&self) -> Duration {
        Duration::from_secs(self.idle * 60)
    }
}

fn named(text: &str) -> Result<String, String> {
    reach::name(text)
        .ok_or_else(|| "it is no name of a machine and no address, such as shop.example".to_owned())
}

/// Serves until it is told to stop; what was confirmed by then is finished.
pub(crate) fn run(options: &Options) -> u8 {
    let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build();
    let ended = match runtime {
        Ok(runtime) => time_of(SystemTime::now()).and_then(|_| runtime.block_on(net::serve(options))),
        Err(fault) => Err(Ended::bad(&format!("the program cannot start its work: {fault}"), "try again")),
    };
    match ended {
        Ok(code) => code,
        Err(ended) => tell(&ended),
    }
}
