//! What pages may do, and how what they send becomes the words of a command.
//!
//! In: a verb and a JSON object of its arguments, by the names they have on the command line. Out: the
//! words that somebody would type for it. Every option stands here that a page may give; those that name
//! files are not among them, so that no page leads anywhere but to the desk's own folder. Not here: what
//! the verbs do.

use std::ffi::OsString;
use std::path::Path;

use serde_json::{Map, Value};

use super::files::ledger_in;

/// What a page may give to a verb.
pub(super) struct ActForm {
    /// The verb of `slipwright ledger`, as it is typed.
    pub(super) verb: &'static str,
    /// What stands without an option, in its order.
    words: &'static [&'static str],
    /// The long options that a page may name, without their dashes.
    options: &'static [&'static str],
    /// The verb's options from which it needs one, where it would else read from a terminal.
    one_of: &'static [&'static str],
}

/// What is measured or decided of a parcel.
const FACTS: [&str; 7] = ["tag", "weight", "size", "pack", "service", "extra", "hazard"];

/// How something is entered. When is the desk's own clock's.
const ACT: [&str; 2] = ["request", "dry-run"];

/// The verbs whose options name a parcel's facts.
const WITH_FACTS: [&str; 3] = ["line-up", "note", "join"];

/// The verbs that only ask.
const ASKING: [&str; 3] = ["list", "history", "check"];

/// All that pages may do with a ledger, but for taking in, telling the shop and printing, which name files.
pub(super) const FORMS: [ActForm; 18] = [
    form("list", &["what"], &["sitting", "text", "full"]),
    form("history", &["what"], &["sitting"]),
    form("check", &[], &[]),
    form("line-up", &["orders"], &["all", "combine", "sitting"]),
    form("note", &["number"], &[]),
    form("move", &["number"], &["before", "last"]),
    form("take-off", &["what"], &["order", "because"]),
    form("set-aside", &["numbers"], &["because"]),
    form("join", &["number", "orders"], &["elsewhere"]),
    form("part", &["number", "order"], &[]),
    form("again", &["order"], &["because"]),
    form("seen", &["orders"], &["all"]),
    form("undo", &[], &["only"]),
    form("print", &[], &["anew"]),
    ActForm {
        one_of: &["codes", "by-eye", "finish", "scan"],
        ..form("match", &["codes"], &["by-eye", "finish", "scan", "held", "after"])
    },
    form("track", &["parcel", "tracking"], &["sitting"]),
    form("hand-over", &["numbers"], &["all-matched"]),
    form("close", &[], &["leave"]),
];

/// A form of a verb that never reads from a terminal.
const fn form(
    verb: &'static str,
    words: &'static [&'static str],
    options: &'static [&'static str],
) -> ActForm {
    ActForm { verb, words, options, one_of: &[] }
}

/// What pages may give to a verb; none when no page gives it anything.
pub(super) fn find_form(verb: &str) -> Option<&'static ActForm> {
    FORMS.iter().find(|form| form.verb == verb)
}

impl ActForm {
    /// The words of the command that does what a page asks for.
    ///
    /// # Errors
    /// When the page gives what the form does not have, in a sentence.
    pub(super) fn fill(
        &self,
        folder: &Path,
        given: &Map<String, Value>,
    ) -> Result<Vec<OsString>, String> {
        let mut words = start_words(folder, self.verb);
        if let Some(name) = given.keys().find(|name| !self.has(name)) {
            return Err(format!("`{}` takes no `{name}` from a page", self.verb));
        }
        if !self.one_of.is_empty() && !self.one_of.iter().any(|name| is_given(given, name)) {
            return Err(format!("`{}` needs one of {}", self.verb, self.one_of.join(", ")));
        }
        for (name, value) in given.iter().filter(|(name, _)| !self.words.contains(&&***name)) {
            for text in texts_of(name, value)? {
                words.push(match text {
                    Some(text) => format!("--{name}={text}").into(),
                    None => format!("--{name}").into(),
                });
            }
        }
        words.push("--".into());
        for name in self.words {
            let texts = given.get(*name).map(|value| texts_of(name, value)).transpose()?;
            words.extend(texts.unwrap_or_default().into_iter().flatten().map(OsString::from));
        }
        Ok(words)
    }

