//! What happens to kits and outputs when something comes in between: files of others in the kit, runs
//! that are killed or interrupted, two runs at once, links, pipes and disks. A run that reads its orders
//! from a pipe waits there with its hidden folder made, so that a test can step in.

use std::fs;
use std::io::Write as _;
use std::os::unix::fs::{PermissionsExt as _, symlink};
use std::os::unix::process::ExitStatusExt as _;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output};
use std::time::Duration;

use serde_json::json;

use crate::command::Desk;
use crate::kit::{json_of, names};

/// Two orders, and a shop file that wants few documents.
fn desk() -> Desk {
    let desk = Desk::new();
    let order = |id: &str, name: &str| {
        json!({"id": id, "items": [{"title": "Nib"}], "ship_to": {"name": name, "lines": ["1 Quay"],
               "city": "Ellenport", "postcode": "EP1 2AB", "country": "GB"}})
    };
    let orders = json!([order("TH-1", "Ada Marlow"), order("TH-2", "Ben Okafor")]);
    desk.put("orders.json", orders.to_string());
    desk.put("shop.yaml", SHOP);
    desk
}

/// A kit of labels and the overview.
const SHOP: &str = "\
name: Tern Hollow Pens
address: {lines: [7 Saltings Lane], city: Ternmouth, postcode: TR77 4NH, country: GB}
kit: {bench_cards: none, slips: none, inserts: none, customs_sheets: none, handover_list: none}
";

/// The words that make a kit of orders from a file.
const MAKE: [&str; 4] = ["kit", "orders.json", "--to", "tonight"];

/// Makes the kit `tonight`.
fn make(desk: &Desk, more: &[&str]) -> String {
    let words: Vec<&str> = MAKE.iter().chain(more).copied().collect();
    String::from_utf8(desk.done(&words).stderr).unwrap()
}

/// What a run that must not end well says, and its exit code.
fn refusal(run: &Output) -> (i32, String) {
    let said = String::from_utf8(run.stderr.clone()).unwrap();
    assert!(!said.contains(".slipwright-") && !said.contains("not empty"), "{said}");
    (run.status.code().unwrap_or(-1), said)
}

/// A run that makes or reprints a kit and waits for its orders.
fn start(desk: &Desk, words: &[&str]) -> Child {
    let before = hidden(desk).len();
    let mut all = vec!["kit", "-", "--to", "tonight"];
    all.extend(words);
    let child = desk.start(&all);
    wait(|| hidden(desk).len() > before);
    child
}

/// Gives a run its orders, and waits for its end.
fn feed(desk: &Desk, mut child: Child) -> Output {
    let orders = fs::read(desk.path("orders.json")).unwrap();
    child.stdin.take().unwrap().write_all(&orders).unwrap();
    child.wait_with_output().unwrap()
}

/// Waits until something is so.
fn wait(is_so: impl Fn() -> bool) {
    for _ in 0..1_000 {
        if is_so() {
            // What was just made gets its lock too.
            std::thread::sleep(Duration::from_millis(100));
            return;
        }
        std::thread::sleep(Duration::from_millis(20));
    }
    panic!("it never came");
}

/// The hidden folders of the place and its kit.
fn hidden(desk: &Desk) -> Vec<PathBuf> {
    let folders = [desk.path(""), desk.path("tonight")];
    let entries = folders.iter().flat_map(|folder| fs::read_dir(folder).into_iter().flatten());
    let paths = entries.map(|entry| entry.unwrap().path());
    paths.filter(|path| path.file_name().unwrap().to_str().unwrap().starts_with(".slip")).collect()
}

/// All files of a folder with their bytes.
fn contents(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let mut all = Vec::new();
    for name in names(folder) {
        let path = folder.join(&name);
        match path.is_dir() {
            true => all.extend(
                contents(&path)
                    .into_iter()
                    .map(|(below, bytes)| (format!("{name}/{below}"), bytes)),
            ),
            false => all.push((name, fs::read(path).unwrap())),
        }
    }
    all
}

