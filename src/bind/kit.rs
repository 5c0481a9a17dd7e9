//! What an overview sees of the other documents of its kit.
//!
//! In: what was made. Out: the variable `kit` of documents about the whole batch. Not here: how a
//! kit is made.

use minijinja::Value;

/// What else is in the kit that a list belongs to; by default nothing.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct KitContents {
    /// The documents made so far.
    pub documents: Vec<KitDocument>,
    /// What was found that the seller should look at, in whole sentences.
    pub warnings: Vec<String>,
    /// How many notes there are beside them.
    pub notes: usize,
    /// How many orders were set aside.
    pub set_aside: usize,
}

/// One document of a kit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KitDocument {
    /// The file's name, without a folder.
    pub file: String,
    /// What it makes, such as `label`.
    pub makes: String,
    /// Its layout, by name or file.
    pub layout: String,
    /// How many pages it has.
    pub pages: usize,
    /// What it is printed on: a stock's name, or a size such as `100 × 62 mm`.
    pub stock: String,
}

impl KitContents {
    /// The variable `kit`.
    pub(super) fn to_value(&self) -> Value {
        let documents = self.documents.iter().map(|document| {
            Value::from_pairs([
                ("file", Value::from(&*document.file)),
                ("makes", Value::from(&*document.makes)),
                ("pages", Value::from(document.pages)),
                ("stock", Value::from(&*document.stock)),
            ])
        });
        Value::from_pairs([
            ("documents", documents.collect::<Value>()),
            ("warnings", self.warnings.iter().map(|it| Value::from(&**it)).collect()),
            ("notes", Value::from(self.notes)),
            ("set_aside", Value::from(self.set_aside)),
        ])
    }
}