    /// Whether a page may give something of this name.
    fn has(&self, name: &str) -> bool {
        let verb = &self.verb;
        self.words.contains(&name)
            || self.options.contains(&name)
            || (WITH_FACTS.contains(verb) && FACTS.contains(&name))
            || (!ASKING.contains(verb) && ACT.contains(&name))
    }
}

/// The words that every command on a desk's ledger begins with.
pub(super) fn start_words(folder: &Path, verb: &str) -> Vec<OsString> {
    let mut ledger = OsString::from("--ledger=");
    ledger.push(ledger_in(folder));
    vec!["slipwright".into(), "ledger".into(), ledger, "--json".into(), verb.into()]
}

/// Whether something is given and not empty.
fn is_given(given: &Map<String, Value>, name: &str) -> bool {
    given.get(name).is_some_and(|value| match value {
        Value::Array(values) => !values.is_empty(),
        Value::Null | Value::Bool(false) => false,
        _ => true,
    })
}

/// A value as the texts of arguments: an option that is only switched on has none, a list gives several.
fn texts_of(name: &str, value: &Value) -> Result<Vec<Option<String>>, String> {
    let wrong =
        || format!("`{name}` is a text, a number, true, false or a list of texts and numbers");
    let one = |value: &Value| match value {
        Value::String(text) => Ok(Some(text.clone())),
        Value::Number(number) => Ok(Some(number.to_string())),
        _ => Err(wrong()),
    };
    match value {
        Value::Null | Value::Bool(false) => Ok(Vec::new()),
        Value::Bool(true) => Ok(vec![None]),
        Value::Array(values) => values.iter().map(one).collect(),
        Value::Object(_) => Err(wrong()),
        value => one(value).map(|text| vec![text]),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    /// The words for what a page sends, from the verb on.
    fn fill(verb: &str, given: Value) -> Result<Vec<String>, String> {
        let form = find_form(verb).unwrap();
        let words = form.fill(Path::new("/desk"), given.as_object().unwrap())?;
        Ok(words.iter().skip(4).map(|word| word.to_str().unwrap().to_owned()).collect())
    }

    #[test]
    fn what_a_page_sends_becomes_the_words_of_a_command() {
        let given = json!({"orders": ["TH-1", "--all"], "weight": 372, "extra": ["a", "b"],
            "combine": false, "dry-run": true, "tag": "--json"});
        let words = "line-up --dry-run --extra=a --extra=b --tag=--json --weight=372 -- TH-1 --all";
        assert_eq!(fill("line-up", given).unwrap().join(" "), words);
    }

    #[test]
    fn what_names_files_or_reads_a_terminal_is_refused() {
        for (verb, given) in [
            ("line-up", json!({"orders": ["A"], "ledger": "/etc/passwd"})),
            ("line-up", json!({"orders": ["A"], "shop": "x"})),
            ("print", json!({"to": "/tmp"})),
            ("print", json!({"fonts": "/tmp"})),
            ("note", json!({"weights": "-"})),
            ("track", json!({"from": "-"})),
            ("match", json!({})),
            ("match", json!({"codes": [], "finish": false})),
            ("list", json!({"request": "x"})),
            ("undo", json!({"request": {"a": 1}})),
        ] {
            assert!(fill(verb, given.clone()).is_err(), "{verb} {given}");
        }
        for verb in ["take-in", "tell-shop", "forget", "backup", "copy-in", "copy-out", "rebuild"] {
            assert!(find_form(verb).is_none(), "{verb}");
        }
    }
}
