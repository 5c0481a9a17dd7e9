//! Orders as JSON, one a line.
//!
//! In: orders as nodes. Out: `{"orders": […]}` written as they come. Not here: whether they are
//! good.

use std::io::{self, Write};

use crate::tree::{Node, Value};

/// Orders that are being written.
pub(super) struct OrdersWriter<'a> {
    /// Where they go.
    out: &'a mut dyn Write,
    /// How many there are so far.
    count: usize,
}

impl<'a> OrdersWriter<'a> {
    /// Starts a file.
    ///
    /// # Errors
    /// When it cannot be written.
    pub(super) fn start(out: &'a mut dyn Write, batch: &str) -> io::Result<OrdersWriter<'a>> {
        out.write_all(b"{")?;
        if !batch.is_empty() {
            out.write_all(b"\"batch\": ")?;
            serde_json::to_writer(&mut *out, batch)?;
            out.write_all(b", ")?;
        }
        out.write_all(b"\"orders\": [")?;
        Ok(OrdersWriter { out, count: 0 })
    }

    /// Writes an order on a line of its own.
    ///
    /// # Errors
    /// When it cannot be written.
    pub(super) fn write(&mut self, order: &Node) -> io::Result<()> {
        self.out.write_all(if self.count == 0 { b"\n" } else { b",\n" })?;
        self.count += 1;
        write_node(order, self.out)
    }

    /// Ends the file.
    ///
    /// # Errors
    /// When it cannot be written.
    pub(super) fn finish(self) -> io::Result<()> {
        self.out.write_all(b"\n]}\n")?;
        self.out.flush()
    }
}

/// Writes a value; numbers by their literal digits.
fn write_node(node: &Node, out: &mut dyn Write) -> io::Result<()> {
    match &node.value {
        Value::Null => out.write_all(b"null"),
        Value::Bool(value) => write!(out, "{value}"),
        Value::Number(digits) => out.write_all(digits.as_bytes()),
        Value::Text(text) | Value::Bare(text) => Ok(serde_json::to_writer(out, text)?),
        Value::List(items) => {
            out.write_all(b"[")?;
            for (index, item) in items.iter().enumerate() {
                if index > 0 {
                    out.write_all(b", ")?;
                }
                write_node(item, out)?;
            }
            out.write_all(b"]")
        }
        Value::Map(entries) => {
            out.write_all(b"{")?;
            for (index, (key, value)) in entries.iter().enumerate() {
                if index > 0 {
                    out.write_all(b", ")?;
                }
                serde_json::to_writer(&mut *out, &key.name)?;
                out.write_all(b": ")?;
                write_node(value, out)?;
            }
            out.write_all(b"}")
        }
    }
}
