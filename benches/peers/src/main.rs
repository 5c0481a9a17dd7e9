//! The same label pages written by Slipwright and by general PDF crates, in one run.
//!
//! `cargo run --release --manifest-path benches/peers/Cargo.toml` prints a table; figures after
//! `--` choose other batch sizes. Every row is a process of its own, so that its peak memory is
//! its own too.
//!
//! All rows do the same up to the finished page: orders are read, numbered, tagged, bound, composed
//! and checked by the engine, on as many threads as the row says. They differ in who writes the
//! pages: nobody (the row shows what all have in common), Slipwright's own writer, or a peer, which
//! gets the same marks on the same places: each run of text in the same font and size, each rule a
//! box, each run of a code's modules a box. Peers embed the same fonts, subsetted. krilla gets our
//! glyphs with their places; printpdf gets the texts and sets them by itself, without kerning and
//! letter spacing. Peers write on one thread, because they have no other way.

#[path = "../../batch/maker.rs"]
mod maker;
mod peers;

use std::fs::{self, File};
use std::io::{self, Write as _};
use std::num::NonZeroUsize;
use std::path::Path;
use std::process::Command;
use std::thread::sleep;
use std::time::{Duration, Instant};

use slipwright::{
    Batch, BatchOptions, Document, FontBook, NoFiles, Page, PdfEncoder, PdfOptions, PdfWriter,
    PictureStore, Run, Shop, Sources, find_shipped, read_layout, read_orders, watch_batch,
};

use peers::{KrillaFile, PrintpdfFile};

/// Who sends.
const SHOP: &str = "name: Tern Hollow Pens
address: {lines: [7 Saltings Lane], city: Ternmouth, postcode: TR77 4NH, country: GB}
";

/// The batch sizes.
const COUNTS: &[usize] = &[100, 1_000, 10_000];

/// Who writes the pages.
const WRITERS: &[&str] = &["nobody", "slipwright", "krilla", "printpdf"];

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    match &words[..] {
        [order, writer, threads, orders, output] if order == "write" => {
            let threads = threads.parse().ok().and_then(NonZeroUsize::new);
            write_labels(writer, threads, Path::new(orders), Path::new(output));
        }
        counts => {
            let given: Vec<usize> = counts.iter().filter_map(|word| word.parse().ok()).collect();
            show_table(if given.is_empty() { COUNTS } else { &given });
        }
    }
}

/// Runs every writer on every batch size in a process of its own.
fn show_table(counts: &[usize]) {
    let folder = std::env::temp_dir().join(format!("slipwright-peers-{}", std::process::id()));
    fs::create_dir_all(&folder).expect("a temporary folder");
    let (orders, output) = (folder.join("orders.json"), folder.join("labels.pdf"));
    println!(
        "{:>8} {:>12} {:>8} {:>9} {:>8} {:>9} {:>12}",
        "labels", "written by", "threads", "seconds", "CPU s", "peak MB", "bytes/label"
    );
    for &count in counts {
        fs::write(&orders, maker::make_orders(count)).expect("orders are written");
        for writer in WRITERS {
            for threads in ["1", "2"] {
                let run = measure(writer, threads, &orders, &output);
                println!(
                    "{count:>8} {writer:>12} {threads:>8} {:>9.3} {:>8.2} {:>9.1} {:>12.0}",
                    run.seconds,
                    run.cpu,
                    run.peak_mb,
                    run.size as f64 / count as f64
                );
                io::stdout().flush().expect("the table can be shown");
            }
        }
    }
    fs::remove_dir_all(&folder).expect("the folder is ours");
}

/// One measured run.
struct Measured {
    /// From start to exit.
    seconds: f64,
    /// CPU time of all threads, to a hundredth of a second.
    cpu: f64,
    /// The most memory it held, in MB.
    peak_mb: f64,
    /// The PDF's size, in bytes.
    size: u64,
}

