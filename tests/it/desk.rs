//! `slipwright desk` without a browser: what its addresses answer is what `slipwright ledger` says, and
//! what a page has confirmed stays. `tests/outside/` looks at the pages themselves.

use std::io::{BufRead as _, BufReader};
use std::net::TcpStream;
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use crate::command::Desk;
use crate::desk_support::{OpenDesk, prepared, sample};

/// The ids of the orders that wait.
pub(crate) fn waiting(desk: &OpenDesk) -> Vec<String> {
    let state = desk.json("GET /state", b"");
    let orders = state["waiting"]["answer"]["orders"].as_array().unwrap();
    orders.iter().map(|order| order["id"].as_str().unwrap().to_owned()).collect()
}

#[test]
fn the_examples_of_its_help_open_a_desk() {
    let help = String::from_utf8(Desk::new().done(&["desk", "--help"]).stdout).unwrap();
    let lines: Vec<&str> =
        help.lines().filter_map(|line| line.strip_prefix("  slipwright desk")).collect();
    assert_eq!(lines.len(), 2);
    for line in lines {
        let place = prepared();
        std::fs::create_dir(place.path("evenings")).unwrap();
        let words = line.split_whitespace().filter(|word| *word != "--no-open");
        let words: Vec<&str> = words.chain(["--no-open"]).collect();
        let desk = OpenDesk::open_as(&place, &words);
        let page = desk.ask("GET /", "", b"");
        assert!(page.starts_with("HTTP/1.1 200") && page.contains("<title>Desk"), "{line}: {page}");
    }
}

#[test]
fn a_folder_that_is_none_is_told() {
    let place = Desk::new();
    place.put("file", "");
    for (folder, said) in [
        ("nowhere", "error: there is no folder `nowhere`\n  help: make it first\n"),
        ("file", "error: `file` is no folder\n  help: name the folder it is in\n"),
    ] {
        let output = place.run(&["desk", folder, "--no-open"], b"");
        assert_eq!(
            (output.status.code(), &*String::from_utf8_lossy(&output.stderr)),
            (Some(2), said)
        );
    }
}

#[test]
fn an_act_answers_what_the_command_says() {
    let (place, other) = (prepared(), prepared());
    let desk = OpenDesk::open(&place);
    let told = desk.act("line-up", json!({"orders": ["TH-1041"], "weight": "372g"}));
    assert_eq!(told["exit"], 0);
    assert_eq!(told["answer"]["parcels"][0]["number"], 1);
    let typed = other.done(&["ledger", "--json", "line-up", "TH-1041", "--weight=372g"]);
    let mut typed: Value = serde_json::from_slice(&typed.stdout).unwrap();
    let mut told = told["answer"].clone();
    // What tells when it was, and what is made by chance of that.
    for value in [&mut told, &mut typed] {
        value["at"] = Value::Null;
        for name in ["since", "pair"] {
            value["parcels"][0][name] = Value::Null;
        }
        value["sitting"] = Value::Null;
        value["computed"]["1"]["tally"] = Value::Null;
    }
    assert_eq!(told, typed);
    let state = desk.json("GET /state", b"");
    assert_eq!(state["line"]["answer"]["parcels"][0]["orders"], json!(["TH-1041"]));
    assert_eq!(waiting(&desk).len(), 11);
}

#[test]
fn a_refusal_is_in_the_ledgers_words() {
    let place = prepared();
    let desk = OpenDesk::open(&place);
    let state = desk.json("GET /state", b"");
    assert_eq!((&state["line"]["exit"], &state["line"]["answer"]), (&json!(2), &Value::Null));
    assert_eq!(state["line"]["remarks"][0]["message"], "no sitting is open");
    let told = desk.act("line-up", json!({"orders": ["nothing like it"]}));
    assert_eq!(told["exit"], 2);
    let refusal = &told["remarks"][0];
    assert_eq!(refusal["message"], "the ledger has no order `nothing like it`");
    assert_eq!(
        refusal["hints"],
        json!(["see which wait: the field on the page Line up finds them"])
    );
    let wrong = desk.act("note", json!({"number": "x"}));
    assert_eq!((&wrong["exit"], &wrong["remarks"][0]["rule"]), (&json!(2), &json!("usage")));
}

#[test]
fn without_a_ledger_the_pages_are_told_so() {
    let place = Desk::new();
    let desk = OpenDesk::open(&place);
    let state = desk.json("GET /state", b"");
    for part in ["line", "waiting", "held_back"] {
        let message = state[part]["remarks"][0]["message"].as_str().unwrap();
        assert!(message.contains("slipwright.ledger"), "{message}");
    }
}