#[test]
fn only_what_the_kit_wrote_goes_with_it() {
    let desk = desk();
    make(&desk, &[]);
    make(&desk, &["--only", "1"]);
    let replace = ["kit", "orders.json", "--to", "tonight", "--replace"];
    let refused = |name: &str, text: &str, wanted: &str| {
        let path = desk.path("tonight").join(name);
        let before = fs::read(&path).ok();
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(&path, text).unwrap();
        let all = contents(&desk.path("tonight"));
        let (code, said) = refusal(&desk.run(&replace, b""));
        assert_eq!(code, 2, "{said}");
        assert!(said.contains(wanted), "{name}: {said}");
        assert!(contents(&desk.path("tonight")) == all, "{name}");
        match before {
            Some(bytes) => fs::write(path, bytes).unwrap(),
            None => fs::remove_file(path).unwrap(),
        }
    };
    let lost = "in `tonight` belongs to no kit and would be lost";
    refused("notes.txt", "hers", &format!("`notes.txt` {lost}"));
    refused("reprint-1/notes.txt", "hers", &format!("`reprint-1/notes.txt` {lost}"));
    refused("reprint-7/labels.pdf", "hers", &format!("`reprint-7/labels.pdf` {lost}"));
    let changed = "in `tonight` was changed since the kit was made and would be lost";
    refused("labels.pdf", "hers", &format!("`labels.pdf` {changed}"));
    refused("reprint-1/labels.pdf", "hers", &format!("`reprint-1/labels.pdf` {changed}"));
    // A record that was written by someone else names whatever it likes, and proves nothing.
    let record = fs::read_to_string(desk.path("tonight/batch.json")).unwrap();
    let tampered = record.replace("\"labels.pdf\"", "\"../orders.json\"");
    let is_changed = "`tonight/batch.json` was changed since the kit was made";
    refused("batch.json", &tampered, is_changed);
    refused("reprint-1/reprint.json", "{\"files\": []}", "reprint-1/");

    fs::remove_dir(desk.path("tonight/reprint-7")).unwrap();
    make(&desk, &["--only", "2"]);
    let said = make(&desk, &["--replace"]);
    let wanted = "2 reprints of the kit that is replaced go with it: `reprint-1`, `reprint-2`";
    assert!(said.contains(wanted), "{said}");
    assert!(!desk.path("tonight/reprint-1").exists());
    assert_eq!(hidden(&desk), [] as [PathBuf; 0]);
}

#[test]
fn what_came_in_while_a_kit_was_made_is_not_lost() {
    let desk = desk();
    make(&desk, &[]);
    let child = start(&desk, &["--replace"]);
    desk.put("tonight/notes.txt", "hers");
    let all = contents(&desk.path("tonight"));
    let (code, said) = refusal(&feed(&desk, child));
    assert_eq!(code, 2, "{said}");
    assert!(said.contains("`notes.txt` in `tonight` belongs to no kit"), "{said}");
    assert!(contents(&desk.path("tonight")) == all);
    fs::remove_file(desk.path("tonight/notes.txt")).unwrap();

    let child = start(&desk, &["--replace"]);
    make(&desk, &["--only", "1"]);
    let (code, said) = refusal(&feed(&desk, child));
    assert_eq!(code, 2, "{said}");
    assert!(
        said.contains("`tonight` was changed by someone else while the kit was made"),
        "{said}"
    );
    assert!(desk.path("tonight/reprint-1/labels.pdf").is_file());
    assert_eq!(hidden(&desk), [] as [PathBuf; 0]);
}

#[test]
fn what_was_set_aside_appears_together_with_the_kit() {
    let desk = desk();
    let mut orders = json_of(&desk, "orders.json");
    orders[1]["ship_to"]["country"] = json!("XX");
    desk.put("orders.json", orders.to_string());
    let child = start(&desk, &["--set-aside", "rest.json"]);
    fs::create_dir(desk.path("tonight")).unwrap();
    desk.put("tonight/notes.txt", "hers");
    let (code, said) = refusal(&feed(&desk, child));
    assert_eq!(code, 2, "{said}");
    assert!(
        said.contains("`tonight` was changed by someone else while the kit was made"),
        "{said}"
    );
    assert!(!desk.path("rest.json").exists());
    assert_eq!(names(&desk.path("tonight")), ["notes.txt"]);
    fs::remove_file(desk.path("tonight/notes.txt")).unwrap();
    // The empty folder that is left is no loss.
    let run = desk.run(&["kit", "orders.json", "--to", "tonight", "--set-aside", "rest.json"], b"");
    assert_eq!(run.status.code(), Some(1));
    assert!(desk.path("rest.json").is_file() && desk.path("tonight/labels.pdf").is_file());
}

