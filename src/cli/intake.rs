//! `slipwright intake`: a shop's export to orders, or to a first map.

use std::fs::File;
use std::io::{self, Read, Write as _};
use std::path::{Path, PathBuf};

use clap::Args;
use tempfile::NamedTempFile;

use super::arguments::Diagnostics;
use super::disk::Disk;
use super::files::Pending;
use super::steady::Steady;
use super::{Exit, report};
use crate::intake::{
    Intake, IntakeError, IntakeMap, IntakeOutput, OpenExport, propose_map, read_intake_map,
    take_in_with,
};
use crate::source::{Env as _, Sources};

/// The arguments of `intake`.
#[derive(Debug, Args)]
pub(super) struct IntakeArguments {
    /// The shop's export, comma-separated values or a spreadsheet: a file, or - for standard input
    #[arg(default_value = "-")]
    export: String,

    /// The map: which columns are which fields of an order
    #[arg(short, long, value_name = "FILE")]
    map: Option<PathBuf>,

    /// Write a first map instead, guessed from the columns, to look through and mend
    #[arg(long, conflicts_with = "map")]
    propose: bool,

    /// Where the orders or the map go: a file, or - for standard output
    #[arg(short, long, value_name = "FILE|-", default_value = "-")]
    output: PathBuf,

    /// Take the good orders in and write the rows of the others, as they stand, to this file, to mend and
    /// take in again
    #[arg(long, value_name = "FILE", conflicts_with = "propose")]
    set_aside: Option<PathBuf>,

    /// How findings are shown
    #[arg(long, value_enum, default_value_t = Diagnostics::Full)]
    diagnostics: Diagnostics,
}

/// Takes an export in.
pub(super) fn run(arguments: &IntakeArguments) -> Exit {
    match take(arguments) {
        Ok(exit) | Err(exit) => exit,
    }
}

/// Takes an export in, or says why that cannot be done.
fn take(arguments: &IntakeArguments) -> Result<Exit, Exit> {
    let map_file = arguments.map.as_deref();
    if map_file.is_none() && !arguments.propose {
        let export = if arguments.export == "-" { "export.csv" } else { &arguments.export };
        return Err(report::usage(
            "intake needs a map of the export's columns: `--map FILE`",
            Some(format!("write a first one: `slipwright intake {export} --propose -o map.yaml`")),
        ));
    }
    let inputs = [Some(Path::new(&arguments.export)), map_file];
    for (input, what) in inputs.into_iter().zip(["the export", "the map"]) {
        if input.is_some_and(|input| super::output::is_same_file(input, &arguments.output)) {
            let message = format!("`-o` names the same file as {what}");
            return Err(report::usage(&message, Some("name another file".into())));
        }
    }
    // A first map is corrected by hand; another would put the guesses back.
    if arguments.propose && arguments.output.is_file() {
        let message = format!("there is a file `{}` already", arguments.output.display());
        return Err(report::usage(&message, Some("name another file for the first map".into())));
    }
    let mut sources = Sources::new();
    let map = map_file.map(|path| read_map(path, &mut sources, arguments.diagnostics));
    let map = map.transpose()?;
    let export = Export::open(&arguments.export)?;
    let output = arguments.output.display().to_string();
    let cannot_write = |error: io::Error| report::cannot_write(&format!("`{output}`"), &error);
    let mut pending = Pending::create(&arguments.output).map_err(cannot_write)?;
    let mut aside = open_aside(arguments)?;
    let name = if arguments.export == "-" { "standard input" } else { &arguments.export };
    let open: OpenExport<'_> = &|| export.reopen();
    let outcome = match &map {
        Some(map) => {
            let aside = aside.as_mut().map(|aside| aside as &mut dyn std::io::Write);
            let output = IntakeOutput { orders: &mut pending, aside };
            take_in_with(map, open, name, output, &mut sources)
        }
        None => propose(open, name, &mut pending, &mut sources),
    };
    let intake = outcome.map_err(|error| match error {
        IntakeError::Read(error) => report::cannot_read(&format!("`{name}`"), &error),
        IntakeError::Write(error) => cannot_write(error),
    })?;
    // What was found in a file that changed meanwhile is of no file that there is.
    export.settle().map_err(|error| report::cannot_read(&format!("`{name}`"), &error))?;
    report::show(&intake.findings, &sources, arguments.diagnostics);
    if intake.stopped {
        let counted = report::count_findings(&intake.findings);
        // On standard error JSON stands alone, so that a script can read it.
        if arguments.diagnostics != Diagnostics::Json {
            report::say(&format!("nothing was written: {counted}\n"));
        }
        return Ok(if intake.broken { Exit::Usage } else { Exit::Findings });
    }
    // A batch without orders is no batch.
    if map.is_none() || intake.orders > 0 {
        pending.settle().and_then(super::files::Settled::commit).map_err(cannot_write)?;
    }
    let aside = aside.map(|aside| aside.settle().and_then(super::files::Settled::commit));
    aside.transpose().map_err(|error| {
        let path = arguments.set_aside.as_deref().unwrap_or(Path::new("-"));
        report::cannot_write(&format!("`{}`", path.display()), &error)
    })?;
    match map {
        Some(_) => say_done(&intake, &arguments.output),
        None if arguments.output == Path::new("-") => {}
        None => report::say(&format!("a first map is in `{output}`: look it through\n")),
    }
    if let Some(path) = arguments.set_aside.as_deref().filter(|_| intake.set_aside > 0) {
        let noun = if intake.set_aside == 1 { "order was" } else { "orders were" };
        let (count, path) = (intake.set_aside, path.display());
        report::say(&format!("{count} {noun} set aside in `{path}`\n"));
        return Ok(Exit::Findings);
    }
    Ok(Exit::Done)
}