#[test]
fn nothing_is_begun_in_the_place_of_a_ledger_that_is_gone() {
    let place = prepared();
    let desk = OpenDesk::open(&place);
    let ledger = place.path("slipwright.ledger");
    assert_eq!(desk.json("GET /state", b"")["trouble"], Value::Null);
    std::fs::rename(&ledger, place.path("away")).unwrap();
    let told = desk.json("GET /state", b"")["trouble"].to_string();
    assert!(told.contains("the ledger of this evening is gone from"), "{told}");
    let dropped = desk.json("POST /drop?name=orders.json", &sample("evening.json"));
    assert_eq!(dropped["taken"]["exit"], 2, "{dropped}");
    assert_eq!(desk.act("line-up", json!({"orders": ["TH-1041"]}))["exit"], 2);
    assert!(!ledger.exists());
    std::fs::rename(place.path("away"), &ledger).unwrap();
    assert_eq!(desk.json("GET /state", b"")["trouble"], Value::Null);
    assert_eq!(waiting(&desk).len(), 12);
}

#[test]
fn a_damaged_ledger_is_told() {
    let place = prepared();
    let desk = OpenDesk::open(&place);
    place.put("slipwright.ledger", "nothing of the kind");
    let told = desk.json("GET /state", b"")["trouble"].to_string();
    assert!(told.contains("this file is no ledger"), "{told}");
}

#[test]
fn a_weight_that_is_not_as_it_should_be_stays_told() {
    let place = prepared();
    let desk = OpenDesk::open(&place);
    desk.act("line-up", json!({"orders": ["TH-1041"], "weight": "90g"}));
    desk.act("line-up", json!({"orders": ["TH-1042"]}));
    let doubt = |number: &str| {
        desk.json("GET /state", b"")["line"]["answer"]["computed"][number]["weight_doubt"].clone()
    };
    let said = doubt("1").to_string();
    assert!(said.contains("the parcel weighs 90 g, its items alone 284 g"), "{said}");
    assert_eq!(doubt("2"), Value::Null);
    desk.act("note", json!({"number": 1, "weight": "356g"}));
    assert_eq!(doubt("1"), Value::Null);
}

#[test]
fn what_pages_do_not_send_is_refused() {
    let place = prepared();
    let desk = OpenDesk::open(&place);
    let large = vec![b' '; (1 << 20) + 1];
    for (line, body, status) in [
        ("POST /act/line-up", &b"[1]"[..], "400"),
        ("POST /act/line-up", b"{\"orders\": [\"A\"], \"ledger\": \"/etc/passwd\"}", "400"),
        ("POST /act/line-up", b"{\"orders\": {}}", "400"),
        ("POST /act/match", b"{}", "400"),
        ("POST /act/copy-out", b"{}", "404"),
        ("POST /act/backup", b"{}", "404"),
        ("POST /act/../state", b"{}", "404"),
        ("GET /act/list", b"", "404"),
        ("POST /state", b"", "404"),
        ("POST /act/list", &large, "413"),
    ] {
        assert_eq!(desk.status(line, "", body), status, "{line}");
    }
    assert_eq!(waiting(&desk).len(), 12);
}

#[test]
fn who_has_not_the_key_does_nothing() {
    let place = prepared();
    let mut desk = OpenDesk::open(&place);
    let right = std::mem::replace(&mut desk.cookie, "slipwright-1=0".into());
    let body = br#"{"orders": ["TH-1041"]}"#;
    assert_eq!(desk.status("POST /act/line-up", "", body), "401");
    assert_eq!(desk.status("GET /state", "", b""), "401");
    desk.cookie = right;
    let elsewhere = "Sec-Fetch-Site: cross-site\r\n";
    assert_eq!(desk.status("POST /act/line-up", elsewhere, body), "403");
    assert_eq!(waiting(&desk).len(), 12);
}

/// Reads news until there is one with a higher number than the first.
fn wait_for_news(stream: &mut TcpStream, after: impl FnOnce()) {
    let mut reader = BufReader::new(stream);
    let mut next = || loop {
        let mut line = String::new();
        assert!(reader.read_line(&mut line).unwrap() > 0, "no news came");
        if let Some(number) = line.strip_prefix("data: ") {
            return number.trim().parse::<u64>().unwrap();
        }
    };
    let first = next();
    after();
    while next() <= first {}
}