/// Runs one writer as a process of its own. CPU time and memory are read as Linux tells them, and
/// are 0 elsewhere.
fn measure(writer: &str, threads: &str, orders: &Path, output: &Path) -> Measured {
    let before = children_seconds();
    let start = Instant::now();
    let program = std::env::current_exe().expect("this program is a file");
    let mut child = Command::new(program)
        .args(["write", writer, threads])
        .args([orders, output])
        .spawn()
        .expect("this program starts");
    let mut peak_mb: f64 = 0.0;
    let status = loop {
        if let Some(status) = child.try_wait().expect("the process is ours") {
            break status;
        }
        peak_mb = peak_mb.max(read_peak(child.id()));
        sleep(Duration::from_millis(1));
    };
    let seconds = start.elapsed().as_secs_f64();
    assert!(status.success(), "{writer} failed: {status}");
    let size = fs::metadata(output).map_or(0, |file| file.len());
    Measured { seconds, cpu: children_seconds() - before, peak_mb, size }
}

/// The CPU time of all children that have ended, in seconds (proc(5), fields 16 and 17 of `stat`).
fn children_seconds() -> f64 {
    let status = fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let fields = status.rsplit_once(") ").map_or("", |(_, fields)| fields).split(' ');
    let ticks = fields.skip(16 - 3).take(2).filter_map(|word| word.parse::<f64>().ok());
    ticks.sum::<f64>() / 100.0
}

/// The most memory a process has held so far, in MB.
fn read_peak(process: u32) -> f64 {
    let status = fs::read_to_string(format!("/proc/{process}/status")).unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    let kilobytes = line.and_then(|line| line.trim().trim_end_matches(" kB").parse::<f64>().ok());
    kilobytes.unwrap_or(0.0) / 1000.0
}

/// Makes the labels of some orders and has one writer write them.
fn write_labels(writer: &str, threads: Option<NonZeroUsize>, orders: &Path, output: &Path) {
    let mut sources = Sources::new();
    let text = fs::read_to_string(orders).expect("the orders are there");
    let file = sources.add("orders.json", text);
    let orders = read_orders(&sources.get(file).shared_text(), file);
    let file = sources.add("shop.yaml", SHOP);
    let shop = Shop::read(SHOP, file, &mut Vec::new());
    let name = orders.batch_name.as_deref();
    let options = BatchOptions::default();
    let batch = Batch::assemble(name, orders.orders, shop.as_ref(), options, &mut Vec::new());
    let label = find_shipped("label-4x6in").expect("it is shipped").text;
    let file = sources.add("label.yaml", label);
    let layout = read_layout(&mut sources, file, &NoFiles, Path::new("")).0;
    let layout = layout.expect("a shipped layout is good");
    let (book, pictures) = (FontBook::builtin(), PictureStore::new(&NoFiles, ""));
    let document = Document {
        shop: shop.as_ref(),
        threads,
        ..Document::new(&batch, &layout, &book, &pictures)
    };
    let run = Run::new(&document).expect("it fits");
    let mut file = File::create(output).expect("the output can be made");
    match writer {
        "nobody" => make_pages(&run, &batch, |_| (), |()| ()),
        "slipwright" => {
            let options = PdfOptions::default();
            let encoder = PdfEncoder::new(&book, &options);
            let mut out = PdfWriter::new(file, &book, &options).expect("it can be written");
            let push = |page| out.push(page).expect("it can be written");
            make_pages(&run, &batch, |page| encoder.encode_page(page), push);
            drop(out.finish().expect("it can be written"));
        }
        "krilla" => {
            let mut pdf = KrillaFile::new(&book);
            make_pages(&run, &batch, Page::clone, |page| pdf.add(&page));
            file.write_all(&pdf.finish()).expect("it can be written");
        }
        "printpdf" => {
            let mut pdf = PrintpdfFile::new(&book);
            make_pages(&run, &batch, Page::clone, |page| pdf.add(&page));
            pdf.finish(&mut file);
        }
        other => panic!("no writer is called `{other}`"),
    }
}

/// Makes all pages: `finish` runs on the engine's threads, `take` gets the pages in order.
fn make_pages<T: Send>(
    run: &Run<'_>,
    batch: &Batch,
    finish: impl Fn(&Page) -> T + Sync,
    mut take: impl FnMut(T),
) {
    let mut watch = watch_batch(batch);
    let take = |made| {
        take(made);
        Ok(())
    };
    let outcome = run.make(&mut watch, finish, take, |_| {}).expect("`take` never fails");
    assert!(outcome.pages >= batch.parcels.len(), "a label is missing");
}
