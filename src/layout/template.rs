//! Templates and expressions of a layout: parsed once, their variables checked, their faults put
//! at their place in the file.

use minijinja::{AutoEscape, Environment, Error, ErrorKind, UndefinedBehavior};

use super::filters::{
    Written, add_filters, count_parts, filter_hint, find_text_arithmetic, find_unknown_filters,
    spell_out_comparisons,
};
use super::scope::Scope;
use super::variables::DECIMALS;
use super::{Expression, ExpressionId, OwnOf, OwnUse, Template, TemplateId, TemplateText};
use crate::findings::{Finding, rules};
use crate::limits::{TEMPLATE_BYTES, TEMPLATE_PARTS, TEMPLATE_STEPS};
use crate::source::Span;
use crate::tree::{Node, Value};

mod names;

use names::{check_names, check_printed, warn_of_curly_quotes};

/// What an expression's value is called while it is worked out; no layout can give a name capitals.
pub(crate) const VALUE: &str = "VALUE";

/// Takes in a layout's templates and expressions.
pub(super) struct Compiler {
    /// The templates so far, named by their number.
    env: Environment<'static>,
    /// How many there are.
    count: usize,
    /// The expressions so far.
    expressions: Vec<String>,
    /// Whether any of them prints words, dates or figures that a language puts its own way.
    speaks: bool,
    /// The fields of the seller's own that any of them asks for.
    own_uses: Vec<OwnUse>,
}

/// What a template that says something in a language has in it.
const SPOKEN: &[&str] = &["words", "money", "day", "number", "grams", "country_name", "language"];

impl Compiler {
    /// No templates yet.
    pub(super) fn new() -> Compiler {
        let mut env = Environment::new();
        env.set_undefined_behavior(UndefinedBehavior::Strict);
        env.set_auto_escape_callback(|_| AutoEscape::None);
        env.set_fuel(Some(TEMPLATE_STEPS));
        env.set_recursion_limit(50);
        env.set_debug(true);
        // It would carry lists in lists from round to round of a loop, deeper than any stack.
        env.remove_global("namespace");
        add_filters(&mut env);
        Compiler { env, count: 0, expressions: Vec::new(), speaks: false, own_uses: Vec::new() }
    }

    /// Whether any template or expression so far depends on the language of the page.
    pub(super) fn speaks(&self) -> bool {
        self.speaks
    }

    /// The fields of the seller's own that templates and expressions ask for, taken out.
    pub(super) fn take_own_uses(&mut self) -> Vec<OwnUse> {
        std::mem::take(&mut self.own_uses)
    }

    /// Notes the fields of the seller's own among names.
    fn note_own_uses(&mut self, names: &[String], place: &TemplatePlace<'_>) {
        for name in names {
            let Some((of, field)) = name.split_once("own.") else { continue };
            let whose = match of {
                "" => OwnOf::Orders,
                "shop." => OwnOf::Shop,
                _ if of.ends_with('.') => OwnOf::Either,
                _ => continue,
            };
            let field = field.split('.').next().unwrap_or_default();
            let span = place.name(field);
            self.own_uses.push(OwnUse { whose, name: field.to_owned(), span });
        }
    }

    /// The templates, ready to run, and the expressions.
    pub(super) fn finish(mut self) -> (Environment<'static>, Vec<String>) {
        self.env.set_debug(false);
        (self.env, self.expressions)
    }

    /// Takes in a text; `scope` names the loops' variables around it.
    pub(super) fn template(
        &mut self,
        node: &Node,
        scope: &Scope,
        source: &str,
        out: &mut Vec<Finding>,
    ) -> Option<Template> {
        let text = node.literal()?;
        let place = TemplatePlace { node, text, source };
        warn_of_curly_quotes(&place, out);
        if !text.contains(['{', '}']) {
            let fixed = TemplateText::Fixed(text.to_owned());
            return Some(Template { span: node.span, text: fixed });
        }
        let id = TemplateId(self.count);
        if !check_size(&place, Written::Template, out) {
            return None;
        }
        if let Some(range) = find_single_braces(text, scope) {
            let written = &text[range.clone()];
            let name = written.trim_matches(['{', '}', ' ']);
            let message = format!("`{written}` would be printed as it is written");
            out.push(
                Finding::new(&rules::SINGLE_BRACES, message)
                    .at(place.part(range.start, range.end))
                    .hint(format!("write `{{{{ {name} }}}}` to print what it stands for")),
            );
            return None;
        }
        if let Err(error) = self.env.add_template_owned(id.key(), text.to_owned()) {
            out.push(explain_syntax(&error, &place));
            return None;
        }
        self.count += 1;
        let template = self.env.get_template(&id.key()).ok()?;
        let mut names: Vec<_> = template.undeclared_variables(true).into_iter().collect();
        names.sort();
        let known = check_names(&names, scope, &place, out);
        self.note_own_uses(&names, &place);
        let prints = check_printed(&names, scope, &place, out);
        if !self.check_use(&place, Written::Template, out) || !known || !prints {
            return None;
        }
        if let Some(text) = spell_out_comparisons(text, Written::Template, DECIMALS) {
            self.add(id.key(), text, &place, out)?;
        }
        Some(Template { span: node.span, text: TemplateText::Made(id) })
    }