#[test]
fn what_anybody_enters_is_news() {
    let place = prepared();
    let desk = OpenDesk::open(&place);
    let mut news = desk.connect("GET /news", "", b"");
    wait_for_news(&mut news, || {
        place.done(&["ledger", "line-up", "TH-1041"]);
    });
    let mut news = desk.connect("GET /news", "", b"");
    wait_for_news(&mut news, || {
        desk.act("line-up", json!({"orders": ["TH-1042"]}));
    });
}

#[test]
fn a_request_that_is_given_again_is_done_once() {
    let place = prepared();
    let desk = OpenDesk::open(&place);
    let given = json!({"orders": ["TH-1041"], "request": "page-1"});
    assert_eq!(desk.act("line-up", given.clone())["answer"]["before"], false);
    assert_eq!(desk.act("line-up", given)["answer"]["before"], true);
    assert_eq!(waiting(&desk).len(), 11);
}

#[test]
fn two_desks_and_a_command_work_on_one_ledger() {
    let place = prepared();
    let (one, other) = (OpenDesk::open(&place), OpenDesk::open(&place));
    let ids = waiting(&one);
    std::thread::scope(|scope| {
        for (at, id) in ids.iter().enumerate() {
            let desk = if at % 2 == 0 { &one } else { &other };
            scope.spawn(move || {
                // Whoever comes second at the same moment is told so, and does it again.
                let mut given = 0;
                while desk.act("line-up", json!({"orders": [id]}))["exit"] != 0 {
                    given += 1;
                    assert!(given < 100, "{id}");
                }
            });
        }
    });
    let state = other.json("GET /state", b"");
    let parcels = state["line"]["answer"]["parcels"].as_array().unwrap();
    let mut numbers: Vec<u64> = parcels.iter().map(|it| it["number"].as_u64().unwrap()).collect();
    numbers.sort_unstable();
    assert_eq!(numbers, (1..=12).collect::<Vec<u64>>());
}

#[test]
fn a_desk_that_is_killed_loses_nothing_it_confirmed() {
    let place = prepared();
    for id in waiting(&OpenDesk::open(&place)) {
        let mut desk = OpenDesk::open(&place);
        assert_eq!(desk.act("line-up", json!({"orders": [&id]}))["exit"], 0, "{id}");
        desk.kill();
    }
    let desk = OpenDesk::open(&place);
    let state = desk.json("GET /state", b"");
    assert_eq!(state["line"]["answer"]["parcels"].as_array().unwrap().len(), 12);
    assert!(waiting(&desk).is_empty());
}

#[test]
fn pages_show_what_is_in_parcels_and_what_can_be_chosen() {
    let place = prepared();
    let desk = OpenDesk::open(&place);
    desk.act("line-up", json!({"orders": ["TH-1041"], "weight": "300"}));
    let state = desk.json("GET /state", b"");
    assert_eq!(state["shop"]["packs"][0], "pen tube");
    assert!(state["shop"]["services"][0]["extras"].is_array());
    let line = &state["line"]["answer"];
    assert_eq!(line["orders"][0]["name"], "Ada Marlow");
    let computed = &line["computed"]["1"];
    assert_eq!(computed["expected_weight"], "356 g");
    assert_eq!(computed["tally"].as_str().map(str::len), Some(24));
    let remarks = state["line"]["remarks"].as_array().unwrap();
    assert!(remarks.iter().any(|it| it["rule"] == "weight-differs"), "{remarks:?}");
    // A shop file that cannot be read takes nobody's line away.
    place.put("shop.yaml", "nonsense: [");
    let state = desk.json("GET /state", b"");
    assert_eq!(state["line"]["answer"]["parcels"][0]["number"], 1);
    assert_eq!(state["line"]["remarks"][0]["severity"], "error");
    assert_eq!(state["shop"]["packs"], json!([]));
}

#[test]
fn a_doubtful_tag_is_told_before_it_is_lined_up() {
    let place = prepared();
    let desk = OpenDesk::open(&place);
    desk.act("line-up", json!({"orders": ["TH-1041"], "tag": "Heron"}));
    let given = json!({"orders": ["TH-1042"], "tag": "Herons", "dry-run": true});
    let told = desk.act("line-up", given);
    assert_eq!(told["exit"], 0);
    assert!(
        told["answer"]["tag_doubt"].as_str().is_some_and(|doubt| doubt.contains('1')),
        "{told:#}"
    );
    let taken =
        desk.act("line-up", json!({"orders": ["TH-1042"], "tag": "Heron", "dry-run": true}));
    assert_eq!(taken["exit"], 1);
}

