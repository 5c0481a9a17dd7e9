//! Pages on the seller's own screen, served to the browser on the same machine.
//!
//! In: a [`DeskRoom`], which answers for its own addresses, and a [`Bulletin`], which says when there is
//! something new. Out: a server that only this machine reaches and only who holds its key gets an answer
//! from: it listens on the loopback address, checks host, origin and key of every request, bounds what
//! one may send, for how long, and how many at once, and writes no log. Here are also the pages
//! themselves (`pages`), which are in the binary, and one room: [`preview`]. Not here: reading files, the
//! ledger's room, opening a browser, and making what is shown (`cli`).

mod answer;
mod assets;
mod bulletin;
mod guard;
pub(crate) mod preview;
mod request;
mod seats;
mod server;
#[cfg(test)]
mod tests;

pub(crate) use answer::HttpAnswer;
pub(crate) use bulletin::Bulletin;
pub(crate) use request::{HttpRequest, Method};
pub(crate) use server::{DeskRoom, DeskServer};
