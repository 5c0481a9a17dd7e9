//! `slipwright preview` without a browser: what it serves, and that it follows its files.
//! `tests/outside/preview.mjs` looks at the page itself.

use std::fs;
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::path::PathBuf;
use std::process::Child;
use std::time::{Duration, Instant};

use serde_json::Value;

use crate::command::Desk;

/// A preview that runs until the test ends.
struct Preview {
    /// The command.
    child: Child,
    /// Host and port.
    authority: String,
    /// The cookie with its key.
    cookie: String,
}

impl Drop for Preview {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

impl Preview {
    /// Starts it, and goes in by the address that it prints.
    fn start(desk: &Desk, arguments: &[&str]) -> Preview {
        let mut child = desk.start(&[&["preview"], arguments, &["--no-open"]].concat());
        let mut line = String::new();
        BufReader::new(child.stdout.as_mut().unwrap()).read_line(&mut line).unwrap();
        let address = line.trim().strip_prefix("http://").unwrap_or_else(|| panic!("{line}"));
        let (authority, path) = address.split_once('/').unwrap();
        let (authority, cookie) = (authority.to_owned(), String::new());
        let mut preview = Preview { child, authority, cookie };
        let entered = String::from_utf8(preview.get(&format!("/{path}"))).unwrap();
        let (_, rest) = entered.split_once("Set-Cookie: ").unwrap();
        preview.cookie = rest.split(';').next().unwrap().to_owned();
        preview
    }

    /// What is at an address, with its headers.
    fn get(&self, path: &str) -> Vec<u8> {
        let mut stream = TcpStream::connect(&self.authority).unwrap();
        let (host, cookie) = (&self.authority, &self.cookie);
        let request = format!("GET {path} HTTP/1.1\r\nHost: {host}\r\nCookie: {cookie}\r\n\r\n");
        stream.write_all(request.as_bytes()).unwrap();
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer).unwrap();
        answer
    }

    /// What is at an address, alone.
    fn body(&self, path: &str) -> Vec<u8> {
        let answer = self.get(path);
        let end = answer.windows(4).position(|four| four == b"\r\n\r\n").unwrap();
        answer[end + 4..].to_vec()
    }

    /// What is shown.
    fn look(&self) -> Value {
        serde_json::from_slice(&self.body("/preview/look")).unwrap()
    }

    /// What is shown as soon as it is as it should be.
    fn until(&self, is_so: impl Fn(&Value) -> bool) -> Value {
        let began = Instant::now();
        loop {
            let look = self.look();
            if is_so(&look) {
                return look;
            }
            assert!(began.elapsed() < Duration::from_secs(60), "{look:#}");
            std::thread::sleep(Duration::from_millis(20));
        }
    }
}

/// The layout that is edited.
fn layout() -> String {
    fs::read_to_string(PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("layouts/label-4x6in.yaml"))
        .unwrap()
}

/// A place with orders, a shop file and a layout.
fn prepared() -> Desk {
    let desk = Desk::new();
    desk.sample("evening.json").sample("shop.yaml").put("mine.yaml", layout());
    fs::copy(desk.path("evening.json"), desk.path("orders.json")).unwrap();
    desk
}

/// How many errors a look has.
fn count_errors(look: &Value) -> usize {
    let findings = look["findings"].as_array().unwrap();
    findings.iter().filter(|finding| finding["severity"] == "error").count()
}

#[test]
fn the_examples_of_its_help_serve_pages() {
    let help = String::from_utf8(prepared().done(&["preview", "--help"]).stdout).unwrap();
    let lines: Vec<&str> =
        help.lines().filter_map(|line| line.strip_prefix("  slipwright preview ")).collect();
    assert_eq!(lines.len(), 2);
    for line in lines {
        let desk = prepared();
        let arguments: Vec<&str> =
            line.split_whitespace().filter(|word| *word != "--no-open").collect();
        let preview = Preview::start(&desk, &arguments);
        let look = preview.look();
        assert_eq!(look["pages"].as_array().unwrap().len(), 12, "{line}: {look:#}");
        assert_eq!(count_errors(&look), 0, "{line}");
        let page = String::from_utf8(preview.body("/preview")).unwrap();
        assert!(page.starts_with("<!doctype html>"));
    }
}

#[test]
fn what_is_shown_is_what_prints() {
    let desk = prepared();
    desk.done(&["render", "orders.json", "--layout", "mine.yaml", "-o", "label.png"]);
    desk.done(&["render", "orders.json", "--layout", "mine.yaml", "-o", "label.svg"]);
    let preview = Preview::start(&desk, &["mine.yaml", "orders.json"]);
    for (place, name) in [(0, "label-01"), (6, "label-07")] {
        for ending in ["png", "svg"] {
            let shown = preview.body(&format!("/preview/pages/{place}.{ending}"));
            let printed = fs::read(desk.path(&format!("{name}.{ending}"))).unwrap();
            assert!(shown == printed, "{name}.{ending}");
        }
    }
    for path in ["/preview/pages/12.svg", "/preview/pages/-1.svg", "/preview/pages/0.pdf"] {
        assert!(preview.get(path).starts_with(b"HTTP/1.1 404"), "{path}");
    }
}

