//! `slipwright print` against printers of every mood. What each of them answers stands here, what the
//! command says of it in `tests/cases/printing`. `tests/outside/printing.py` does the same with a print
//! system and a simulated printer that are not ours. Long, as every mood is tried at the one bench.

mod moods;
mod stand_in;

use std::path::Path;
use std::process::Output;

use serde_json::Value;
use slipwright::export::PwgFile;

use crate::command::Desk;
use moods::{
    CANCEL, JOB, LOOK, PRINT, VALIDATE, job, label_printer, prints, ready, recorded, takes_dots,
    then,
};
use stand_in::{Answer, Asked, Reply, StandIn};

/// The shop file; `PORT` stands for the printer's port.
const SHOP: &str = "\
name: Tern Hollow Pens
address: {company: Tern Hollow Pens, lines: [7 Saltings Lane], city: Ternmouth, postcode: TR77 4NH, country: GB}
currency: GBP
printers:
  bench: {queue: \"ipp://127.0.0.1:PORT/ipp/print\", dpi: 203}
  fine: {queue: \"ipp://127.0.0.1:PORT/ipp/print\", dpi: 300, stocks: [a5]}
  filtered: {queue: \"ipp://127.0.0.1:PORT/ipp/print\", sends: pdf, dpi: 203, stocks: [a6]}
  by-hand: {dpi: 203, stocks: [57x32mm]}
kit: {slips: none, inserts: none, handover_list: none, overview: none}
";

/// A desk with a printer, and a kit made for it.
struct Bench {
    /// The desk.
    desk: Desk,
    /// The printer.
    printer: StandIn,
}

impl Bench {
    /// Makes both, and the kit in `friday`.
    fn new() -> Bench {
        let (desk, printer) = (Desk::new(), StandIn::start());
        desk.sample("evening.json");
        desk.put("shop.yaml", SHOP.replace("PORT", &printer.port.to_string()));
        desk.done(&["kit", "evening.json", "--combine", "--no-proof", "--to", "friday"]);
        Bench { desk, printer }
    }

    /// Runs `print` with the printer in a mood, and tells how it went.
    fn tell(&self, words: &str, mood: impl Fn(&Asked, usize) -> Reply + Send + 'static) -> String {
        self.printer.behave(mood);
        let output = self.print(words);
        let asked: Vec<String> =
            self.printer.asked().iter().map(|it| name_operation(it.operation)).collect();
        let mut told =
            format!("$ slipwright print {words}\nexit {}\n", output.status.code().unwrap());
        told += &String::from_utf8_lossy(&output.stderr);
        told += &String::from_utf8_lossy(&output.stdout);
        told += &format!("--- asked: {}\n", squeeze(&asked));
        told.replace(&self.printer.port.to_string(), "PORT")
    }

    /// Runs `print`; the system's queues are those of the same printer.
    fn print(&self, words: &str) -> Output {
        let words = words.replace("PORT", &self.printer.port.to_string());
        let server = format!("127.0.0.1:{}", self.printer.port);
        let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_slipwright"));
        let command = command.arg("print").args(words.split(' ')).current_dir(self.desk.path(""));
        command.env("CUPS_SERVER", server).env("USER", "ada").output().unwrap()
    }
}

/// An operation in words.
fn name_operation(operation: u16) -> String {
    match operation {
        PRINT => "print".into(),
        VALIDATE => "validate".into(),
        CANCEL => "cancel".into(),
        JOB => "job".into(),
        LOOK => "look".into(),
        0x4002 => "queues".into(),
        other => format!("{other:#x}"),
    }
}

/// Words without what comes again and again while a job is watched.
fn squeeze(asked: &[String]) -> String {
    let mut told: Vec<&str> = Vec::new();
    for word in asked {
        let is_watching = word == "look" && told.last() == Some(&"job…");
        if word == "job" && told.last() == Some(&"job…") || is_watching {
            continue;
        }
        told.push(if word == "job" { "job…" } else { word });
    }
    told.join(" ")
}

/// Compares what was told with what is expected.
fn expect(name: &str, told: &[String]) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/printing");
    let file = folder.join(name).join("expected.txt");
    let differs = crate::support::compare(&file, &told.join("\n"));
    assert!(differs.is_none(), "{}", differs.unwrap());
}

/// The labels of the kit, on the bench's printer.
const LABELS: &str = "friday/labels.pdf --printer bench";

#[test]
fn what_the_printer_says_of_itself_is_told() {
    let bench = Bench::new();
    let done = || job(9, &["job-completed-successfully"]);
    let with = |state: i32, reasons: &[&str]| {
        prints(takes_dots(label_printer(state, reasons), &["black_1"]).end(), done())
    };
    let refuses = Answer::of(0).group(4).put(0x22, "printer-is-accepting-jobs", &[0]);
    let refuses = takes_dots(refuses.state("printer-state", 3), &["black_1"]).end();
    let told = [
        bench.tell(LABELS, prints(recorded("label-printer.ipp"), done())),
        bench.tell(LABELS, with(5, &["paused"])),
        bench.tell(LABELS, prints(refuses, done())),
        bench.tell(LABELS, with(5, &["media-empty-error", "media-low-warning"])),
        bench.tell(LABELS, with(3, &["offline-report"])),
        bench.tell(LABELS, with(5, &["cover-open"])),
        bench.tell(LABELS, with(5, &["none"])),
        bench.tell(LABELS, with(4, &["a-reason-of-tomorrow"])),
        bench.tell(LABELS, |_, _| Reply::Ipp(Answer::of(0x0406).end())),
        bench.tell("--list", |asked, _| {
            Reply::Ipp(match asked.operation {
                LOOK => recorded("label-printer.ipp"),
                _ => recorded("cups-queues.ipp"),
            })
        }),
        bench.tell("--list", |_, _| Reply::Nothing),
        bench.tell("friday/labels.pdf --printer by-hand", |_, _| Reply::Nothing),
        bench.tell("friday/labels.pdf --printer nowhere", |_, _| Reply::Nothing),
        bench.tell("--job 3", |_, _| Reply::Nothing),
    ];
    expect("printers", &told);
}

#[test]
fn a_job_is_printed_when_the_printer_says_so() {
    let bench = Bench::new();
    let ends = |state: i32, reasons: &[&str]| prints(ready(), job(state, reasons));
    let waits = || {
        let empty = takes_dots(label_printer(5, &["media-empty"]), &["black_1"]).end();
        let looks = std::sync::atomic::AtomicUsize::new(0);
        move |asked: &Asked, times: usize| {
            Reply::Ipp(match asked.operation {
                LOOK if looks.fetch_add(1, std::sync::atomic::Ordering::SeqCst) == 0 => ready(),
                LOOK => empty.clone(),
                VALIDATE => Answer::of(0).end(),
                PRINT => job(3, &["none"]),
                _ if times < 3 => job(6, &["printer-stopped"]),
                _ => job(9, &["none"]),
            })
        }
    };
    let never = || {
        let empty = takes_dots(label_printer(5, &["media-empty"]), &["black_1"]).end();
        prints(empty, job(5, &["job-printing"]))
    };
    let dies = |asked: &Asked, times: usize| match asked.operation {
        LOOK => Reply::Ipp(ready()),
        VALIDATE => Reply::Ipp(Answer::of(0).end()),
        PRINT => Reply::Ipp(job(5, &["none"])),
        _ if times > 1 => Reply::Nothing,
        _ => Reply::Ipp(job(5, &["job-printing"])),
    };
    let said = Answer::of(0).group(2).put(0x21, "job-id", &12_i32.to_be_bytes());
    let said = said.state("job-state", 8).words("job-state-reasons", &["document-format-error"]);
    let said = said.put(0x41, "job-printer-state-message", b"Filter failed").end();
    let told = [
        bench.tell(LABELS, ends(9, &["job-completed-successfully"])),
        bench.tell(LABELS, waits()),
        bench.tell(&format!("{LABELS} --wait 1"), never()),
        bench.tell(&format!("{LABELS} --wait 1"), {
            let warns = label_printer(4, &["media-empty-warning", "marker-supply-low-warning"]);
            prints(takes_dots(warns, &["black_1"]).end(), job(5, &["job-printing"]))
        }),
        bench.tell(&format!("{LABELS} --wait 1"), ends(4, &["job-hold-until-specified"])),
        bench.tell(LABELS, ends(7, &["job-canceled-by-user"])),
        bench.tell(LABELS, ends(8, &["aborted-by-system", "unsupported-document-format"])),
        bench.tell(LABELS, prints(ready(), said)),
        bench.tell(LABELS, ends(9, &["job-completed-with-errors"])),
        bench.tell(LABELS, ends(6, &["job-completed-with-errors"])),
        bench.tell(LABELS, prints(ready(), Answer::of(0x0406).end())),
        bench.tell(LABELS, dies),
        bench.tell(&format!("{LABELS} --no-wait"), ends(9, &["none"])),
        bench.tell("--job 12 --printer bench", ends(5, &["job-printing"])),
        bench.tell("--job 12 --printer bench", never()),
        bench.tell("--job 12 --printer bench", ends(9, &["none"])),
        bench.tell("--cancel 12 --printer bench", prints(ready(), Answer::of(0).end())),
        bench.tell("--cancel 12 --printer bench", prints(ready(), Answer::of(0x0404).end())),
        bench.tell("--cancel 12 --printer bench", prints(ready(), Answer::of(0x0406).end())),
    ];
    expect("jobs", &told);
}

#[test]
fn whatever_answers_is_told_apart() {
    let bench = Bench::new();
    let http = |status: &str| {
        let answer = format!("HTTP/1.1 {status}\r\nContent-Length: 0\r\n\r\n");
        then(ready(), Reply::Raw(answer.into_bytes()))
    };
    let raw = |text: &[u8]| {
        let text = text.to_vec();
        move |_: &Asked, _| Reply::Raw(text.clone())
    };
    let breaks = |asked: &Asked, _: usize| match asked.operation {
        LOOK => Reply::Ipp(ready()),
        VALIDATE => Reply::Ipp(Answer::of(0).end()),
        _ => Reply::Nothing,
    };
    let refusal =
        Answer::of(0x040b).put(0x41, "status-message", b"Only \x1b[31mlabels\x1b[0m here");
    let refusal = refusal.group(5).put(0x10, "media-col", b"").end();
    let numberless = |asked: &Asked, _: usize| match asked.operation {
        LOOK => Reply::Ipp(ready()),
        _ => Reply::Ipp(Answer::of(0).end()),
    };
    let huge = b"HTTP/1.1 200 OK\r\nContent-Length: 99999999999\r\n\r\nx";
    let chunk = b"HTTP/1.1 200 OK\r\nTransfer-Encoding: chunked\r\n\r\nfffffffff\r\nx";
    let told = [
        bench.tell(LABELS, breaks),
        bench.tell(LABELS, raw(b"SSH-2.0-OpenSSH_9.2\r\n")),
        bench.tell(LABELS, raw(b"HTTP/1.1 200 OK\r\n\r\n<html>A router</html>")),
        bench.tell(LABELS, raw(b"HTTP/1.1 200 OK\r\nContent-Length: 900\r\n\r\nshort")),
        bench.tell(LABELS, raw(huge)),
        bench.tell(LABELS, raw(chunk)),
        bench.tell(LABELS, raw(b"")),
        bench.tell(LABELS, http("401 Unauthorized")),
        bench.tell(LABELS, http("426 Upgrade Required")),
        bench.tell(LABELS, http("404 Not Found")),
        bench.tell(LABELS, http("500 Internal Server Error")),
        bench.tell(LABELS, then(ready(), Reply::Ipp(Answer::of(0x0506).end()))),
        bench.tell(LABELS, then(ready(), Reply::Ipp(refusal))),
        bench.tell(LABELS, then(ready(), Reply::Ipp(Answer::of(0x0507).end()))),
        bench.tell(LABELS, numberless),
        bench.tell("friday/labels.pdf --queue ipp://127.0.0.1:1/ipp/print", |_, _| Reply::Nothing),
        bench.tell("friday/labels.pdf --queue ipps://127.0.0.1/", |_, _| Reply::Nothing),
        bench.tell("friday/batch.json --printer bench", |_, _| Reply::Nothing),
        bench.tell("friday/gone.pdf --printer bench", |_, _| Reply::Nothing),
        bench.tell(&format!("{LABELS} --pages 3,70"), |_, _| Reply::Nothing),
    ];
    expect("answers", &told);
}

#[test]
fn what_does_not_fit_is_not_sent() {
    let bench = Bench::new();
    let done = || job(9, &["none"]);
    let with = |answer: Answer| prints(answer.end(), done());
    let other_paper = || {
        let answer = label_printer(3, &["none"])
            .words("media-supported", &["iso_a4_210x297mm", "iso_a6_105x148mm"]);
        answer.put(0x49, "document-format-supported", b"image/pwg-raster")
    };
    let loaded = || {
        takes_dots(label_printer(3, &["none"]), &["black_1"])
            .words("media-ready", &["iso_a6_105x148mm"])
    };
    let pdf_alone = || {
        let answer =
            label_printer(3, &["none"]).put(0x49, "document-format-supported", b"application/pdf");
        answer.dpi("printer-resolution-supported", 203)
    };
    let other_dots = || {
        let answer =
            label_printer(3, &["none"]).put(0x49, "document-format-supported", b"image/pwg-raster");
        answer.dpi("pwg-raster-document-resolution-supported", 300)
    };
    bench.desk.done(&["render", "evening.json", "--printer", "filtered", "-o", "plain.pdf"]);
    let card = [
        "render",
        "evening.json",
        "--layout",
        "bench-card",
        "--only",
        "1",
        "--printer",
        "filtered",
    ];
    bench.desk.done(&[&card[..], &["-o", "card.pdf"]].concat());
    let told = [
        bench.tell(LABELS, with(other_paper())),
        bench.tell(LABELS, with(loaded())),
        bench.tell(LABELS, with(pdf_alone())),
        bench.tell(LABELS, with(other_dots())),
        bench.tell("friday/labels.pwg --printer bench", with(pdf_alone())),
        bench.tell("plain.pdf --printer bench", prints(ready(), done())),
        bench.tell("plain.pdf --printer filtered --pages 1-2", with(pdf_alone())),
        bench.tell("plain.pdf --printer filtered --copies 3", with(pdf_alone())),
        bench.tell("plain.pdf --printer filtered", with(pdf_alone())),
        bench.tell("plain.pdf --queue ipp://127.0.0.1:PORT/ipp/print", with(pdf_alone())),
        bench.tell(
            "card.pdf --printer filtered",
            with(pdf_alone().words("media-supported", &["custom_62x100mm_62x100mm"])),
        ),
    ];
    expect("refused", &told);
}

#[test]
fn the_examples_of_its_help_print() {
    let bench = Bench::new();
    let help = String::from_utf8(bench.desk.done(&["print", "--help"]).stdout).unwrap();
    let examples: Vec<&str> =
        help.lines().filter_map(|line| line.strip_prefix("  slipwright print ")).collect();
    assert_eq!(examples.len(), 3);
    for example in examples {
        let told = bench.tell(example, prints(ready(), job(9, &["none"])));
        assert!(told.contains("\nexit 0\n"), "{told}");
    }
}

/// The dots of all pages of a file.
fn pages_of(bytes: &[u8]) -> Vec<Vec<u8>> {
    let file = PwgFile::read(bytes.to_vec()).unwrap();
    (0..file.pages().len()).map(|page| file.dots(page).unwrap().rows().to_vec()).collect()
}

/// What was printed, and the request with it.
fn printed(bench: &Bench) -> Asked {
    bench.printer.asked().into_iter().find(|asked| asked.operation == PRINT).unwrap()
}

#[test]
fn the_printer_gets_the_dots_that_were_proven_on_exactly_its_paper() {
    let bench = Bench::new();
    let kept = std::fs::read(bench.desk.path("friday/labels.pwg")).unwrap();
    let done = || job(9, &["none"]);
    bench.tell(LABELS, prints(recorded("label-printer.ipp"), done()));
    let whole = printed(&bench);
    assert_eq!(whole.document(), kept);
    assert!(whole.has("document-format", b"image/pwg-raster") && whole.has("sides", b"one-sided"));
    assert!(whole.has_member("x-dimension", 10160) && whole.has_member("y-dimension", 15240));
    assert!(whole.has("requesting-user-name", b"ada") && whole.has("job-name", b"labels.pdf"));
    assert!(whole.has("ipp-attribute-fidelity", &[1]) && whole.has("attributes-charset", b"utf-8"));

    // Some pages, twice: in the bench's order, one whole document after the other.
    let words = format!("{LABELS} --pages 7,1,3-4 --copies 2");
    bench.tell(&words, |asked, times| match prints(ready(), job(9, &["none"]))(asked, times) {
        Reply::Ipp(body) => Reply::Chunked(body),
        other => other,
    });
    let all = pages_of(&kept);
    let once = [0, 2, 3, 6].map(|page| all[page].clone());
    assert_eq!(pages_of(printed(&bench).document()), [&once[..], &once[..]].concat());

    // A printer that takes no single bits gets the same dots a byte each.
    let gray = takes_dots(label_printer(3, &["none"]), &["sgray_8"]).end();
    bench.tell(&format!("{LABELS} --pages 1"), prints(gray, done()));
    let sent = printed(&bench);
    let field = |at: usize| u32::from_be_bytes(sent.document()[4 + at..8 + at].try_into().unwrap());
    assert_eq!([372, 376, 388, 400].map(field), [812, 1219, 8, 18]);

    // A card that lies across a roll is turned, and asks for the roll.
    let card = ["render", "evening.json", "--layout", "bench-card", "--only", "1", "-o"];
    bench.desk.done(&[&card[..], &["card.pwg"]].concat());
    bench.desk.done(&[&card[..], &["card.png"]].concat());
    bench.tell("card.pwg --printer bench", prints(ready(), done()));
    let sent = printed(&bench);
    assert!(sent.has_member("x-dimension", 6200) && sent.has_member("y-dimension", 10000));
    let upright = PwgFile::read(std::fs::read(bench.desk.path("card.pwg")).unwrap()).unwrap();
    let turned = PwgFile::read(sent.document().to_vec()).unwrap();
    let (before, after) = (upright.dots(0).unwrap(), turned.dots(0).unwrap());
    assert_eq!((after.width(), after.height()), (before.height(), before.width()));
    for y in 0..before.height() {
        for x in 0..before.width() {
            assert_eq!(after.get(before.height() - 1 - y, x), before.get(x, y), "{x} {y}");
        }
    }
}

#[test]
fn a_pdf_goes_unscaled_with_pages_and_copies_for_the_queue() {
    let bench = Bench::new();
    bench.desk.done(&["render", "evening.json", "--printer", "filtered", "-o", "plain.pdf"]);
    let words = "plain.pdf --printer filtered --pages 2-3,5 --copies 2";
    bench.tell(words, prints(recorded("cups-queue.ipp"), job(9, &["none"])));
    let sent = printed(&bench);
    assert_eq!(sent.document(), std::fs::read(bench.desk.path("plain.pdf")).unwrap());
    assert!(sent.has("print-scaling", b"none") && sent.has("copies", &2_i32.to_be_bytes()));
    let range = |from: i32, to: i32| [from.to_be_bytes(), to.to_be_bytes()].concat();
    assert!(sent.has("page-ranges", &range(2, 3)) && sent.has("", &range(5, 5)));
    // Composed on the queue's own dots: no bar of a PDF of 203.2 dots an inch is as wide.
    bench.desk.done(&["render", "evening.json", "--printer", "bench", "-o", "proven.pdf"]);
    let proven = std::fs::read(bench.desk.path("proven.pdf")).unwrap();
    assert_ne!(proven, sent.document());
}

#[test]
fn backs_are_asked_for_by_the_edge_of_the_sheet() {
    let bench = Bench::new();
    let layout =
        "page: {stock: a4, inset: 8}\nmakes: insert\nbody: {text: front}\nback: {text: back}\n";
    bench.desk.put("both.yaml", layout);
    bench.desk.done(&["render", "evening.json", "--layout", "both.yaml", "-o", "slips.pdf"]);
    let sides = |known: &'static [&'static str]| {
        let answer =
            label_printer(3, &["none"]).put(0x49, "document-format-supported", b"application/pdf");
        prints(answer.words("sides-supported", known).end(), job(9, &["none"]))
    };
    bench.tell("slips.pdf --printer fine", sides(&["one-sided", "two-sided-long-edge"]));
    assert!(printed(&bench).has("sides", b"two-sided-long-edge"));
    expect("backs", &[bench.tell("slips.pdf --printer fine", sides(&["one-sided"]))]);
}

#[test]
fn pages_with_backs_come_out_by_whole_sheets() {
    let bench = Bench::new();
    let layout =
        "page: {stock: a4, inset: 8}\nmakes: insert\nbody: {text: front}\nback: {text: back}\n";
    bench.desk.put("both.yaml", layout);
    bench.desk.done(&["render", "evening.json", "--layout", "both.yaml", "-o", "slips.pdf"]);
    // Somebody else's document may end with a front.
    let mut odd = lopdf::Document::load(bench.desk.path("slips.pdf")).unwrap();
    odd.delete_pages(&(4..=odd.get_pages().len() as u32).collect::<Vec<_>>());
    odd.save(bench.desk.path("odd.pdf")).unwrap();
    let takes = || {
        let answer =
            label_printer(3, &["none"]).put(0x49, "document-format-supported", b"application/pdf");
        let answer = answer.put(0x22, "page-ranges-supported", &[1]);
        let answer = answer.put(0x33, "copies-supported", &[0, 0, 0, 1, 0, 0, 0, 99]);
        let sides = answer.words("sides-supported", &["one-sided", "two-sided-long-edge"]);
        prints(sides.end(), job(9, &["none"]))
    };
    let told = [
        bench.tell("slips.pdf --printer fine --pages 4,7-8", takes()),
        bench.tell("slips.pdf --printer fine --pages 3-4 --copies 2", takes()),
        bench.tell("odd.pdf --printer fine --pages 2-3", takes()),
        bench.tell("odd.pdf --printer fine --copies 2", takes()),
        bench.tell("odd.pdf --printer fine --pages 2 --copies 2", takes()),
    ];
    expect("whole-sheets", &told);
}

#[test]
fn backs_lie_as_the_printer_says_that_it_takes_them() {
    let bench = Bench::new();
    let layout =
        "page: {stock: 4x6in, inset: 8}\nmakes: insert\nbody: {text: front}\nback: {text: back}\n";
    bench.desk.put("both.yaml", layout);
    let made = ["render", "evening.json", "--only", "1", "--layout", "both.yaml", "-o", "card.pwg"];
    bench.desk.done(&made);
    let ours = pages_of(&std::fs::read(bench.desk.path("card.pwg")).unwrap());
    let takes = |back: &str| {
        let printer = label_printer(3, &["none"]).words("pwg-raster-document-sheet-back", &[back]);
        let printer = printer.words("sides-supported", &["two-sided-long-edge"]);
        prints(takes_dots(printer, &["black_1"]).end(), job(9, &["none"]))
    };
    for (back, is_as_seen) in
        [("normal", true), ("manual-tumble", true), ("rotated", false), ("flipped", false)]
    {
        bench.tell("card.pwg --printer bench", takes(back));
        let sent = pages_of(printed(&bench).document());
        assert_eq!(sent[0], ours[0], "{back}: fronts are as they are");
        assert_eq!(sent[1] == ours[1], is_as_seen, "{back}");
    }
    // One that does not say it gets the PDF where there is one, and else a warning.
    let silent = || {
        let printer =
            label_printer(3, &["none"]).words("sides-supported", &["two-sided-long-edge"]);
        let printer = printer.put(0x49, "document-format-supported", b"image/pwg-raster");
        let printer = printer.put(0x49, "", b"application/pdf");
        let printer = printer.dpi("pwg-raster-document-resolution-supported", 300);
        prints(takes_dots(printer, &["black_1"]).end(), job(9, &["none"]))
    };
    let fine = [
        "render",
        "evening.json",
        "--only",
        "1",
        "--layout",
        "both.yaml",
        "--printer",
        "fine",
        "-o",
        "card.pwg",
    ];
    bench.desk.done(&fine);
    let ours = pages_of(&std::fs::read(bench.desk.path("card.pwg")).unwrap());
    expect("backs-untold", &[bench.tell("card.pwg --printer fine", silent())]);
    assert_eq!(pages_of(printed(&bench).document()), ours);
    let kit = "kit: {labels: none, bench_cards: none, slips: none, inserts: none, handover_list: none, overview: none,\n  \
               documents: {cards: {layout: both.yaml, printer: fine}}}\n";
    let shop = SHOP.replace("PORT", &bench.printer.port.to_string());
    let (before, _) = shop.split_once("kit:").unwrap();
    bench.desk.put("shop.yaml", format!("{before}{kit}"));
    bench.desk.done(&["kit", "evening.json", "--no-proof", "--to", "backs"]);
    assert!(bench.desk.path("backs/cards.pwg").exists());
    bench.tell("backs/cards.pdf --printer fine", silent());
    assert!(printed(&bench).document().starts_with(b"%PDF-"));
}

#[test]
fn programs_get_what_the_schema_says() {
    let bench = Bench::new();
    let schema = bench.desk.done(&["schema", "print"]).stdout;
    let schema: Value = serde_json::from_slice(&schema).unwrap();
    assert!(jsonschema::meta::is_valid(&schema));
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    let ask = |words: &str, look: Vec<u8>| -> Value {
        bench.printer.behave(move |asked, times| match asked.operation {
            0x4002 => Reply::Ipp(recorded("cups-queues.ipp")),
            _ => prints(look.clone(), job(9, &["none"]))(asked, times),
        });
        let output = bench.print(words);
        assert!(output.status.success(), "{words}: {}", String::from_utf8_lossy(&output.stderr));
        let answer: Value = serde_json::from_slice(&output.stdout).unwrap();
        let faults: Vec<_> = validator.iter_errors(&answer).map(|it| it.to_string()).collect();
        assert!(faults.is_empty(), "{words}: {faults:?} in {answer}");
        answer
    };
    let answer = ask(&format!("{LABELS} --pages 2-3 --json"), ready());
    assert_eq!((answer["printed"].as_bool(), answer["job"].as_i64()), (Some(true), Some(12)));
    assert_eq!((answer["sends"].as_str(), answer["dpi"].as_i64()), (Some("dots"), Some(203)));
    assert_eq!(answer["paper"], serde_json::json!({"width_mm": 101.6, "length_mm": 152.4}));
    let rehearsed = ask(&format!("{LABELS} --dry-run --json"), ready());
    assert_eq!((rehearsed["printed"].as_bool(), &rehearsed["job"]), (Some(false), &Value::Null));
    assert!(bench.printer.asked().iter().all(|asked| asked.operation != PRINT));
    let list = ask("--list --json", recorded("label-printer.ipp"));
    assert_eq!(list["printers"].as_array().unwrap().len(), 4);
    assert_eq!(list["printers"][0]["ready"], true);
    assert_eq!(ask("--job 12 --printer bench --json", ready())["state"], "completed");
    assert_eq!(ask("--cancel 12 --printer bench --json", ready())["did"], "cancel");
    // A failure is a finding on a line of its own.
    bench.printer.behave(|_, _| Reply::Ipp(Answer::of(0x0406).end()));
    let output = bench.print(&format!("{LABELS} --json"));
    let told: Value = serde_json::from_slice(&output.stderr).unwrap();
    assert_eq!((told["rule"].as_str(), output.status.code()), (Some("usage"), Some(2)));
}

#[test]
fn what_a_ledger_prints_keeps_its_dots_too() {
    let bench = Bench::new();
    bench.desk.done(&["ledger", "take-in", "evening.json"]);
    bench.desk.done(&["ledger", "line-up", "--all", "--combine", "--sitting", "Friday"]);
    bench.desk.done(&["ledger", "print", "--no-proof", "--to", "sitting"]);
    bench.tell("sitting/labels.pdf --pages 1-2", prints(ready(), job(9, &["none"])));
    let kept = std::fs::read(bench.desk.path("sitting/labels.pwg")).unwrap();
    assert_eq!(pages_of(printed(&bench).document()), pages_of(&kept)[..2]);
}

#[test]
fn a_kit_proves_that_its_dots_are_its_own() {
    let bench = Bench::new();
    let kept = std::fs::read(bench.desk.path("friday/labels.pwg")).unwrap();
    // Dots that are not as they were made are left alone; the PDF alone is not for this printer.
    bench.desk.put("friday/labels.pwg", [&kept[..4], &kept[4 + kept.len() / 2..]].concat());
    let told = bench.tell(LABELS, prints(ready(), job(9, &["none"])));
    assert!(told.contains("`bench` takes no PDF"), "{told}");
    // So do reprints, whose record is another.
    bench.desk.put("friday/labels.pwg", &kept);
    bench.desk.done(&["kit", "--to", "friday", "--only", "2", "--no-proof"]);
    let again = "friday/reprint-1/labels.pdf --printer bench";
    bench.tell(again, prints(ready(), job(9, &["none"])));
    assert_eq!(pages_of(printed(&bench).document()).len(), 1);
}
