//! What templates see of fields of the seller's own.
//!
//! In: [`OwnFields`]. Out: a value that has them by their names, and empty text under any other, as all
//! fields that an order does not give are empty and never undefined.

use std::sync::Arc;

use minijinja::Value;
use minijinja::value::{Enumerator, Object};

use crate::fields::{OwnFields, OwnValue};

/// Fields of the seller's own as a template asks for them.
#[derive(Debug)]
struct OwnObject(OwnFields);

impl Object for OwnObject {
    fn get_value(self: &Arc<Self>, key: &Value) -> Option<Value> {
        let value = key.as_str().and_then(|name| self.0.get(name));
        Some(value.map_or_else(|| Value::from(""), describe_value))
    }

    fn enumerate(self: &Arc<Self>) -> Enumerator {
        Enumerator::Values(self.0.iter().map(|(name, _)| Value::from(name)).collect())
    }
}

/// One value: a whole number is one, any other is its digits, as prices are.
fn describe_value(value: &OwnValue) -> Value {
    match value {
        OwnValue::Text(text) => Value::from(&**text),
        OwnValue::Number(digits) => match digits.parse::<i64>() {
            Ok(number) => Value::from(number),
            Err(_) => Value::from(&**digits),
        },
        OwnValue::Flag(flag) => Value::from(*flag),
    }
}

/// Fields of the seller's own as a variable.
pub(super) fn describe_own(own: &OwnFields) -> Value {
    Value::from_object(OwnObject(own.clone()))
}