/// Opens the file for rows that are set aside, if there is to be one. One that holds rows already is
/// not written over: they may be mended and not yet taken in.
fn open_aside(arguments: &IntakeArguments) -> Result<Option<Pending>, Exit> {
    let Some(path) = &arguments.set_aside else { return Ok(None) };
    let shown = path.display();
    let mut inputs = vec![(Path::new(&arguments.export), "the export")];
    inputs.extend(arguments.map.as_deref().map(|map| (map, "the map")));
    inputs.push((&arguments.output, "`-o`"));
    let shared = inputs.into_iter().find(|(file, _)| super::output::is_same_file(file, path));
    if let Some((_, what)) = shared {
        let message = format!("`--set-aside` names the same file as {what}");
        return Err(report::usage(&message, Some("name another file".into())));
    }
    if std::fs::metadata(path).is_ok_and(|known| known.is_file() && known.len() > 0) {
        let message = format!("`{shown}` holds what was set aside before");
        let hint = "take that in first, or name another file".to_owned();
        return Err(report::usage(&message, Some(hint)));
    }
    let pending = Pending::create(path);
    pending.map(Some).map_err(|error| report::cannot_write(&format!("`{shown}`"), &error))
}

/// Writes a first map.
fn propose(
    open: OpenExport<'_>,
    name: &str,
    pending: &mut Pending,
    sources: &mut Sources,
) -> Result<Intake, IntakeError> {
    let (text, intake) = propose_map(open, name, sources)?;
    pending.write_all(text.as_bytes()).map_err(IntakeError::Write)?;
    Ok(intake)
}

/// Says what was made.
fn say_done(intake: &Intake, output: &Path) {
    let (orders, items) =
        (report::counted(intake.orders, "order"), report::counted(intake.items, "item"));
    let mut said = format!("{orders}, {items}");
    if output != Path::new("-") {
        said.push_str(&format!(" in `{}`", output.display()));
    }
    if intake.left_out > 0 {
        said.push_str(&format!("; {} left out", intake.left_out));
    }
    report::say(&format!("{said}\n"));
}

/// Reads a map.
fn read_map(
    path: &Path,
    sources: &mut Sources,
    diagnostics: Diagnostics,
) -> Result<IntakeMap, Exit> {
    let name = path.display().to_string();
    let quoted = format!("`{name}`");
    let bytes = Disk.read(path).map_err(|error| report::cannot_read(&quoted, &error))?;
    let text = String::from_utf8(bytes).map_err(|_| {
        report::usage(&format!("{quoted} is not UTF-8 text"), Some("save it as UTF-8".into()))
    })?;
    let file = sources.add(name, text);
    let mut found = Vec::new();
    let map = read_intake_map(sources.get(file).text(), file, &mut found);
    report::show(&found, sources, diagnostics);
    map.ok_or(Exit::Usage)
}

/// An export that can be read more than once.
enum Export {
    /// A file.
    File(PathBuf, Steady),
    /// What came through a pipe, kept in a file of our own.
    Spooled(NamedTempFile),
}

impl Export {
    /// Opens an export; a pipe is read to its end.
    fn open(name: &str) -> Result<Export, Exit> {
        let quoted = format!("`{name}`");
        let wrong = |error: io::Error| report::cannot_read(&quoted, &error);
        if name == "-" {
            return Export::spool(&mut io::stdin().lock())
                .map_err(|error| report::cannot_read("standard input", &error));
        }
        let mut file = File::open(name).map_err(wrong)?;
        let known = file.metadata().map_err(wrong)?;
        if known.is_dir() {
            return Err(wrong(io::Error::from(io::ErrorKind::IsADirectory)));
        }
        if known.is_file() {
            let steady = Steady::look(Path::new(name)).map_err(wrong)?;
            return Ok(Export::File(PathBuf::from(name), steady));
        }
        Export::spool(&mut file).map_err(wrong)
    }

    /// Keeps what a pipe gives.
    fn spool(input: &mut dyn Read) -> io::Result<Export> {
        let mut file = NamedTempFile::new()?;
        io::copy(input, &mut file)?;
        file.flush()?;
        Ok(Export::Spooled(file))
    }

    /// Sees that it is as it was when it was opened.
    fn settle(&self) -> io::Result<()> {
        match self {
            Export::File(_, steady) => steady.settle(),
            Export::Spooled(_) => Ok(()),
        }
    }

    /// Opens it from its start.
    fn reopen(&self) -> io::Result<Box<dyn Read>> {
        match self {
            Export::File(path, _) => Ok(Box::new(File::open(path)?)),
            Export::Spooled(file) => Ok(Box::new(file.reopen()?)),
        }
    }
}
