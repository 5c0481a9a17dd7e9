//! The fuzzers' corpus, sent through the same doors without a fuzzer: what once broke an entry
//! point, and what leads furthest into it.

use std::fs;
use std::path::Path;

#[expect(unreachable_pub, reason = "the fuzz package takes the same file as a public module")]
#[path = "../../fuzz/src/entries.rs"]
mod entries;

#[test]
fn the_corpus_passes_every_entry_point() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz-corpus");
    let mut total = 0;
    for (name, enter) in entries::ENTRIES {
        let folder = root.join(name);
        let files = fs::read_dir(&folder).unwrap_or_else(|error| panic!("{name}: {error}"));
        let mut files: Vec<_> = files.map(|entry| entry.unwrap().path()).collect();
        files.sort();
        assert!(files.len() >= 5, "the corpus of `{name}` is gone");
        for file in files {
            let bytes = fs::read(&file).unwrap();
            total += bytes.len();
            // The name of the file that a panic is about.
            println!("{}", file.display());
            enter(&bytes);
        }
    }
    assert!(total < 300_000, "the corpus has grown to {total} bytes: minimise it");
}
