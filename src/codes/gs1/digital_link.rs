//! Element strings as a GS1 Digital Link.
//!
//! In: verified elements and a domain. Out: a URI that begins with the key and its qualifiers in
//! the path and ends with the attributes as a query (GS1 Digital Link standard, URI syntax). Not
//! here: the elements' own checks, and who answers at the domain.

use super::{Element, Gs1Error};

/// The keys a link can begin with, each with the lists of identifiers that may follow it in the
/// path, in this order (GS1 Barcode Syntax Dictionary, `dlpkey`).
const KEYS: [(&str, &[&[&str]]); 16] = [
    ("00", &[]),
    ("01", &[&["22", "10", "21"], &["235"]]),
    ("253", &[]),
    ("255", &[]),
    ("401", &[]),
    ("402", &[]),
    ("414", &[&["254"], &["7040"]]),
    ("415", &[&["8020"]]),
    ("417", &[&["7040"]]),
    ("8003", &[]),
    ("8004", &[&["7040"]]),
    ("8006", &[&["22", "10", "21"]]),
    ("8010", &[&["8011"]]),
    ("8013", &[]),
    ("8017", &[&["8019"]]),
    ("8018", &[&["8019"]]),
];

/// The elements as a web address: key and qualifiers as its path, all others behind `?`.
pub(super) fn write_link(elements: &[Element], domain: &str) -> Result<String, Gs1Error> {
    let base = check_domain(domain)?;
    let (key, lists) = elements
        .iter()
        .find_map(|element| qualifiers_of(&element.ai).map(|lists| (element, lists)))
        .ok_or(Gs1Error::NoLinkKey)?;
    let others: Vec<&Element> = elements.iter().filter(|e| e.ai != key.ai).collect();
    let qualifiers = choose_qualifiers(&others, lists);
    let attributes: Vec<&Element> =
        others.into_iter().filter(|e| !qualifiers.contains(&e.ai.as_str())).collect();
    if let Some(stray) = attributes.iter().find(|e| !e.row.attribute) {
        return Err(Gs1Error::NotInLink { ai: stray.ai.clone(), key: key.ai.clone() });
    }
    let mut link = format!("https://{base}/{}/{}", key.ai, escape(&key.value));
    for element in qualifiers.iter().filter_map(|q| elements.iter().find(|e| e.ai == *q)) {
        link.push_str(&format!("/{}/{}", element.ai, escape(&element.value)));
    }
    for (place, element) in attributes.iter().enumerate() {
        let joint = if place == 0 { '?' } else { '&' };
        link.push_str(&format!("{joint}{}={}", element.ai, escape(&element.value)));
    }
    Ok(link)
}

/// The qualifier lists of a key; `None` for an identifier that is no key.
fn qualifiers_of(ai: &str) -> Option<&'static [&'static [&'static str]]> {
    KEYS.iter().find(|(key, _)| *key == ai).map(|(_, lists)| *lists)
}

/// The qualifiers that go into the path: those of the first list that leaves no element without a
/// place, or else of the first that has any. Lists are never mixed.
fn choose_qualifiers(
    others: &[&Element],
    lists: &'static [&'static [&'static str]],
) -> Vec<&'static str> {
    let present = |list: &&'static [&'static str]| -> Vec<&'static str> {
        list.iter().copied().filter(|q| others.iter().any(|e| e.ai == *q)).collect()
    };
    let leaves_none = |chosen: &Vec<&'static str>| {
        others.iter().all(|e| e.row.attribute || chosen.contains(&e.ai.as_str()))
    };
    let choices: Vec<Vec<&'static str>> =
        lists.iter().map(present).filter(|chosen| !chosen.is_empty()).collect();
    choices.iter().find(|c| leaves_none(c)).or(choices.first()).cloned().unwrap_or_default()
}

/// The domain and path without scheme and closing slash, when they hold only what they may.
fn check_domain(domain: &str) -> Result<&str, Gs1Error> {
    let base = domain.strip_prefix("https://").unwrap_or(domain).trim_end_matches('/');
    let (host, path) = base.split_once('/').unwrap_or((base, ""));
    let name = host.split_once(':').map_or(host, |(name, _)| name);
    let port = &host[name.len()..];
    let is_label = |label: &str| {
        !label.is_empty()
            && label.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-')
            && !label.starts_with('-')
            && !label.ends_with('-')
    };
    let is_name = name.contains('.') && name.split('.').all(is_label);
    let is_port =
        port.is_empty() || (port.len() > 1 && port[1..].bytes().all(|byte| byte.is_ascii_digit()));
    let is_path = path.bytes().all(|b| b == b'/' || is_unreserved(b)) && !base.contains("//");
    if is_name && is_port && is_path {
        return Ok(base);
    }
    Err(Gs1Error::Domain { domain: domain.to_owned() })
}

/// Whether a byte stands for itself in a URI (RFC 3986 §2.3).
fn is_unreserved(byte: u8) -> bool {
    byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'.' | b'_' | b'~')
}

/// A value with every byte but the unreserved ones written as `%XX` (RFC 3986 §2.1).
fn escape(value: &str) -> String {
    let mut escaped = String::with_capacity(value.len());
    for byte in value.bytes() {
        match is_unreserved(byte) {
            true => escaped.push(char::from(byte)),
            false => escaped.push_str(&format!("%{byte:02X}")),
        }
    }
    escaped
}
