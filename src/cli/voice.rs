//! How a run speaks: to people or to a program, with colours or without.
//!
//! In: the arguments and the environment. Out: a [`Voice`], set once before anything is said. Not
//! here: what is said (`terminal`).

use std::cell::Cell;
use std::ffi::{OsStr, OsString};
use std::io::{self, IsTerminal as _};

use super::arguments::{ColorChoice, Diagnostics};

/// How a run speaks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Voice {
    /// Whether every line on standard error is one JSON object.
    pub(super) json: bool,
    /// Whether findings are coloured.
    pub(super) coloured: bool,
}

thread_local! {
    /// The voice of the run. A run speaks on one thread; tests make several runs on several.
    static VOICE: Cell<Voice> = const { Cell::new(Voice { json: false, coloured: false }) };
}

impl Voice {
    /// The voice for what the user asks for.
    pub(super) fn new(how: Diagnostics, color: ColorChoice) -> Voice {
        let variable = |name: &str| std::env::var_os(name);
        let habits = Habits {
            no_color: variable("NO_COLOR"),
            term: variable("TERM"),
            terminal: io::stderr().is_terminal(),
        };
        Voice { json: how == Diagnostics::Json, coloured: color.is_wanted(&habits) }
    }

    /// The voice of this run.
    pub(super) fn current() -> Voice {
        VOICE.get()
    }

    /// Makes it the voice of this run.
    pub(super) fn set(self) {
        VOICE.set(self);
    }

    /// The voice that arguments ask for that could not be read; what is wrong with them is said to a
    /// program too.
    pub(super) fn guess(arguments: &[OsString]) -> Voice {
        let option = |name: &str| {
            let joined = format!("{name}=");
            arguments.iter().enumerate().find_map(|(at, argument)| match argument.to_str()? {
                word if word == name => arguments.get(at + 1)?.to_str(),
                word => word.strip_prefix(&joined),
            })
        };
        let has = |word: &str| arguments.iter().any(|argument| argument == word);
        let how = match option("--diagnostics") {
            Some("json") => Diagnostics::Json,
            _ if has("ledger") && has("--json") => Diagnostics::Json,
            _ => Diagnostics::Full,
        };
        Voice::new(how, ColorChoice::Never)
    }
}

/// What a terminal and its user are known to like.
struct Habits {
    /// The variable `NO_COLOR`: anything but empty asks for no colours (no-color.org).
    no_color: Option<OsString>,
    /// The variable `TERM`, the terminal's kind.
    term: Option<OsString>,
    /// Whether standard error is a terminal.
    terminal: bool,
}

impl ColorChoice {
    /// Whether findings are coloured.
    fn is_wanted(self, habits: &Habits) -> bool {
        let is_dumb = habits.term.as_deref() == Some(OsStr::new("dumb"));
        let is_refused = habits.no_color.as_ref().is_some_and(|value| !value.is_empty());
        match self {
            ColorChoice::Always => true,
            ColorChoice::Never => false,
            ColorChoice::Auto => habits.terminal && !is_dumb && !is_refused,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Whether colours are shown on a terminal, or what is not one, with these variables.
    fn shown(color: ColorChoice, terminal: bool, no_color: &str, term: &str) -> bool {
        color.is_wanted(&Habits {
            no_color: Some(no_color.into()),
            term: Some(term.into()),
            terminal,
        })
    }

    #[test]
    fn colours_are_for_terminals_that_have_some_and_users_who_want_them() {
        let auto = ColorChoice::Auto;
        assert!(shown(auto, true, "", "xterm"));
        assert!(!shown(auto, true, "1", "xterm"), "NO_COLOR");
        assert!(!shown(auto, true, "", "dumb"), "TERM=dumb");
        assert!(!shown(auto, false, "", "xterm"), "a pipe");
        // What is said now goes before what is said for ever.
        assert!(shown(ColorChoice::Always, false, "1", "dumb"));
        assert!(!shown(ColorChoice::Never, true, "", "xterm"));
    }

    #[test]
    fn arguments_that_cannot_be_read_still_say_who_listens() {
        let guess = |words: &[&str]| {
            Voice::guess(&words.iter().map(OsString::from).collect::<Vec<_>>()).json
        };
        assert!(guess(&["slipwright", "kit", "--diagnostics", "json", "--nonsense"]));
        assert!(guess(&["slipwright", "check", "--diagnostics=json", "--nonsense"]));
        assert!(guess(&["slipwright", "ledger", "list", "--json", "--nonsense"]));
        assert!(!guess(&["slipwright", "check", "--nonsense", "json"]));
    }
}