#[test]
fn pages_follow_their_files_through_errors_and_back() {
    let desk = prepared();
    let preview = Preview::start(&desk, &["mine.yaml", "orders.json"]);
    let first = preview.look();

    // Something on the pages is wrong: they are drawn all the same, with the spots.
    desk.put("mine.yaml", layout().replace("gap: 2\n      height: 22", "gap: 2\n      height: 3"));
    let faulty = preview.until(|look| count_errors(look) > 0);
    let pages = faulty["pages"].as_array().unwrap();
    assert_eq!(pages.len(), 12);
    assert!(pages.iter().all(|page| page["old"] == false && page["look"] != first["look"]));
    let (number, block) = {
        let spot = pages[0]["spots"].as_array().unwrap().last().unwrap();
        (spot[0].as_u64().unwrap() as usize, spot[1].as_u64().unwrap() as usize)
    };
    let finding = &faulty["findings"][number - 1];
    assert_eq!(finding["place"]["line"], pages[0]["blocks"][block]["line"]);
    let quote = &finding["quote"];
    let at = finding["place"]["line"].as_u64().unwrap() - quote["first"].as_u64().unwrap();
    let line = quote["lines"][at as usize].as_str().unwrap();
    assert!(line.trim_start().starts_with("- "), "{line}");

    // The layout cannot be read: the pages before stay, and say so.
    desk.put("mine.yaml", layout().replace("down:", "dwon:"));
    let stopped = preview.until(|look| look["pages"][0]["old"] == true);
    assert_eq!(stopped["pages"].as_array().unwrap().len(), 12);
    assert_eq!(stopped["pages"][0]["look"], faulty["look"]);
    assert_eq!(stopped["pages"][0]["spots"].as_array().unwrap().len(), 0);
    assert!(count_errors(&stopped) > 0);
    assert!(preview.body("/preview/pages/0.svg").starts_with(b"<svg"));

    // One parcel alone cannot be drawn: it stays as it was, the others are new.
    desk.put("mine.yaml", layout());
    preview.until(|look| count_errors(look) == 0 && look["pages"][0]["old"] == false);
    let orders = fs::read_to_string(desk.path("evening.json")).unwrap();
    desk.put("orders.json", orders.replace("\"country\": \"DE\"", "\"country\": \"Nowhere\""));
    let look = preview.until(|look| count_errors(look) > 0);
    assert_eq!(look["pages"].as_array().unwrap().len(), 12, "{look:#}");

    desk.put("orders.json", orders);
    let last = preview.until(|look| count_errors(look) == 0);
    assert!(last["pages"].as_array().unwrap().iter().all(|page| page["old"] == false));
}

#[test]
fn pictures_shop_file_and_files_that_come_later_are_watched() {
    let desk = Desk::new();
    desk.sample("shop.yaml");
    desk.put("p.yaml", "page: {stock: 4x6in, inset: 4}\nmakes: label\nbody:\n  down:\n    - image: shop.svg\n      width: 20\n      height: 20\n");
    let preview = Preview::start(&desk, &["p.yaml"]);
    let missing = preview.look();
    assert!(count_errors(&missing) > 0, "{missing:#}");
    desk.sample("logo.svg");
    fs::rename(desk.path("logo.svg"), desk.path("shop.svg")).unwrap();
    let there = preview.until(|look| count_errors(look) == 0);
    let other = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 9 9\"><path d=\"M0 0h9v9z\"/></svg>";
    let before = preview.body("/preview/pages/0.svg");
    desk.put("shop.svg", other);
    let drawn = preview.until(|look| look["look"] != there["look"]);
    assert_ne!(preview.body("/preview/pages/0.svg"), before);
    desk.put("shop.yaml", "printerz: []\n");
    preview.until(|look| look["look"] != drawn["look"] && count_errors(look) > 0);
}

#[test]
fn what_cannot_be_previewed_is_told() {
    let desk = prepared();
    let taken = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let port = taken.local_addr().unwrap().port().to_string();
    for (arguments, exit, said) in [
        (&["label-4x6"][..], 2, "did you mean `label-4x6in`?"),
        (&["gone.yaml"], 2, "`gone.yaml` could not be read"),
        (&["mine.yaml", "gone.json"], 2, "`gone.json` could not be read"),
        (&["mine.yaml", "-"], 2, "they must be a file"),
        (&["mine.yaml", "--port", &port], 3, "something else may use port"),
    ] {
        let run = desk.run(&[&["preview", "--no-open"], arguments].concat(), b"");
        let words = String::from_utf8_lossy(&run.stderr);
        assert_eq!(run.status.code(), Some(exit), "{words}");
        assert!(words.contains(said), "{words}");
    }
}
