//! `slipwright intake`: a shop's export to orders, or to a first map.

use std::io::{self, Write as _};
use std::path::Path;

use super::arguments::IntakeArguments;
use super::aside::OpenAside;
use super::disk::read_text;
use super::exit::Exit;
use super::export_file::Export;
use super::files::Pending;
use super::halt::Halt;
use super::output::{cannot_write, is_same_file, let_appear, open_output, show_path};
use super::report::count_findings;
use super::terminal;
use crate::findings::Finding;
use crate::intake::{
    Intake, IntakeError, IntakeMap, IntakeOutput, OpenExport, propose_map, read_intake_map,
    take_in_with,
};
use crate::source::Sources;
use crate::verify::ProofTally;
use crate::words::counted;

/// Takes an export in.
pub(super) fn run(arguments: &IntakeArguments) -> Result<Exit, Halt> {
    refuse_usage(arguments)?;
    let mut sources = Sources::new();
    let map = arguments.map.as_deref().map(|path| read_map(path, &mut sources)).transpose()?;
    if let Some(map) = &map {
        terminal::show(&map.remarks, &sources, arguments.diagnostics);
    }
    let export = Export::open(&arguments.export)?;
    let mut pending = open_output(&arguments.output)?;
    let mut aside = match &arguments.set_aside {
        Some(path) => {
            let map = arguments.map.as_deref().map(|map| (map, "the map"));
            let inputs = [(&*arguments.export, "the export"), (&*arguments.output, "`-o`")];
            let inputs: Vec<(&Path, &str)> = inputs.into_iter().chain(map).collect();
            Some(open_aside(path, &inputs)?)
        }
        None => None,
    };
    let name = match arguments.export.to_str() {
        Some("-") => "standard input".into(),
        _ => arguments.export.to_string_lossy(),
    };
    let name = &*name;
    let open: OpenExport<'_> = &|| export.reopen();
    let outcome = match &map {
        Some(read) => {
            let aside = aside.as_mut().map(|aside| &mut aside.pending as &mut dyn io::Write);
            let output = IntakeOutput { orders: &mut pending, aside };
            take_in_with(&read.map, open, name, output, &mut sources)
        }
        None => propose(open, name, &mut pending, &mut sources),
    };
    let unread = |error: io::Error| Halt::unreadable(&format!("`{name}`"), &error);
    let intake = outcome.map_err(|error| match error {
        IntakeError::Read(error) => unread(error),
        IntakeError::Write(error) => cannot_write(&arguments.output, &error),
    })?;
    // What was found in a file that changed meanwhile is of no file that there is.
    export.settle().map_err(unread)?;
    if intake.stopped {
        return Err(stop_intake(intake, &sources, "written"));
    }
    terminal::show(&intake.findings, &sources, arguments.diagnostics);
    appear(arguments, &intake, pending, aside)
}

/// Lets everything appear, and says what was made.
fn appear(
    arguments: &IntakeArguments,
    intake: &Intake,
    pending: Pending,
    aside: Option<OpenAside>,
) -> Result<Exit, Halt> {
    let output = &arguments.output;
    let settle = |pending: Pending, path: &Path| {
        pending.settle().map_err(|error| cannot_write(path, &error))
    };
    let mut outputs = Vec::new();
    let aside = match aside {
        Some(OpenAside { path, pending }) => {
            outputs.push(settle(pending, &path)?);
            Some(path)
        }
        None => None,
    };
    // A batch without orders is no batch.
    if arguments.propose || intake.orders > 0 {
        outputs.push(settle(pending, output)?);
    }
    let_appear(outputs)?;
    match arguments.propose {
        false => say_done(intake, output),
        true if output == Path::new("-") => {}
        true => terminal::say(&format!("a first map is in {}: look it through", show_path(output))),
    }
    let Some(path) = aside.filter(|_| intake.set_aside > 0) else { return Ok(Exit::Done) };
    let noun = if intake.set_aside == 1 { "order was" } else { "orders were" };
    terminal::say(&format!("{} {noun} set aside in {}", intake.set_aside, show_path(&path)));
    Ok(Exit::Findings)
}

