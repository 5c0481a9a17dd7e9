//! The walk over an orders file, whichever of its three forms it has, and the way back to a field of
//! an order that has been read: orders keep the places of few of their fields, because a hundred
//! thousand are held at a time.

use std::collections::HashMap;
use std::ops::ControlFlow;

use crate::findings::{Finding, Severity, rules};
use crate::limits::{ORDER_BYTES, ORDERS};
use crate::record::{Record, RecordCheck, check, join};
use crate::source::{FileId, SharedText, Span};
use crate::tree::json::{JsonKind, JsonPiece, read_lines, read_values, too_many_values};
use crate::tree::{Key, Node, Value};

use super::build::{build_order, check_order, read_id, read_id_text};
use super::report::{OrdersReport, add_example, add_known_name};
use super::table::{BATCH, ORDER, SET_ASIDE};
use super::{BadOrder, Order, Orders};
use crate::source::Sources;

/// What an export has beyond our fields is worth a warning and no more.
const HOW: RecordCheck = RecordCheck { unknown: Severity::Warning, hint_unknown: |_, _| None };

/// Reads the orders of a file: a batch, a list, or one order a line.
///
/// The orders share the text, which is not copied if it is that of a source
/// ([`Source::shared_text`](crate::source::Source::shared_text)) or a `String`.
///
/// Never fails as a whole: what is wrong stands in [`Orders::findings`], and the orders that
/// are good beside it are still there.
#[must_use]
pub fn read_orders(text: impl Into<SharedText>, file: FileId) -> Orders {
    let source = text.into();
    let (mut walk, text) = (OrdersWalk::of(source.clone()), &*source);
    let pieces = match read_values(text, file) {
        Ok(pieces) => pieces,
        Err(_) if has_lines(text, file) => {
            let (pieces, faults) = read_lines(text, file);
            walk.report.take_all(faults);
            pieces
        }
        Err(fault) => {
            walk.report.take_all(vec![fault]);
            return walk.finish();
        }
    };
    walk.read_file(&pieces, Span::new(file, 0, text.len()));
    walk.finish()
}

/// Reports everything that is wrong with one order by itself, and nothing that depends on others;
/// returns whether its table allows it. `path` is the path to it.
pub(crate) fn check_whole_order(node: &Node, path: &str, out: &mut Vec<Finding>) -> bool {
    let is_good = check(node, &ORDER, path, HOW, out);
    check_order(node, path, out);
    is_good
}

/// Whether a text that is not JSON as a whole holds one value a line.
fn has_lines(text: &str, file: FileId) -> bool {
    let mut lines = text.lines().filter(|line| !line.trim().is_empty()).take(2);
    let is_map = |line: &str| {
        read_values(line, file)
            .is_ok_and(|values| matches!(values[..], [value] if value.kind() == JsonKind::Map))
    };
    lines.any(is_map)
}

/// Orders that share a room for their bytes.
const ORDERS_A_ROOM: usize = 256;

/// What has been read so far.
#[derive(Default)]
struct OrdersWalk {
    /// The text that is read.
    source: SharedText,
    /// What the sitting is called; none when the file does not say.
    batch_name: Option<String>,
    /// Good orders.
    orders: Vec<Order>,
    /// Those with errors, for the file of what is set aside.
    bad: Vec<BadOrder>,
    /// For each order whose id comes again, by its first byte: the errors that say so.
    doubled: HashMap<u32, Vec<usize>>,
    /// What was found.
    report: OrdersReport,
}

impl OrdersWalk {
    /// Nothing read yet of a text.
    fn of(source: SharedText) -> OrdersWalk {
        OrdersWalk { source, ..OrdersWalk::default() }
    }

