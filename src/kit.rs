//! `batch.json`: what a kit holds, parcel by parcel, so that it can be printed and paired again.
//!
//! In: a batch and the documents made of it. Out: the record's text; and a record from its text.
//! It names people and towns, as the labels beside it do, and says nothing that they don't. Not
//! here: folders, and how documents are made.

mod parcels;

use std::fmt::Write as _;

use serde_json::{Value, json};

use crate::batch::{Batch, BatchOptions, Parcel};
use crate::bind::KitDocument;
use crate::pairs::{BatchKey, PairCode};

pub use parcels::{KitOrigin, KitPaper, ParcelChange, ParcelList, list_changes};

/// The version of the format.
const VERSION: u64 = 1;

/// The name of a kit's record in its folder.
pub const RECORD: &str = "batch.json";

/// What a kit holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KitRecord {
    /// The batch's name; empty when it has none.
    pub batch: String,
    /// The batch's key, part of what every code of it says.
    pub key: String,
    /// How its orders became parcels.
    pub options: BatchOptions,
    /// Its documents, in the order they were made.
    pub documents: Vec<KitDocument>,
    /// Its parcels, in bench order.
    pub parcels: Vec<KitParcel>,
    /// All files of its folder but the record, by name, once they are written.
    pub files: Vec<KitFile>,
}

/// A file of a kit, and what proves that it is one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KitFile {
    /// What it is called inside the kit's folder.
    pub name: String,
    /// The SHA-256 of its bytes, in hexadecimal digits.
    pub sha256: String,
}

/// What is known of a parcel when its kit is printed again.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KitParcel {
    /// Its place on the bench, from 1.
    pub position: usize,
    /// What is on its bag.
    pub tag: String,
    /// Its pair code.
    pub pair: String,
    /// What the code on its label says.
    pub label: String,
    /// What the code on its bench card says.
    pub card: String,
    /// The ids of its orders, in bench order.
    pub orders: Vec<String>,
    /// Who gets it, and where: the parts of the address as far as they are given.
    pub to: String,
}

impl KitParcel {
    /// What is recorded of a parcel.
    fn of(batch: &Batch, parcel: &Parcel) -> KitParcel {
        let address = parcel.recipient();
        let who = [&*address.name, &address.company].into_iter();
        let street = address.lines.iter().map(|line| &**line);
        let country = address.country.as_str();
        let place = [&*address.city, &address.region, &address.postcode, country];
        let parts = who.chain(street).chain(place);
        let given: Vec<&str> = parts.filter(|part| !part.is_empty()).collect();
        KitParcel {
            position: parcel.position,
            tag: parcel.tag.text.to_string(),
            pair: parcel.pair.as_str().to_owned(),
            label: batch.label_payload(parcel),
            card: batch.card_payload(parcel),
            orders: parcel.orders.iter().map(|order| order.id().to_string()).collect(),
            to: given.join(", "),
        }
    }
}

impl KitRecord {
    /// The record of a batch and the documents made of it.
    #[must_use]
    pub fn new(batch: &Batch, options: BatchOptions, documents: Vec<KitDocument>) -> KitRecord {
        KitRecord {
            batch: batch.name.to_string(),
            key: batch.key.as_str().to_owned(),
            options,
            documents,
            parcels: batch.parcels.iter().map(|parcel| KitParcel::of(batch, parcel)).collect(),
            files: Vec::new(),
        }
    }

    /// The ids of all orders in it, parcel by parcel.
    pub fn order_ids(&self) -> impl Iterator<Item = &str> {
        self.parcels.iter().flat_map(|parcel| &parcel.orders).map(|id| &**id)
    }

    /// The record as JSON, a line each for documents and parcels.
    #[must_use]
    pub fn to_json(&self) -> String {
        let documents: Vec<Value> = self.documents.iter().map(show_document).collect();
        let parcels: Vec<Value> = self.parcels.iter().map(show_parcel).collect();
        let split: Vec<&str> = self.options.split.iter().map(|id| &**id).collect();
        let mut text = String::from("{\n");
        let mut add = |name: &str, value: &str| {
            let comma = if name == "kit" { "" } else { ",\n" };
            // Writing to a string cannot fail.
            let _ = write!(text, "{comma}  \"{name}\": {value}");
        };
        add("kit", &VERSION.to_string());
        add("batch", &json!(self.batch).to_string());
        add("key", &json!(self.key).to_string());
        add("combine", &self.options.combine.to_string());
        add("split", &json!(split).to_string());
        add("fix_tags", &self.options.fix_tags.to_string());
        add("documents", &show_lines(&documents));
        add("parcels", &show_lines(&parcels));
        add("files", &show_files(&self.files));
        text.push_str("\n}\n");
        text
    }