/// A place with a line whose first parcels are matched.
fn matched(numbers: &[&str]) -> Desk {
    let place = prepared();
    place.done(&["ledger", "line-up", "--all"]);
    place.done(&["ledger", "print", "--no-proof"]);
    place.done(&[&["ledger", "match", "--by-eye"], numbers].concat());
    place
}

#[test]
fn what_has_to_be_printed_is_drawn_as_it_will_be_printed() {
    let place = prepared();
    place.done(&["ledger", "line-up", "TH-1041", "TH-1042"]);
    let desk = OpenDesk::open(&place);
    let told = desk.json("GET /print", b"");
    assert_eq!(told["plan"]["answer"]["first"], true);
    assert_eq!(told["made"], json!([]));
    let labels = &told["drawn"]["documents"][0];
    assert_eq!((&labels["file"], &labels["stock"]), (&json!("labels.pdf"), &json!("4x6in")));
    assert_eq!(labels["pages"].as_array().map(Vec::len), Some(2));
    let drawing = told["drawing"].as_u64().unwrap();
    let page = desk.ask(&format!("GET /print/{drawing}/0/1.svg"), "", b"");
    assert!(page.contains("Content-Type: image/svg+xml") && page.contains("<svg"), "{page}");
    for name in ["0/2.svg", "9/0.svg", "0/0.png", "0/-1.svg", "0"] {
        assert_eq!(desk.status(&format!("GET /print/{drawing}/{name}"), "", b""), "404", "{name}");
    }
    // Afterwards the papers are there, and nothing else of the folder.
    assert_eq!(desk.act("print", json!({}))["exit"], 0);
    let told = desk.json("GET /print", b"");
    assert_eq!(told["plan"]["answer"]["prints"], json!([]));
    assert_eq!(told["made"][0]["folder"], "sitting-1");
    assert_eq!(told["made"][0]["files"][0], "labels.pdf");
    let made = desk.ask("GET /papers/sitting-1/labels.pdf", "", b"");
    assert!(made.contains("Content-Type: application/pdf") && made.contains("%PDF-"));
    for path in [
        "sitting-1/batch.json",
        "../shop.yaml",
        "sitting-1/../shop.yaml",
        "slipwright.ledger",
        "/etc/passwd",
    ] {
        assert_eq!(desk.status(&format!("GET /papers/{path}"), "", b""), "404", "{path}");
    }
    // A late order's papers are of another print, and come first.
    desk.act("line-up", json!({"orders": ["TH-1043"]}));
    desk.act("print", json!({}));
    let told = desk.json("GET /print", b"");
    assert_eq!(told["made"][0]["folder"], "sitting-1/reprint-1");
    assert_eq!(desk.status("GET /papers/sitting-1/reprint-1/labels.pdf", "", b""), "200");
}

#[test]
fn parcels_go_the_sitting_closes_and_the_shop_is_told() {
    let place = matched(&["1", "2", "3"]);
    let desk = OpenDesk::open(&place);
    let refused = desk.act("hand-over", json!({"numbers": [4]}));
    assert_eq!(refused["exit"], 1);
    assert_eq!(desk.act("hand-over", json!({"numbers": [1]}))["exit"], 0);
    let state = desk.json("GET /state", b"");
    let postage = state["line"]["answer"]["postage"].as_array().unwrap();
    let sum = postage.last().unwrap();
    assert_eq!((&sum["service"], &sum["parcels"]), (&Value::Null, &json!(3)));
    assert_eq!(sum["price"], "15.65 GBP");
    desk.act("hand-over", json!({"all-matched": true}));
    assert_eq!(desk.act("close", json!({}))["exit"], 1, "nine are still here");
    assert_eq!(desk.act("close", json!({"leave": "no time"}))["exit"], 0);
    let state = desk.json("GET /state", b"");
    assert_eq!(state["line"]["answer"], Value::Null);
    assert_eq!(state["newest"]["answer"]["postage"].as_array().map(Vec::len), Some(2));
    // The map that is proposed is kept once it is used.
    let map = desk.json("GET /shop-map", b"");
    assert_eq!(map["kept"], false);
    let tell = |given: Value| desk.json("POST /tell-shop", given.to_string().as_bytes());
    let wrong = tell(json!({"map": "fields: {odd: X}"}));
    assert!(wrong["exit"] != 0 && wrong["table"].is_null(), "{wrong:#}");
    assert_eq!(wrong["remarks"][0]["place"]["file"], "shop-map.yaml");
    let told = tell(json!({"map": map["map"]}));
    assert_eq!(told["answer"]["told"].as_array().map(Vec::len), Some(3), "{told:#}");
    let name = told["table"].as_str().unwrap();
    let table = desk.ask(&format!("GET /tables/{name}"), "", b"");
    assert!(table.contains("\r\nTH-1041,,"), "{table}");
    assert_eq!(desk.json("GET /shop-map", b"")["kept"], true);
    assert_eq!(tell(json!({}))["table"], Value::Null, "the shop knows");
    let again = tell(json!({"again": true}));
    assert!(again["table"].as_str().is_some_and(|again| again != name), "{again:#}");
    for path in ["shop-map.yaml", "shop-.yaml", "../x.csv", "evening.json", "shop-..%2f.csv"] {
        assert_eq!(desk.status(&format!("GET /tables/{path}"), "", b""), "404", "{path}");
    }
}

