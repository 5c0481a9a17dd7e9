//! Where a print queue is.
//!
//! In: a queue's name, or an address. Out: host, port and path, and the address as the protocol has it.
//! Not here: whether anybody listens there.

use std::fmt::Write as _;

use crate::cli::halt::Halt;

/// The port of the protocol (RFC 8010 §4).
const PORT: u16 = 631;

/// Where a print queue is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct QueueAddress {
    /// The machine.
    pub(super) host: String,
    /// The port of its print server; 631 unless the address says another.
    pub(super) port: u16,
    /// The queue on it, from the first `/`.
    pub(super) path: String,
}

impl QueueAddress {
    /// The address that a queue's name or an address means.
    ///
    /// # Errors
    /// When it is neither.
    pub(crate) fn read(text: &str) -> Result<QueueAddress, Halt> {
        if let Some(rest) = text.strip_prefix("ipp://") {
            return read_address(rest).ok_or_else(|| {
                Halt::usage(format!("`{text}` is no address of a printer"))
                    .hint("write one such as `ipp://localhost:631/printers/bench`")
            });
        }
        let is_name = !text.is_empty() && !text.contains(['/', '#', ':', ' ']);
        if is_name && !text.chars().any(char::is_control) {
            return Ok(QueueAddress::of_queue(text));
        }
        let halt = Halt::usage(format!("`{text}` is neither a print queue's name nor its address"));
        Err(match text.starts_with("ipps:") || text.starts_with("http") {
            true => halt.hint(
                "encrypted printers and those behind a web address are reached by a queue of this \
                 machine: set one up, and name it",
            ),
            false => halt.hint("write one such as `bench` or `ipp://localhost:631/printers/bench`"),
        })
    }

    /// A queue of this machine's print system.
    fn of_queue(name: &str) -> QueueAddress {
        let server = QueueAddress::of_system();
        QueueAddress { path: format!("/printers/{}", percent_encode(name)), ..server }
    }

    /// The print system itself: this machine's, or the one that `CUPS_SERVER` names (cups(1)).
    pub(crate) fn of_system() -> QueueAddress {
        let named = std::env::var("CUPS_SERVER").unwrap_or_default();
        // A path is a socket, beside which the system listens at its port all the same.
        let named = Some(named).filter(|it| !it.is_empty() && !it.starts_with('/'));
        let usual = QueueAddress { host: "localhost".into(), port: PORT, path: "/".into() };
        // A version of the protocol may stand behind a slash.
        let named = named.and_then(|named| read_address(&named));
        named.map_or(usual, |named| QueueAddress { path: "/".into(), ..named })
    }

    /// Host and port, as a connection's head names them.
    pub(super) fn authority(&self) -> String {
        match self.host.contains(':') {
            true => format!("[{}]:{}", self.host, self.port),
            false => format!("{}:{}", self.host, self.port),
        }
    }

    /// The whole address.
    pub(crate) fn uri(&self) -> String {
        format!("ipp://{}{}", self.authority(), self.path)
    }
}

/// An address behind its scheme.
fn read_address(rest: &str) -> Option<QueueAddress> {
    let (authority, path) = match rest.find('/') {
        Some(at) => rest.split_at(at),
        None => (rest, "/"),
    };
    let (host, port) = match authority.strip_prefix('[') {
        Some(inner) => {
            let (host, port) = inner.split_once(']')?;
            (host, port.strip_prefix(':'))
        }
        None => match authority.split_once(':') {
            Some((host, port)) => (host, Some(port)),
            None => (authority, None),
        },
    };
    let port = port.map_or(Some(PORT), |port| port.parse().ok())?;
    let is_host = |c: char| c.is_ascii_alphanumeric() || matches!(c, '.' | '-' | '_' | ':' | '%');
    let is_path = |c: char| c.is_ascii_graphic() && c != '#';
    let is_good = !host.is_empty() && host.chars().all(is_host) && path.chars().all(is_path);
    is_good.then(|| QueueAddress { host: host.to_owned(), port, path: path.to_owned() })
}

/// A name as part of a path (RFC 3986 §2.3: letters, digits and four signs stay).
fn percent_encode(name: &str) -> String {
    let mut encoded = String::new();
    for byte in name.bytes() {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' => {
                encoded.push(char::from(byte));
            }
            // Writing to a string cannot fail.
            _ => {
                let _ = write!(encoded, "%{byte:02X}");
            }
        }
    }
    encoded
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_and_addresses_are_read() {
        let uri = |text: &str| QueueAddress::read(text).map(|it| it.uri()).unwrap();
        assert_eq!(uri("ipp://192.168.0.9/ipp/print"), "ipp://192.168.0.9:631/ipp/print");
        assert_eq!(uri("ipp://[fe80::1%eth0]:8631"), "ipp://[fe80::1%eth0]:8631/");
        let queue = QueueAddress::of_queue("Größe_4x6");
        assert_eq!(queue.path, "/printers/Gr%C3%B6%C3%9Fe_4x6");
    }

    #[test]
    fn what_is_neither_is_told() {
        let told = |text: &str| {
            let halt = QueueAddress::read(text).unwrap_err();
            (halt.findings[0].message.clone(), halt.findings[0].hints.join(""))
        };
        assert_eq!(
            told("two words").0,
            "`two words` is neither a print queue's name nor its address"
        );
        assert!(told("ipps://printer/ipp").1.starts_with("encrypted printers"));
        for text in ["ipp://", "ipp://a:b/", "ipp://a:99999/", "ipp://a b/", "ipp://a/\r\nX: y", ""]
        {
            assert!(QueueAddress::read(text).is_err(), "{text:?}");
        }
    }
}