    /// The record that a text holds.
    ///
    /// # Errors
    /// When the text is no record of this version, with what is wrong: lower case, no full stop.
    pub fn read(text: &str) -> Result<KitRecord, String> {
        let value: Value =
            serde_json::from_str(text).map_err(|error| format!("it is no JSON: {error}"))?;
        match value["kit"].as_u64() {
            Some(VERSION) => {}
            Some(other) => return Err(format!("its version is {other}, not {VERSION}")),
            None => return Err("it has no number under `kit`".into()),
        }
        let list = |name: &str| {
            value[name].as_array().ok_or_else(|| format!("it has no list under `{name}`"))
        };
        let flag = |name: &str| {
            value[name].as_bool().ok_or_else(|| format!("it has no true or false under `{name}`"))
        };
        Ok(KitRecord {
            batch: read_text(&value, "batch")?,
            key: read_text(&value, "key")?,
            options: BatchOptions {
                combine: flag("combine")?,
                split: read_texts(&value, "split")?.into_iter().map(Into::into).collect(),
                fix_tags: flag("fix_tags")?,
                reasons: false,
            },
            documents: list("documents")?.iter().map(read_document).collect::<Result<_, _>>()?,
            parcels: list("parcels")?.iter().map(read_parcel).collect::<Result<_, _>>()?,
            // Records of older versions list none.
            files: value["files"].as_array().map_or(Ok(Vec::new()), |it| read_file_list(it))?,
        })
    }

    /// Whether the ledger made it: the pair codes of a line are of its key and the parcels' numbers, those of a
    /// batch of its orders.
    #[must_use]
    pub fn is_of_a_line(&self) -> bool {
        let Some(key) = BatchKey::parse(&self.key) else { return false };
        self.parcels.iter().any(|parcel| {
            let number = u32::try_from(parcel.position).unwrap_or(u32::MAX);
            let before = parcel.position.saturating_sub(1);
            PairCode::of_place(key, number, before, |_| false).as_str() == parcel.pair
        })
    }

    /// Where a parcel of a batch goes now, when it went elsewhere in this record: before and now.
    #[must_use]
    pub fn moved(&self, batch: &Batch, place: usize) -> Option<(String, String)> {
        let (parcel, known) = (batch.parcels.get(place)?, self.parcels.get(place)?);
        let now = KitParcel::of(batch, parcel).to;
        (known.to != now).then(|| (known.to.clone(), now))
    }

    /// What tells a parcel of a batch from the same one in this record; nothing when they agree.
    #[must_use]
    pub fn differs(&self, batch: &Batch, place: usize) -> Option<String> {
        let (parcel, known) = (batch.parcels.get(place)?, self.parcels.get(place)?);
        let now = KitParcel::of(batch, parcel);
        let number = known.position;
        let told = |what: &str, before: &str, now: &str| {
            Some(format!("{what} of parcel {number} is `{before}` in the kit and `{now}` now"))
        };
        if known.orders != now.orders {
            return told("the order", &known.orders.join(" + "), &now.orders.join(" + "));
        }
        if known.tag != now.tag {
            return told("the tag", &known.tag, &now.tag);
        }
        if known.pair != now.pair {
            return told("the pair code", &known.pair, &now.pair);
        }
        if known.label != now.label || known.card != now.card {
            return told("the code on the label", &known.label, &now.label);
        }
        None
    }
}

/// The record of parcels printed once more from a kit: their numbers, and the files of their folder.
#[must_use]
pub fn reprint_to_json(parcels: &[usize], files: &[KitFile]) -> String {
    let files = show_files(files);
    format!(
        "{{\n  \"reprint\": {VERSION},\n  \"parcels\": {},\n  \"files\": {files}\n}}\n",
        json!(parcels)
    )
}

/// The files that a record lists.
///
/// # Errors
/// When the text is no record, with what is wrong.
pub fn read_files(text: &str) -> Result<Vec<KitFile>, String> {
    let value: Value =
        serde_json::from_str(text).map_err(|error| format!("it is no JSON: {error}"))?;
    let list = value["files"].as_array().ok_or("it has no list under `files`")?;
    read_file_list(list)
}

/// Files from their list.
fn read_file_list(list: &[Value]) -> Result<Vec<KitFile>, String> {
    let read = |value: &Value| {
        Ok(KitFile { name: read_text(value, "name")?, sha256: read_text(value, "sha256")? })
    };
    list.iter().map(read).collect()
}

/// Files as they are recorded.
fn show_files(files: &[KitFile]) -> String {
    let files: Vec<Value> =
        files.iter().map(|file| json!({"name": file.name, "sha256": file.sha256})).collect();
    show_lines(&files)
}