#[test]
fn documents_go_to_printers_of_the_shop_file_alone() {
    let place = prepared();
    // A port on which nobody listens any more.
    let port = std::net::TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port();
    let shop = String::from_utf8(sample("shop.yaml")).unwrap();
    let queue = format!("  bench:\n    queue: ipp://127.0.0.1:{port}/ipp/print\n");
    place.put("shop.yaml", shop.replace("  bench:\n", &queue));
    place.done(&["ledger", "line-up", "TH-1041"]);
    place.done(&["ledger", "print", "--no-proof"]);
    let desk = OpenDesk::open(&place);
    assert_eq!(desk.json("GET /state", b"")["shop"]["printers"], json!(["bench"]));
    let send = |given: Value| desk.json("POST /send", given.to_string().as_bytes());
    let told = send(json!({"document": "sitting-1/labels.pdf"}));
    assert_eq!((&told["exit"], &told["remarks"][0]["rule"]), (&json!(3), &json!("printer-lost")));
    let told = send(json!({"document": "sitting-1/labels.pdf", "printer": "nobody's"}));
    assert_eq!(told["exit"], 2, "{told:#}");
    let told = desk.json("POST /job", br#"{"job": 7, "printer": "bench"}"#);
    assert_eq!(told["remarks"][0]["rule"], "printer-lost");
    // No document that a listing has not, and no address that the shop file has not.
    for document in ["../shop.yaml", "sitting-1/batch.json", "/etc/passwd", ""] {
        let body = json!({"document": document}).to_string();
        assert_eq!(desk.status("POST /send", "", body.as_bytes()), "404", "{document}");
    }
    let told = send(json!({"document": "sitting-1/labels.pdf", "queue": "ipp://127.0.0.1:1/x"}));
    assert!(told["remarks"].to_string().contains(&port.to_string()), "{told:#}");
    assert_eq!(desk.status("POST /job", "", br#"{"job": "--cancel=1"}"#), "400");
}

#[test]
fn layouts_are_shown_and_followed_on_the_desk() {
    let place = prepared();
    let layouts = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("layouts");
    let mine = std::fs::read_to_string(layouts.join("thank-you-a6.yaml")).unwrap();
    place.put("mine.yaml", &mine).sample("export-map.yaml");
    let desk = OpenDesk::open(&place);
    let until = |is_so: &dyn Fn(&Value) -> bool| {
        let began = Instant::now();
        loop {
            let look = desk.json("GET /preview/look", b"");
            if is_so(&look) {
                return look;
            }
            assert!(began.elapsed() < Duration::from_secs(60), "{:#}", look["findings"]);
            std::thread::sleep(Duration::from_millis(20));
        }
    };
    let shown = until(&|look| look["pages"][0]["title"].is_string());
    assert_eq!(shown["layouts"]["open"], "label-4x6in");
    let names = shown["layouts"]["names"].as_array().unwrap();
    assert_eq!((&names[0], &names[1]), (&json!("mine.yaml"), &json!("label-4x6in")));
    assert_eq!(desk.status("POST /preview/open", "", br#"{"layout": "../shop.yaml"}"#), "404");
    assert_eq!(desk.status("POST /preview/open", "", br#"{"layout": "mine.yaml"}"#), "200");
    let is_mine =
        |look: &Value| look["layout"].as_str().is_some_and(|it| it.ends_with("mine.yaml"));
    let look = until(&is_mine);
    let picture = desk.ask("GET /preview/pages/0.svg", "", b"");
    assert!(picture.contains("image/svg+xml"), "{picture}");
    // Saved outside, drawn anew.
    let number = look["look"].as_u64().unwrap();
    place.put("mine.yaml", mine.replace("page:", "nonsense: 1\npage:"));
    let look = until(&|look| look["look"].as_u64().is_some_and(|it| it > number) && is_mine(look));
    assert_eq!(look["findings"][0]["severity"], "error", "{look:#}");
}
