//! Templates and expressions that do no more than name values.
//!
//! In: what the layout says. Out: the same ready to be looked up, for most of what a label says is
//! of this kind, and a look is many times quicker than a run of the template engine. Whatever is
//! more than names, and whatever a look does not find, is left to the engine, which alone says
//! what is wrong.

use std::fmt::Write as _;

use minijinja::Value;

use crate::layout::{LANGUAGE, fill_plain};

/// A value by its path, such as `parcel.weight`.
struct ValuePath(Box<[Box<str>]>);

/// Words that are no names to the template engine.
const KEYWORDS: &[&str] =
    &["true", "false", "none", "not", "and", "or", "in", "is", "if", "else", "loop", "self"];

impl ValuePath {
    /// The path that a text is; `None` when it is anything else.
    fn parse(text: &str) -> Option<ValuePath> {
        let is_name = |name: &str| {
            name.starts_with(|c: char| c.is_ascii_lowercase())
                && name.bytes().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == b'_')
                && !KEYWORDS.contains(&name)
        };
        let names = text.split('.').map(|name| is_name(name).then(|| name.into()));
        names.collect::<Option<_>>().map(ValuePath)
    }

    /// The value, if there is one.
    fn look_up(&self, values: &Value) -> Option<Value> {
        let mut found: Option<Value> = None;
        for name in &self.0 {
            let within = found.as_ref().unwrap_or(values);
            found = Some(within.get_attr(name).ok().filter(|value| !value.is_undefined())?);
        }
        found
    }
}

/// A piece of a template.
enum Piece {
    /// Text that stands for itself.
    Fixed(Box<str>),
    /// A value put in.
    Named(ValuePath),
    /// A word, with values put in its gaps.
    Filled(FilledWord),
}

/// A word and what is put in its gaps: `words.page_of | fill(page=page, pages=pages)`.
struct FilledWord {
    /// Where the word is among the variables, such as `words.page_of`.
    word: ValuePath,
    /// The names of the gaps, each with its value.
    gaps: Box<[(Box<str>, ValuePath)]>,
}

impl FilledWord {
    /// The filled word that a text is; `None` when it is anything else.
    fn parse(text: &str) -> Option<FilledWord> {
        let (word, call) = text.split_once('|')?;
        let gaps = call.trim().strip_prefix("fill(")?.strip_suffix(')')?;
        let gap = |text: &str| {
            let (name, value) = text.split_once('=')?;
            ValuePath::parse(name.trim())?;
            Some((name.trim().into(), ValuePath::parse(value.trim())?))
        };
        let gaps = gaps.split(',').map(gap).collect::<Option<_>>()?;
        Some(FilledWord { word: ValuePath::parse(word.trim())?, gaps })
    }

    /// The word with its values; `None` when the engine has to see to it.
    fn put(&self, values: &Value) -> Option<String> {
        let language = values.get_attr(LANGUAGE).ok();
        fill_plain(&self.word.look_up(values)?, language.as_ref(), |gap| {
            let (_, path) = self.gaps.iter().find(|(name, _)| **name == *gap)?;
            path.look_up(values)
        })
    }
}

/// A template of nothing but text and named values.
pub(super) struct PlainTemplate(Box<[Piece]>);

impl PlainTemplate {
    /// The template that a text is; `None` when it asks for more.
    pub(super) fn parse(text: &str) -> Option<PlainTemplate> {
        // The engine drops a line's end at the end of a template.
        if text.contains("{%") || text.contains("{#") || text.ends_with('\n') {
            return None;
        }
        let mut pieces = Vec::new();
        let mut rest = text;
        while let Some((before, after)) = rest.split_once("{{") {
            let (named, behind) = after.split_once("}}")?;
            pieces.push(Piece::Fixed(before.into()));
            pieces.push(match ValuePath::parse(named.trim()) {
                Some(path) => Piece::Named(path),
                None => Piece::Filled(FilledWord::parse(named)?),
            });
            rest = behind;
        }
        pieces.push(Piece::Fixed(rest.into()));
        Some(PlainTemplate(pieces.into()))
    }