/// JSON for people who look into the file: a value a line.
fn show_lines(values: &[Value]) -> String {
    let lines: Vec<String> = values.iter().map(|value| format!("    {value}")).collect();
    if lines.is_empty() { "[]".into() } else { format!("[\n{}\n  ]", lines.join(",\n")) }
}

/// A document as it is recorded.
fn show_document(document: &KitDocument) -> Value {
    json!({
        "file": document.file,
        "makes": document.makes,
        "layout": document.layout,
        "stock": document.stock,
        "pages": document.pages,
    })
}

/// A parcel as it is recorded.
fn show_parcel(parcel: &KitParcel) -> Value {
    json!({
        "position": parcel.position,
        "tag": parcel.tag,
        "pair": parcel.pair,
        "label": parcel.label,
        "card": parcel.card,
        "orders": parcel.orders,
        "to": parcel.to,
    })
}

/// A document from its record.
fn read_document(value: &Value) -> Result<KitDocument, String> {
    Ok(KitDocument {
        file: read_text(value, "file")?,
        makes: read_text(value, "makes")?,
        layout: read_text(value, "layout")?,
        stock: read_text(value, "stock")?,
        pages: read_count(value, "pages")?,
    })
}

/// A parcel from its record.
fn read_parcel(value: &Value) -> Result<KitParcel, String> {
    Ok(KitParcel {
        position: read_count(value, "position")?,
        tag: read_text(value, "tag")?,
        pair: read_text(value, "pair")?,
        label: read_text(value, "label")?,
        card: read_text(value, "card")?,
        orders: read_texts(value, "orders")?,
        to: read_text(value, "to")?,
    })
}

/// A text of a record.
fn read_text(value: &Value, name: &str) -> Result<String, String> {
    let text = value[name].as_str().map(str::to_owned);
    text.ok_or_else(|| format!("it has no text under `{name}`"))
}

/// A list of texts of a record.
fn read_texts(value: &Value, name: &str) -> Result<Vec<String>, String> {
    let texts = value[name].as_array().into_iter().flatten().map(|it| it.as_str());
    let texts: Option<Vec<String>> = texts.map(|text| text.map(str::to_owned)).collect();
    let is_list = value[name].is_array();
    texts.filter(|_| is_list).ok_or_else(|| format!("it has no list of texts under `{name}`"))
}

/// A count of a record.
fn read_count(value: &Value, name: &str) -> Result<usize, String> {
    let count = value[name].as_u64().and_then(|count| usize::try_from(count).ok());
    count.ok_or_else(|| format!("it has no count under `{name}`"))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A record of two parcels.
    fn record() -> KitRecord {
        let document = KitDocument {
            file: "labels.pdf".into(),
            makes: "label".into(),
            layout: "label-4x6in".into(),
            stock: "4x6in".into(),
            pages: 2,
        };
        let parcel = |position: usize, orders: &[&str]| KitParcel {
            position,
            tag: format!("Tag \"{position}\""),
            pair: "K7Q4".into(),
            label: "L".into(),
            card: "C".into(),
            orders: orders.iter().map(|&id| id.to_owned()).collect(),
            to: "Ada Marlow, GB".into(),
        };
        KitRecord {
            batch: "Wednesday".into(),
            key: "ABCD".into(),
            options: BatchOptions {
                combine: true,
                split: vec!["X".into()],
                ..BatchOptions::default()
            },
            documents: vec![document],
            parcels: vec![parcel(1, &["A", "B"]), parcel(2, &["C"])],
            files: vec![KitFile { name: "labels.pdf".into(), sha256: "ab".repeat(32) }],
        }
    }

    #[test]
    fn a_record_reads_back() {
        let text = record().to_json();
        assert_eq!(KitRecord::read(&text), Ok(record()));
        assert_eq!(read_files(&text), Ok(record().files));
        assert_eq!(read_files(&reprint_to_json(&[2], &record().files)), Ok(record().files));
        assert_eq!(text.lines().count(), 18);
        let empty = KitRecord { documents: Vec::new(), parcels: Vec::new(), ..record() };
        assert_eq!(KitRecord::read(&empty.to_json()), Ok(empty));
    }

    #[test]
    fn what_is_no_record_is_told() {
        let fault = |text: &str| KitRecord::read(text).unwrap_err();
        assert_eq!(fault("{}"), "it has no number under `kit`");
        assert_eq!(fault("[]"), "it has no number under `kit`");
        assert_eq!(fault(r#"{"kit": 2}"#), "its version is 2, not 1");
        assert!(fault("{").starts_with("it is no JSON"));
        let broken = record().to_json().replace("\"orders\":[\"C\"]", "\"orders\":[7]");
        assert_eq!(fault(&broken), "it has no list of texts under `orders`");
    }
}