#[test]
fn what_a_killed_run_left_is_swept_by_the_next() {
    let desk = desk();
    let mut child = start(&desk, &[]);
    child.kill().unwrap();
    child.wait().unwrap();
    assert_eq!(hidden(&desk).len(), 1);
    make(&desk, &[]);
    assert_eq!(hidden(&desk), [] as [PathBuf; 0]);
    // Within the kit it kept any other from taking its place.
    let mut child = start(&desk, &["--only", "1"]);
    let (code, said) =
        refusal(&desk.run(&["kit", "orders.json", "--to", "tonight", "--replace"], b""));
    assert_eq!(code, 2, "{said}");
    assert!(
        said.contains("parcels of the kit in `tonight` are just being printed again"),
        "{said}"
    );
    child.kill().unwrap();
    child.wait().unwrap();
    assert_eq!(hidden(&desk).len(), 1);
    make(&desk, &["--replace"]);
    assert_eq!(hidden(&desk), [] as [PathBuf; 0]);
}

#[test]
fn a_kit_that_had_stepped_aside_is_found_by_the_next_run() {
    for words in [&["--replace"][..], &["--only", "1"]] {
        let desk = desk();
        make(&desk, &[]);
        let hidden_folder = desk.path(".slipwright-abc123.part");
        fs::create_dir_all(hidden_folder.join("old")).unwrap();
        fs::write(hidden_folder.join("lock"), "").unwrap();
        fs::rename(desk.path("tonight"), hidden_folder.join("old/tonight")).unwrap();
        make(&desk, words);
        assert!(desk.path("tonight/labels.pdf").is_file());
        assert_eq!(hidden(&desk), [] as [PathBuf; 0]);
    }
}

#[test]
fn an_interrupted_run_leaves_nothing() {
    let desk = desk();
    make(&desk, &[]);
    let all = names(&desk.path(""));
    for (name, number) in [("INT", 2), ("TERM", 15), ("HUP", 1)] {
        let intake = desk.start(&["intake", "-", "--propose", "-o", "map.yaml"]);
        wait(|| !hidden(&desk).is_empty());
        for mut child in [intake, start(&desk, &["--replace"]), start(&desk, &["--only", "1"])] {
            let kill = format!("kill -{name} {}", child.id());
            assert!(Command::new("sh").args(["-c", &kill]).status().unwrap().success());
            assert_eq!(child.wait().unwrap().signal(), Some(number), "{name}");
        }
        assert_eq!(hidden(&desk), [] as [PathBuf; 0], "{name}");
        assert_eq!(names(&desk.path("")), all, "{name}");
    }
}

#[test]
fn a_kit_is_its_owners_and_keeps_the_mode_it_was_given() {
    let mode = |path: PathBuf| fs::metadata(path).unwrap().permissions().mode() & 0o777;
    let desk = desk();
    let child = start(&desk, &[]);
    assert_eq!(mode(hidden(&desk).remove(0)), 0o700);
    assert!(feed(&desk, child).status.success());
    assert_eq!(mode(desk.path("tonight")), 0o700);
    for name in names(&desk.path("tonight")) {
        assert_eq!(mode(desk.path("tonight").join(&name)), 0o600, "{name}");
    }
    fs::set_permissions(desk.path("tonight"), fs::Permissions::from_mode(0o755)).unwrap();
    let shared = fs::Permissions::from_mode(0o640);
    fs::set_permissions(desk.path("tonight/labels.pdf"), shared).unwrap();
    make(&desk, &["--replace"]);
    assert_eq!(mode(desk.path("tonight")), 0o755);
    assert_eq!(mode(desk.path("tonight/labels.pdf")), 0o640);
    assert_eq!(mode(desk.path("tonight/overview.pdf")), 0o600);
}

#[test]
fn two_reprints_at_once_take_two_numbers() {
    let desk = desk();
    make(&desk, &[]);
    let one = start(&desk, &["--only", "1"]);
    let two = start(&desk, &["--only", "2"]);
    let said = [two, one].map(|child| {
        let run = feed(&desk, child);
        assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
        String::from_utf8(run.stderr).unwrap()
    });
    for (number, said) in said.iter().enumerate() {
        assert!(said.contains(&format!("1 parcel in `tonight/reprint-{}`", number + 1)), "{said}");
    }
    assert!(desk.path("tonight/reprint-2/labels.pdf").is_file());
    assert_eq!(hidden(&desk), [] as [PathBuf; 0]);
}