    /// The text with its values put in; `None` when the engine has to see to it.
    pub(super) fn put(&self, values: &Value) -> Option<String> {
        let mut made = String::new();
        for piece in &self.0 {
            match piece {
                Piece::Fixed(text) => made.push_str(text),
                Piece::Filled(word) => made.push_str(&word.put(values)?),
                Piece::Named(path) => {
                    let value = path.look_up(values)?;
                    match value.as_str() {
                        Some(text) => made.push_str(text),
                        None if value.is_integer() => write!(made, "{value}").ok()?,
                        None => return None,
                    }
                }
            }
        }
        Some(made)
    }
}

/// An expression of nothing but named values, the first of them that holds.
pub(super) struct PlainExpression(Box<[ValuePath]>);

impl PlainExpression {
    /// The expression that a text is; `None` when it asks for more.
    pub(super) fn parse(text: &str) -> Option<PlainExpression> {
        let paths = text.trim().split(" or ").map(|text| ValuePath::parse(text.trim()));
        paths.collect::<Option<_>>().map(PlainExpression)
    }

    /// Its value; `None` when the engine has to see to it.
    pub(super) fn value(&self, values: &Value) -> Option<Value> {
        let mut last = None;
        for path in &self.0 {
            let value = path.look_up(values)?;
            if value.is_true() {
                return Some(value);
            }
            last = Some(value);
        }
        last
    }
}

#[cfg(test)]
mod tests {
    use minijinja::{Environment, UndefinedBehavior, context};

    use super::*;

    /// Variables of every kind that layouts see.
    fn values() -> Value {
        context! {
            tag => "Marlow", position => 7, gift => false, reprint => true, empty => "",
            nothing => Value::from(()), ratio => 1.5, lines => ["a", "b"],
            parcel => context! { id => "TH-1", weight => "", pack => "„Röhre“ {{ tag }}" },
        }
    }

    /// The engine as layouts run it.
    fn engine() -> Environment<'static> {
        let mut env = Environment::new();
        env.set_undefined_behavior(UndefinedBehavior::Strict);
        env.set_auto_escape_callback(|_| minijinja::AutoEscape::None);
        env
    }

    #[test]
    fn what_is_put_in_is_what_the_engine_puts_in() {
        let (values, env) = (values(), engine());
        let texts = [
            "{{ tag }}",
            "{{tag}}{{ position }}",
            "<{{ parcel.id }}> {{ parcel.pack }}",
            "a\n{{ parcel.weight }}\n b }} c",
            "{{ empty }}",
        ];
        for text in texts {
            let put = PlainTemplate::parse(text).and_then(|it| it.put(&values));
            assert_eq!(put, Some(env.render_str(text, &values).unwrap()), "{text}");
        }
        // What is printed otherwise, is not there, or is more than a name, is the engine's.
        let left = [
            "{{ gift }}",
            "{{ nothing }}",
            "{{ ratio }}",
            "{{ lines }}",
            "{{ nobody }}",
            "{{ parcel.nothing }}",
            "{{ tag.id }}",
        ];
        for text in left {
            assert_eq!(PlainTemplate::parse(text).and_then(|it| it.put(&values)), None, "{text}");
        }
        let more = [
            "{{ tag | upper }}",
            "{{- tag }}",
            "{{ tag -}}",
            "{% if gift %}a{% endif %}",
            "{# a #}{{ tag }}",
            "{{ tag }}\n",
            "{{ lines[0] }}",
            "{{ 'a' }}",
            "{{ 1 }}",
            "{{ true }}",
            "{{ loop.index }}",
            "{{ a.b. }}",
            "{{ tag",
        ];
        for text in more {
            assert!(PlainTemplate::parse(text).is_none(), "{text}");
        }
    }

    #[test]
    fn expressions_are_worth_what_the_engine_says() {
        let (values, env) = (values(), engine());
        let texts = [
            "gift",
            "reprint",
            "parcel.id",
            "lines",
            "parcel.weight or parcel.pack",
            "gift or empty or reprint",
            " gift or parcel.weight ",
            "position",
            "nothing",
        ];
        for text in texts {
            let value = PlainExpression::parse(text).and_then(|it| it.value(&values));
            let meant = env.compile_expression(text).unwrap().eval(&values).unwrap();
            assert_eq!(value, Some(meant), "{text}");
        }
        assert!(PlainExpression::parse("nobody").unwrap().value(&values).is_none());
        let more =
            ["not gift", "a and b", "orders | length > 1", "lines[0]", "'a'", "1", "a or b or", ""];
        for text in more {
            assert!(PlainExpression::parse(text).is_none(), "{text}");
        }
    }
}