    /// Takes in a template whose comparisons are spelled out; `None`, with a finding, when the
    /// engine cannot read it so.
    fn add(
        &mut self,
        key: String,
        text: String,
        place: &TemplatePlace<'_>,
        out: &mut Vec<Finding>,
    ) -> Option<()> {
        let error = self.env.add_template_owned(key, text).err();
        if error.is_some() {
            let message = "it cannot be told what is compared with what";
            let fault = Finding::new(&rules::TEMPLATE, message).at(place.node.span);
            out.push(fault.hint("put each comparison in brackets: `(a > b)`"));
        }
        error.is_none().then_some(())
    }

    /// Takes in an expression.
    pub(super) fn expression(
        &mut self,
        node: &Node,
        scope: &Scope,
        source: &str,
        out: &mut Vec<Finding>,
    ) -> Option<Expression> {
        let text = node.literal()?;
        let place = TemplatePlace { node, text, source };
        if text.contains("{{") {
            out.push(
                Finding::new(&rules::EXPRESSION, "expected an expression, found a template")
                    .at(node.span)
                    .hint(format!(
                        "leave the braces out: `{}`",
                        text.replace("{{", "").replace("}}", "").trim()
                    )),
            );
            return None;
        }
        self.compile(&place, scope, out)
    }

    /// Takes in the one expression that a text consists of, `{{ … }}` and nothing around it, so
    /// that its value keeps its type; `None` when the text is anything else.
    pub(super) fn sole_expression(
        &mut self,
        node: &Node,
        scope: &Scope,
        source: &str,
        out: &mut Vec<Finding>,
    ) -> Option<Option<Expression>> {
        let text = strip_braces(node.literal()?)?;
        if find_excess(text, Written::Expression).is_some() {
            return None;
        }
        self.env.compile_expression(text).ok()?;
        Some(self.compile(&TemplatePlace { node, text, source }, scope, out))
    }

    /// Takes in an expression whose text is cut out already.
    fn compile(
        &mut self,
        place: &TemplatePlace<'_>,
        scope: &Scope,
        out: &mut Vec<Finding>,
    ) -> Option<Expression> {
        if !check_size(place, Written::Expression, out) {
            return None;
        }
        let compiled = match self.env.compile_expression(place.text) {
            Ok(compiled) => compiled,
            Err(error) => {
                out.push(explain_syntax(&error, place));
                return None;
            }
        };
        let mut names: Vec<_> = compiled.undeclared_variables(true).into_iter().collect();
        names.sort();
        let known = check_names(&names, scope, place, out);
        self.note_own_uses(&names, place);
        if !self.check_use(place, Written::Expression, out) || !known {
            return None;
        }
        // As a template it tells how many steps it took, which an expression alone does not.
        let id = ExpressionId(self.expressions.len());
        let spelled = spell_out_comparisons(place.text, Written::Expression, DECIMALS);
        let text = spelled.as_deref().unwrap_or(place.text);
        self.add(id.key(), format!("{{% set {VALUE} = {text} %}}"), place, out)?;
        self.expressions.push(place.text.to_owned());
        Some(Expression { span: place.node.span, id })
    }
}

impl Compiler {
    /// Reports filters and tests that do not exist, which the engine would find only when run, and
    /// operators that reckon with amounts, which are text and would be joined as such.
    fn check_use(
        &mut self,
        place: &TemplatePlace<'_>,
        written: Written,
        out: &mut Vec<Finding>,
    ) -> bool {
        let before = out.len();
        self.speaks |= SPOKEN.iter().any(|word| place.text.contains(word));
        for unknown in find_unknown_filters(&self.env, place.text, written) {
            let span = place.part(unknown.range.start, unknown.range.end);
            let fault = Finding::new(&rules::UNKNOWN_FILTER, unknown.message()).at(span);
            out.push(fault.hint_if(unknown.hint()));
        }
        for sum in find_text_arithmetic(place.text, written, DECIMALS) {
            let span = place.part(sum.range.start, sum.range.end);
            let fault = Finding::new(&rules::TEXT_ARITHMETIC, sum.message()).at(span);
            out.push(fault.hint(sum.hint()));
        }
        out.len() == before
    }
}

/// A template's text and the node it came from.
struct TemplatePlace<'a> {
    /// What the place of a fault is counted from.
    node: &'a Node,
    /// What is compiled of it.
    text: &'a str,
    /// The whole layout file.
    source: &'a str,
}