#[test]
fn a_kits_place_can_be_a_link_but_not_where_one_stands() {
    let desk = desk();
    fs::create_dir(desk.path("shelf")).unwrap();
    fs::create_dir(desk.path("shelf/kit")).unwrap();
    symlink("shelf/kit", desk.path("tonight")).unwrap();
    let said = make(&desk, &[]);
    assert!(said.contains("2 parcels in `tonight`"), "{said}");
    make(&desk, &["--replace"]);
    assert!(fs::symlink_metadata(desk.path("tonight")).unwrap().is_symlink());
    assert!(desk.path("shelf/kit/labels.pdf").is_file());
    assert_eq!(names(&desk.path("shelf")), ["kit"]);

    symlink("nowhere", desk.path("lost")).unwrap();
    let refused = |to: &str, wanted: &str| {
        let (code, said) = refusal(&desk.run(&["kit", "orders.json", "--to", to], b""));
        assert_eq!(code, 2, "{said}");
        assert!(said.contains(wanted), "{said}");
    };
    refused("lost", "`lost` is a link that leads nowhere");
    refused("shelf", "there is no kit in `shelf`, but other files");
    refused(".", "`.` is the folder you are in, which a kit cannot take the place of");
    refused("shelf/..", "name a folder in it: `--to shelf/../kit`");
    refused("/proc", "`/proc` is a disk by itself, which a kit cannot take the place of");
}

#[test]
fn a_pipe_is_written_when_somebody_reads_it() {
    let desk = desk();
    let make = Command::new("mkfifo").arg(desk.path("pipe")).status().unwrap();
    assert!(make.success());
    let words = ["render", "orders.json", "-o", "pipe", "--format", "pdf"];
    let (code, said) = refusal(&desk.run(&words, b""));
    assert_eq!(code, 3, "{said}");
    let wanted = "`pipe` could not be written: it is a pipe that nobody reads from";
    assert!(said.contains(wanted), "{said}");
    let reader = Command::new("cat")
        .arg(desk.path("pipe"))
        .stdout(fs::File::create(desk.path("got.pdf")).unwrap())
        .spawn();
    desk.done(&words);
    assert!(reader.unwrap().wait().unwrap().success());
    let document = lopdf::Document::load(desk.path("got.pdf")).unwrap();
    assert_eq!(document.get_pages().len(), 2);
}

#[test]
fn files_that_inputs_name_are_no_links_out_of_their_folder() {
    let desk = desk();
    fs::create_dir(desk.path("got")).unwrap();
    desk.put("secret.yaml", "a secret line: [\n");
    fs::copy(desk.path("orders.json"), desk.path("got/orders.json")).unwrap();
    let refused = |words: &[&str], wanted: &str| {
        let run = desk.run(words, b"");
        let said = String::from_utf8(run.stderr).unwrap();
        assert!(run.status.code() != Some(0) && !said.contains("a secret line"), "{said}");
        assert!(said.contains(wanted), "{said}");
    };
    // A layout that includes a link.
    symlink("../secret.yaml", desk.path("got/part.yaml")).unwrap();
    desk.put("got/mine.yaml", "page: {stock: 4x6in}\nbody: {include: part.yaml}\n");
    let render = ["render", "got/orders.json", "-o", "out.pdf"];
    let mut words = render.to_vec();
    words.extend(["--layout", "got/mine.yaml"]);
    refused(&words, "it is a link that leads out of its folder");
    // A shop file that names a layout elsewhere, or a link to one.
    let shop = |layout: &str| format!("{SHOP}defaults: {{layout: {layout}}}\n");
    desk.put("got/shop.yaml", shop("../secret.yaml"));
    refused(&render, "the layout `../secret.yaml` lies outside the shop file's folder");
    desk.put("got/shop.yaml", shop("part.yaml"));
    refused(&render, "the layout `part.yaml` is a link that leads out of the shop file's folder");
    // A shop file that is one itself, and that nobody named.
    fs::remove_file(desk.path("got/shop.yaml")).unwrap();
    symlink("../secret.yaml", desk.path("got/shop.yaml")).unwrap();
    refused(&render, "`got/shop.yaml` is a link that leads out of the folder of the orders");
}