/// Refuses arguments that name no map, or an output that would replace something.
fn refuse_usage(arguments: &IntakeArguments) -> Result<(), Halt> {
    let map_file = arguments.map.as_deref();
    if map_file.is_none() && !arguments.propose {
        let export = match arguments.export.to_str() {
            Some("-") => "export.csv".into(),
            _ => arguments.export.to_string_lossy(),
        };
        return Err(Halt::usage("intake needs a map of the export's columns: `--map FILE`").hint(
            format!("write a first one: `slipwright intake {export} --propose -o map.yaml`"),
        ));
    }
    let inputs = [Some(&*arguments.export), map_file];
    for (input, what) in inputs.into_iter().zip(["the export", "the map"]) {
        if input.is_some_and(|input| is_same_file(input, &arguments.output)) {
            let message = format!("`-o` names the same file as {what}");
            return Err(Halt::usage(message).hint("name another file"));
        }
    }
    // A first map is corrected by hand; another would put the guesses back.
    if arguments.propose && arguments.output.is_file() {
        let message = format!("there is a file {} already", show_path(&arguments.output));
        return Err(Halt::usage(message).hint("name another file for the first map"));
    }
    Ok(())
}

/// What stops an export that has errors; `done` is what was not done with it.
pub(super) fn stop_intake(intake: Intake, sources: &Sources, done: &str) -> Halt {
    let said = format!("nothing was {done}: {}", count_findings(&intake.findings));
    let exit = if intake.broken { Exit::Usage } else { Exit::Findings };
    Halt::found(intake.findings, ProofTally::default(), sources).ending_in(exit).saying(said)
}

/// Opens the file for rows that are set aside, beside `others` that are read or written. One that holds
/// rows already is not written over: they may be mended and not yet taken in.
///
/// # Errors
/// When it is one of the others, holds something, or cannot be written.
pub(super) fn open_aside(path: &Path, others: &[(&Path, &str)]) -> Result<OpenAside, Halt> {
    if let Some((_, what)) = others.iter().find(|(file, _)| is_same_file(file, path)) {
        let message = format!("`--set-aside` names the same file as {what}");
        return Err(Halt::usage(message).hint("name another file"));
    }
    if std::fs::metadata(path).is_ok_and(|known| known.is_file() && known.len() > 0) {
        let message = format!("{} holds what was set aside before", show_path(path));
        return Err(Halt::usage(message).hint("take that in first, or name another file"));
    }
    let pending = open_output(path)?;
    Ok(OpenAside { path: path.to_owned(), pending })
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
    let mut said =
        format!("{}, {}", counted(intake.orders, "order"), counted(intake.items, "item"));
    if output != Path::new("-") {
        said.push_str(&format!(" in {}", show_path(output)));
    }
    let left_out = [(intake.orders_left_out, "order"), (intake.rows_left_out, "row")];
    let left_out: Vec<String> = left_out
        .into_iter()
        .filter(|(count, _)| *count > 0)
        .map(|(count, noun)| counted(count, noun))
        .collect();
    if !left_out.is_empty() {
        said.push_str(&format!("; left out: {}", left_out.join(", ")));
    }
    terminal::say(&said);
}

/// A map that can be used.
pub(super) struct ReadMap {
    /// How the export's columns are read.
    pub(super) map: IntakeMap,
    /// What was found in it that stops nothing.
    pub(super) remarks: Vec<Finding>,
}

/// Reads a map.
///
/// # Errors
/// When it cannot be read or has errors.
pub(super) fn read_map(path: &Path, sources: &mut Sources) -> Result<ReadMap, Halt> {
    let file = sources.add(path.display().to_string(), read_text(path)?);
    let mut remarks = Vec::new();
    match read_intake_map(sources.get(file).text(), file, &mut remarks) {
        Some(map) => Ok(ReadMap { map, remarks }),
        None => Err(Halt::unusable(remarks, sources)),
    }
}