impl TemplatePlace<'_> {
    /// The place of some bytes of the template, as exactly as it can be told: a text with escapes
    /// or folded lines is not written in the file as it reads.
    fn part(&self, start: usize, end: usize) -> Span {
        let span = self.node.span;
        let written = self.source.get(span.start as usize..span.end as usize).unwrap_or_default();
        match written.find(self.text) {
            Some(at) if matches!(self.node.value, Value::Text(_) | Value::Bare(_)) => {
                let base = span.start as usize + at;
                Span::new(span.file, base + start, base + end.min(self.text.len()))
            }
            _ => span,
        }
    }

    /// The place of a name inside the template.
    fn name(&self, name: &str) -> Span {
        let is_word = |c: char| c.is_alphanumeric() || c == '_';
        let found = self.text.match_indices(name).find(|(at, _)| {
            let before = self.text[..*at].chars().next_back();
            let after = self.text[at + name.len()..].chars().next();
            !before.is_some_and(is_word) && !after.is_some_and(is_word)
        });
        match found {
            Some((at, _)) => self.part(at, at + name.len()),
            None => self.node.span,
        }
    }
}

/// What stands between the braces of a text that begins with `{{` and ends with `}}`, with or
/// without the signs that take white space away.
fn strip_braces(text: &str) -> Option<&str> {
    let inner = text.trim().strip_prefix("{{")?.strip_suffix("}}")?;
    let inner = inner.strip_prefix(['-', '+']).unwrap_or(inner);
    Some(inner.strip_suffix(['-', '+']).unwrap_or(inner))
}

/// The first known name in single braces, which a person meant to be filled in.
fn find_single_braces(text: &str, scope: &Scope) -> Option<std::ops::Range<usize>> {
    text.match_indices('{').find_map(|(start, _)| {
        let outside = !text[..start].ends_with(['{', '$']);
        let end = start + text[start..].find('}')? + 1;
        let name = text[start + 1..end - 1].trim();
        let is_name = name.starts_with(|c: char| c.is_ascii_lowercase())
            && name.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '_' | '.'));
        let alone = outside && is_name && !text[end..].starts_with('}');
        (alone && scope.find_unknown(name).is_none()).then_some(start..end)
    })
}

/// What a template has too much of to be taken apart.
///
/// The engine goes into each part of an expression by calling itself, and so does what it keeps of
/// it: a chain of thousands of signs would overflow the stack, which no error can be made of.
fn find_excess(text: &str, written: Written) -> Option<String> {
    let bytes = text.len();
    if bytes > TEMPLATE_BYTES {
        return Some(format!("this template has {bytes} bytes, more than {TEMPLATE_BYTES}"));
    }
    let parts = count_parts(text, written);
    (parts > TEMPLATE_PARTS).then(|| {
        format!("this template has {parts} words and signs to work out, more than {TEMPLATE_PARTS}")
    })
}

/// Reports a template that is too long; returns whether it is short enough.
fn check_size(place: &TemplatePlace<'_>, written: Written, out: &mut Vec<Finding>) -> bool {
    let Some(message) = find_excess(place.text, written) else { return true };
    let hint = "divide it: name parts of it under `let`, or make several texts of it";
    out.push(Finding::new(&rules::LAYOUT_LIMIT, message).at(place.node.span).hint(hint));
    false
}

/// A fault in a template's own syntax, at its place.
fn explain_syntax(error: &Error, place: &TemplatePlace<'_>) -> Finding {
    let span = match error.range() {
        Some(range) if range.start < place.text.len() => place.part(range.start, range.end),
        _ => place.node.span,
    };
    let (message, hint) = describe(error);
    Finding::new(&rules::TEMPLATE, message).at(span).hint_if(hint)
}

/// A template's failure while it was run, at its place; `source` is what was run.
#[must_use]
pub(crate) fn explain_failure(error: &Error, source: &str, span: Span) -> Finding {
    let (message, mut hint) = describe(error);
    let takes_one = ["[", "| first", "|first", "| last", "|last"];
    let is_missing = error.kind() == ErrorKind::UndefinedError && filter_hint(error).is_none();
    if is_missing && takes_one.iter().any(|it| source.contains(it)) {
        let list = "a list may have no such value: `items[0]` is the first, `items[1]` the second";
        let guard = "ask before: `items | length > 1`";
        let name = hint.unwrap_or_default();
        hint = Some(format!("{list}; {guard}. Or {name}"));
    }
    Finding::new(&rules::TEMPLATE, message).at(span).hint_if(hint)
}

/// An error of the template engine in our words, with a way out where one is known.
fn describe(error: &Error) -> (String, Option<String>) {
    let detail = error.detail().unwrap_or_default().trim_end_matches('.').to_owned();
    if let Some(hint) = filter_hint(error) {
        return (detail, Some(hint.to_owned()));
    }
    match error.kind() {
        ErrorKind::OutOfFuel => (
            format!("this template took more than {TEMPLATE_STEPS} steps for one parcel"),
            Some("make its loops and texts shorter".into()),
        ),
        ErrorKind::UndefinedError => (
            "a value used here does not exist".into(),
            Some("check the name of the field against `slipwright schema layout`".into()),
        ),
        ErrorKind::SyntaxError if detail.contains("unexpected end of") => (
            format!("the template stops too soon: {detail}"),
            Some("close what was opened: `{{ … }}`, `{% if … %} … {% endif %}`".into()),
        ),
        _ if detail.is_empty() => (error.kind().to_string(), None),
        _ => (detail, None),
    }
}