    /// Reads a file's values, telling its form from the first of them.
    fn read_file(&mut self, pieces: &[JsonPiece<'_>], whole: Span) {
        let Some((first, rest)) = pieces.split_first() else {
            if self.report.is_empty() {
                self.report.take_all(vec![no_orders("this file is empty", whole)]);
            }
            return;
        };
        let batch = match first.entries() {
            Ok(entries) => Some(entries)
                .filter(|it| first.kind() == JsonKind::Map && is_batch(it, rest.is_empty())),
            Err(fault) if rest.is_empty() => return self.report.take_all(vec![fault]),
            Err(_) => None,
        };
        match batch {
            Some(entries) => self.read_batch(first.span(), entries),
            None if first.kind() == JsonKind::List => self.read_list(*first, ""),
            None => {
                let _ = pieces.iter().try_for_each(|piece| self.read_order(*piece, ""));
                return;
            }
        }
        if let Some(second) = rest.first() {
            self.report.take_all(vec![
                Finding::new(&rules::SECOND_BATCH, "something follows the end of the batch")
                    .at(second.span())
                    .hint("keep one batch a file: move these orders into the list, or delete them"),
            ]);
        }
    }

    /// Reads `{"batch": …, "orders": […]}`.
    fn read_batch(&mut self, span: Span, entries: Vec<(Key, JsonPiece<'_>)>) {
        let mut list = None;
        let mut shell = Vec::new();
        for (key, value) in entries {
            // The table needs to see that the list is there, not what is in it; of an unknown
            // field nothing but its name; and of earlier reasons nothing at all.
            let is_list = key.name == "orders" && value.kind() == JsonKind::List;
            let is_read =
                key.name != SET_ASIDE && BATCH.fields.iter().any(|field| field.name == key.name);
            if is_list || !is_read {
                let seen = if is_list { Value::List(Vec::new()) } else { Value::Null };
                shell.push((key, Node { span: value.span(), value: seen }));
                list = if is_list { Some(value) } else { list };
                continue;
            }
            match check_length(value).and_then(|()| value.to_node()) {
                Ok(node) => shell.push((key, node)),
                Err(fault) => self.report.take_all(vec![fault.path(key.name)]),
            }
        }
        let shell = Node { span, value: Value::Map(shell) };
        let mut found = Vec::new();
        if check(&shell, &BATCH, "", HOW, &mut found) {
            let name = shell.get("batch").and_then(Node::literal).map(str::trim);
            self.batch_name = name.filter(|name| !name.is_empty()).map(str::to_owned);
        }
        found.iter_mut().for_each(add_known_name);
        found.iter_mut().for_each(add_example);
        self.report.take_all(found);
        if let Some(list) = list {
            self.read_list(list, "orders");
        }
    }

    /// Reads a list of orders that stands at `path`.
    fn read_list(&mut self, piece: JsonPiece<'_>, path: &str) {
        let mut count = 0;
        piece.walk_elements(|element| {
            let index = count;
            count += 1;
            if index == ORDERS {
                self.report.take_all(vec![too_many_values(element.span())]);
                return ControlFlow::Break(());
            }
            self.read_order(element, &format!("{path}[{index}]"))
        });
        self.orders.shrink_to_fit();
        if count == 0 {
            let fault = no_orders("there are no orders in this batch", piece.span());
            self.report.take_all(vec![if path.is_empty() { fault } else { fault.path(path) }]);
        }
    }

    /// Reads one order that stands at `path`, unless more is wrong already than is told.
    fn read_order(&mut self, piece: JsonPiece<'_>, path: &str) -> ControlFlow<()> {
        if let Some(fault) = self.report.find_excess(piece.span()) {
            self.report.take_all(vec![fault]);
            return ControlFlow::Break(());
        }
        match check_length(piece) {
            Err(fault) => self.refuse_unread(piece, path, fault),
            Ok(()) => match piece.to_node() {
                Ok(node) => self.take_node(&node, path),
                Err(fault) => self.refuse_whole(piece, path, fault),
            },
        }
        ControlFlow::Continue(())
    }

    /// Takes the tree of one order.
    fn take_node(&mut self, node: &Node, path: &str) {
        let mut found = Vec::new();
        let is_good = check_whole_order(node, path, &mut found);
        found.iter_mut().for_each(add_example);
        let id = read_id(node);
        let built = || build_order(node, id.as_deref().unwrap_or_default(), &self.source);
        let order = if is_good && id.is_some() { built() } else { None };
        if order.is_none() && !found.iter().any(Finding::is_error) {
            found.push(unread_order(node.span, path));
        }
        // Whom a refused order is for matters to the orders that would share its parcel.
        let is_known = |ship_to: &Node| {
            let errors = found.iter().filter(|fault| fault.is_error());
            !errors.filter_map(|fault| fault.span).any(|span| ship_to.span.contains(span))
        };
        let guess = match order {
            None if node.get("ship_to").is_some_and(is_known) => built(),
            _ => None,
        };
        let place = node.get("id").map_or(node.span, |id| id.span);
        let errors = self.take_order(node.span, id.as_deref(), place, path, found);
        match order {
            Some(order) if errors.is_empty() => self.keep_order(order),
            Some(order) => self.refuse(order, errors),
            None => {
                let guess = guess.map(Box::new);
                self.bad.push(BadOrder { span: node.span, id, errors, guess });
            }
        }
    }

    /// Keeps a good order, and lets it share its room with those before it once there are enough.
    fn keep_order(&mut self, order: Order) {
        self.orders.push(order);
        if self.orders.len().is_multiple_of(ORDERS_A_ROOM) {
            let from = self.orders.len() - ORDERS_A_ROOM;
            Order::gather(&mut self.orders[from..]);
        }
    }

    /// Refuses an order that is too long to be read at all.
    fn refuse_unread(&mut self, piece: JsonPiece<'_>, path: &str, fault: Finding) {
        let fault = if path.is_empty() { fault } else { fault.path(path) };
        let errors = self.report.take_order(vec![fault], None);
        self.bad.push(BadOrder { span: piece.span(), id: None, errors, guess: None });
    }

    /// Refuses an order that cannot be read, except perhaps for its id.
    fn refuse_whole(&mut self, piece: JsonPiece<'_>, path: &str, mut fault: Finding) {
        add_example(&mut fault);
        let fault = if path.is_empty() { fault } else { fault.path(path) };
        let id = piece.find("id");
        let place = id.map_or(piece.span(), JsonPiece::span);
        let id = id.and_then(|id| read_id_text(&id.to_node().ok()?));
        let errors = self.take_order(piece.span(), id.as_deref(), place, path, vec![fault]);
        self.bad.push(BadOrder { span: piece.span(), id, errors, guess: None });
    }

    /// Takes what was found in the order at `whole`, whose id stands at `place`, and reports the id
    /// if it came before; returns where its errors are.
    fn take_order(
        &mut self,
        whole: Span,
        id: Option<&str>,
        place: Span,
        path: &str,
        mut found: Vec<Finding>,
    ) -> Vec<usize> {
        let doubled = id.and_then(|id| self.report.note_id(id, whole, place, &join(path, "id")));
        let first = doubled.map(|(first, complaint)| {
            found.push(complaint);
            first
        });
        let errors = self.report.take_order(found, id);
        if let (Some(first), Some(&complaint)) = (first, errors.last()) {
            self.doubled.entry(first).or_default().push(complaint);
        }
        errors
    }

    /// Adds an order to the bad ones that could be read and has errors all the same.
    fn refuse(&mut self, order: Order, errors: Vec<usize>) {
        let id = Some(order.id().into());
        self.bad.push(BadOrder { span: order.span(), id, errors, guess: Some(Box::new(order)) });
    }

    /// Ends the walk: orders whose id came again join the bad ones.
    fn finish(mut self) -> Orders {
        let doubled = std::mem::take(&mut self.doubled);
        if !doubled.is_empty() {
            let (good, taken): (Vec<_>, Vec<_>) = std::mem::take(&mut self.orders)
                .into_iter()
                .partition(|order| !doubled.contains_key(&order.span().start));
            self.orders = good;
            taken.into_iter().for_each(|order| self.refuse(order, Vec::new()));
            for bad in &mut self.bad {
                bad.errors.extend(doubled.get(&bad.span.start).into_iter().flatten());
            }
            self.bad.sort_by_key(|bad| bad.span.start);
        }
        Orders {
            batch_name: self.batch_name,
            orders: self.orders,
            bad: self.bad,
            findings: self.report.finish(),
        }
    }
}

/// Whether a file's first map is a batch and not an order: it has orders, or has nothing that an
/// order has, and is alone or has something else of a batch.
fn is_batch(entries: &[(Key, JsonPiece<'_>)], is_alone: bool) -> bool {
    let has = |record: &Record| {
        let is_field = |name: &str| record.fields.iter().any(|field| field.name == name);
        entries.iter().any(|(key, _)| is_field(&key.name))
    };
    let has_orders = entries.iter().any(|(key, _)| key.name == "orders");
    has_orders || !has(&ORDER) && (is_alone || has(&BATCH))
}

/// Refuses a value that is longer than any order.
fn check_length(piece: JsonPiece<'_>) -> Result<(), Finding> {
    let Span { start, end, .. } = piece.span();
    if (end - start) as usize <= ORDER_BYTES {
        return Ok(());
    }
    let message =
        format!("this has {} bytes, more than the {ORDER_BYTES} of any order", end - start);
    Err(Finding::new(&rules::FILE_LIMIT, message)
        .at(Span { end: start + 1, ..piece.span() })
        .hint("look for a text in it that does not end, or divide it into several orders"))
}

/// The complaint about a batch without orders.
fn no_orders(message: &str, span: Span) -> Finding {
    Finding::new(&rules::NO_ORDERS, message)
        .at(Span { end: span.end.min(span.start + 1), ..span })
        .hint("put at least one order in: `{\"orders\": [{\"id\": …, \"ship_to\": {…}}]}`")
}

/// The complaint about an order that passed its check and still could not be read: a gap between
/// table and reader, reported so that the order is not lost without a word.
fn unread_order(span: Span, path: &str) -> Finding {
    Finding::new(&rules::UNREAD_ORDER, "this order cannot be read")
        .at(span)
        .path(path)
        .hint("compare it with the schema that `slipwright schema orders` prints")
}

/// The place of a field inside an order, such as `ship_to.postcode`: that of the deepest map on
/// the way to it which is there, or none when the place of the order is not that of an order.
#[must_use]
pub fn locate_field(sources: &Sources, order: Span, path: &str) -> Option<Span> {
    let pieces = read_values(sources.slice(order), order.file).ok()?;
    let whole = pieces.first()?.to_node().ok()?;
    let mut node: &Node = &whole;
    for name in path.split('.') {
        match node.get(name) {
            Some(field) if !field.is_null() => node = field,
            _ => break,
        }
    }
    let span =
        Span { start: node.span.start + order.start, end: node.span.end + order.start, ..order };
    Some(span)
}

/// A text of an order.
pub(crate) struct TextPlace {
    /// Its path in the order, such as `items[0].title`.
    pub(crate) path: String,
    /// Where it stands.
    pub(crate) span: Span,
}

/// The first text of an order that is wanted; keys are none.
pub(crate) fn find_text(
    sources: &Sources,
    order: Span,
    is_wanted: &dyn Fn(&str) -> bool,
) -> Option<TextPlace> {
    let pieces = read_values(sources.slice(order), order.file).ok()?;
    let whole = pieces.first()?.to_node().ok()?;
    let found = find_in(&whole, String::new(), is_wanted)?;
    let Span { start, end, .. } = found.span;
    let span = Span { start: start + order.start, end: end + order.start, ..order };
    Some(TextPlace { span, ..found })
}

/// The first text in a value that is wanted; `path` is the value's.
fn find_in(node: &Node, path: String, is_wanted: &dyn Fn(&str) -> bool) -> Option<TextPlace> {
    match &node.value {
        Value::Text(text) => is_wanted(text).then_some(TextPlace { path, span: node.span }),
        Value::List(items) => (0..)
            .zip(items)
            .find_map(|(at, item): (usize, _)| find_in(item, format!("{path}[{at}]"), is_wanted)),
        Value::Map(entries) => entries.iter().find_map(|(key, value)| {
            let dot = if path.is_empty() { "" } else { "." };
            find_in(value, format!("{path}{dot}{}", key.name), is_wanted)
        }),
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::Bare(_) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::Sources;

    /// Orders of a list, read together, and each of them read alone.
    #[test]
    fn orders_that_share_a_room_say_what_each_says_alone() {
        let order = |number: usize| {
            let note = "x\\u0021".repeat(number % 7);
            format!(
                "{{\"id\": \"TH-{number}\", \"ship_to\": {{\"name\": \"Ada Marlow\", \"city\": \"Place {number}\", \
                 \"country\": \"GB\"}}, \"items\": [{{\"title\": \"Nib {number}\", \"qty\": {}, \"price\": \
                 \"{number}.5\"}}], \"note\": \"{note}\"}}",
                number % 3 + 1
            )
        };
        let texts: Vec<String> = (0..2 * ORDERS_A_ROOM + 9).map(order).collect();
        let file = Sources::new().add("orders.json", "");
        let together = read_orders(format!("[{}]", texts.join(",\n")), file);
        assert_eq!((together.orders.len(), together.findings.len()), (texts.len(), 0));
        for (order, text) in together.orders.iter().zip(&texts) {
            let alone = read_orders(format!("[{text}]"), file).orders;
            let mut parts = alone[0].parts();
            parts.span = order.span();
            parts.id_span = order.id_span();
            assert_eq!(order.parts(), parts);
        }
    }
}
