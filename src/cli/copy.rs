//! `slipwright layouts`: what there is, and a copy to start one's own.

use std::fmt::Write as _;
use std::io::Write as _;
use std::path::{Path, PathBuf};

use super::arguments::LayoutsArguments;
use super::files::Pending;
use super::{Exit, print, report};
use crate::findings::did_you_mean;
use crate::shipped::{SHIPPED, Shipped, find_shipped};

/// Lists the shipped layouts, or copies one.
pub(super) fn run(arguments: &LayoutsArguments) -> Exit {
    let Some(name) = &arguments.copy else { return print(&table()) };
    let Some(shipped) = find_shipped(name) else {
        let names: Vec<_> = SHIPPED.iter().map(|shipped| shipped.name).collect();
        return report::usage(
            &format!("there is no shipped layout `{name}`"),
            did_you_mean(name, &names),
        );
    };
    let to = arguments.to.clone().unwrap_or_else(|| PathBuf::from(format!("{name}.yaml")));
    if to.exists() && to.is_file() {
        return report::usage(
            &format!("`{}` is already there", to.display()),
            Some("name another file with `--to`".into()),
        );
    }
    match write(&to, shipped.text) {
        Ok(()) => {
            for part in included(shipped) {
                report::say(&format!(
                    "it includes `{part}`: to change that too, `slipwright layouts --copy {part}`\n"
                ));
            }
            Exit::Done
        }
        Err(error) => report::cannot_write(&to.display().to_string(), &error),
    }
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

/// The shipped layouts as a table.
fn table() -> String {
    let mut table = String::new();
    for shipped in SHIPPED {
        let _ = writeln!(table, "{:<20} {}", shipped.name, shipped.doc());
    }
    table.push_str("\nStart your own: slipwright layouts --copy label-4x6in --to mine.yaml\n");
    table
}
