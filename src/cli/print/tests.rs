//! How long a printer is waited for. Everything else is tested from outside (`tests/it/printing.rs`).

use std::io::{Read as _, Write as _};
use std::net::TcpListener;
use std::thread;
use std::time::{Duration, Instant};

use super::address::QueueAddress;
use super::connection::CallPatience;
use super::queue::PrintQueue;
use crate::cli::exit::Exit;

/// A queue whose patience is short, behind which a printer sends so many bytes and then one more every
/// now and then, for ever.
fn slow_queue(at_once: &'static [u8]) -> PrintQueue {
    let listener = TcpListener::bind(("127.0.0.1", 0)).unwrap();
    let port = listener.local_addr().unwrap().port();
    thread::spawn(move || {
        for stream in listener.incoming() {
            let mut stream = stream.unwrap();
            thread::spawn(move || {
                let _ = stream.read(&mut [0; 4096]);
                let mut sent = stream.write_all(at_once);
                while sent.is_ok() {
                    thread::sleep(Duration::from_millis(20));
                    sent = stream.write_all(b"1");
                }
            });
        }
    });
    let address = QueueAddress { host: "127.0.0.1".into(), port, path: "/ipp/print".into() };
    let mut queue = PrintQueue::new("bench", address);
    let short = Duration::from_millis(200);
    queue.patience = CallPatience { connect: short, stall: short, answer: short };
    queue
}

#[test]
fn an_answer_that_drips_in_is_not_waited_for() {
    let heads: [&[u8]; 2] =
        [b"HTTP/1.1 200 OK\r\nContent-Length: 100000\r\n\r\n", b"HTTP/1.1 200 OK\r\nX: "];
    for begun in heads {
        let start = Instant::now();
        let halt = slow_queue(begun).look().unwrap_err();
        assert!(start.elapsed() < Duration::from_secs(5));
        assert_eq!(halt.findings[0].message, "`bench` did not answer in time");
        assert_eq!(halt.exit, Exit::Output);
    }
}

#[test]
fn a_job_is_not_called_printed_when_the_printer_falls_silent() {
    let queue = slow_queue(b"HTTP/1.1 200 OK\r\nContent-Length: 100000\r\n\r\n");
    let halt = queue.watch(7, Duration::from_secs(60), |_| {}).unwrap_err();
    assert_eq!(halt.findings[0].message, "`bench` did not answer in time");
    assert_eq!(halt.closing, ["whether job 7 was printed is not known"]);
}
