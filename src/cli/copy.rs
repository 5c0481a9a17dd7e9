//! `slipwright layouts`: what there is, and a copy to start one's own.

use std::fmt::Write as _;
use std::io::Write as _;
use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use super::arguments::LayoutsArguments;
use super::disk;
use super::exit::Exit;
use super::files::Pending;
use super::halt::Halt;
use super::output::{cannot_write, show_path};
use super::terminal;
use crate::layout::layout_schema;
use crate::shipped::{SHIPPED, Shipped, find_shipped, nearest_shipped};

/// Lists the shipped layouts, or copies one.
pub(super) fn run(arguments: &LayoutsArguments) -> Result<Exit, Halt> {
    let Some(name) = &arguments.copy else {
        terminal::print(&if arguments.json { list_json() } else { table() })?;
        return Ok(Exit::Done);
    };
    let Some(shipped) = find_shipped(name) else {
        let message = format!("there is no shipped layout `{name}`");
        return Err(Halt::usage(message).hint_if(nearest_shipped(name)));
    };
    let to = arguments.to.clone().unwrap_or_else(|| PathBuf::from(format!("{name}.yaml")));
    if to.is_file() {
        let message = format!("`{}` is already there", to.display());
        return Err(Halt::usage(message).hint("name another file with `--to`"));
    }
    let written = write(&to, shipped.text);
    written.map_err(|error| Halt::unwritten(&to.display().to_string(), &error))?;
    put_schema_beside(&to)?;
    for part in included(shipped) {
        terminal::say(&format!(
            "it includes `{part}`: to change that too, `slipwright layouts --copy {part}`"
        ));
    }
    Ok(Exit::Done)
}

/// What editors are told of layouts by, under the name that the first line of every layout says.
const SCHEMA: &str = "layout.schema.json";

/// Puts the schema beside a copy, in place of an older one of ours; another file of that name stays.
fn put_schema_beside(copy: &Path) -> Result<(), Halt> {
    if copy == Path::new("-") {
        return Ok(());
    }
    let place = copy.with_file_name(SCHEMA);
    let (schema, there) = (layout_schema(), disk::read_text(&place).ok());
    let text = format!("{schema:#}\n");
    if there.as_ref() == Some(&text) {
        return Ok(());
    }
    let is_ours = |text: &String| {
        let known: Option<Value> = serde_json::from_str(text).ok();
        known.is_some_and(|known| known["$id"] == schema["$id"])
    };
    if place.exists() && !there.as_ref().is_some_and(is_ours) {
        let shown = show_path(&place);
        terminal::say(&format!("{shown} is another file; `slipwright schema layout` prints ours"));
        return Ok(());
    }
    write(&place, &text).map_err(|error| cannot_write(&place, &error))
}

/// Writes a copy.
fn write(to: &Path, text: &str) -> std::io::Result<()> {
    let mut file = Pending::create(to)?;
    file.write_all(text.as_bytes())?;
    file.settle()?.commit()
}

/// The shipped layouts that one includes, by name.
fn included(shipped: &Shipped) -> Vec<&'static str> {
    let asked = shipped.text.split("include: ").skip(1);
    let names = asked.filter_map(|rest| {
        let end = rest.find(|c: char| !c.is_ascii_alphanumeric() && c != '-').unwrap_or(rest.len());
        find_shipped(&rest[..end]).map(|found| found.name)
    });
    let mut names: Vec<_> = names.collect();
    names.sort_unstable();
    names.dedup();
    names
}

/// The shipped layouts for a program.
fn list_json() -> String {
    let layouts: Vec<_> = SHIPPED
        .iter()
        .map(|shipped| json!({"name": shipped.name, "used_for": shipped.doc()}))
        .collect();
    format!("{:#}\n", json!(layouts))
}

/// The shipped layouts as a table.
fn table() -> String {
    let mut table = String::new();
    for shipped in SHIPPED {
        let _ = writeln!(table, "{:<20} {}", shipped.name, shipped.doc());
    }
    table.push_str("\nStart your own: slipwright layouts --copy label-4x6in --to mine.yaml\n");
    table
}
