//! A message as data: groups of attributes with their values.
//!
//! Not here: bytes (`read`, `write`).

/// A request or an answer, without a document behind it.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct IppMessage {
    /// The operation of a request, the status of an answer.
    pub(crate) code: u16,
    /// The number by which an answer belongs to its request.
    pub(crate) request: u32,
    /// Its groups in order.
    pub(crate) groups: Vec<IppGroup>,
}

/// Attributes about one thing.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct IppGroup {
    /// What it is about: a delimiter tag of RFC 8010 §3.5.1.
    pub(crate) about: u8,
    /// The attributes in order.
    pub(crate) attributes: Vec<IppAttribute>,
}

/// Of the operation itself.
pub(super) const OPERATION: u8 = 0x01;
/// What is said of a job.
pub(super) const JOB: u8 = 0x02;
/// What ends all groups.
pub(super) const END: u8 = 0x03;
/// What is said of a printer.
pub(super) const PRINTER: u8 = 0x04;
/// What of a request was not taken.
pub(super) const UNSUPPORTED: u8 = 0x05;

/// A name with its values; out of an answer there may be none.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct IppAttribute {
    /// Its keyword, such as `printer-state`.
    pub(crate) name: Box<str>,
    /// Its values, in the order of the message.
    pub(crate) values: Vec<IppValue>,
}

/// What a name stands for.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum IppValue {
    /// A number, or the number of a word in a list.
    Number {
        /// The value tag: integer or enum.
        tag: u8,
        /// What it says.
        number: i32,
    },
    /// True or false.
    Truth(bool),
    /// All numbers between two, both included.
    Range {
        /// The lower end.
        least: i32,
        /// The upper end.
        most: i32,
    },
    /// Dots, in an inch or in a centimetre.
    Dots {
        /// Across the feed.
        across: i32,
        /// Along the feed.
        along: i32,
        /// The unit: 3 an inch, 4 a centimetre.
        unit: u8,
    },
    /// Words of any kind.
    Text {
        /// Which kind of words, such as a name or a web address.
        tag: u8,
        /// The words.
        text: Box<str>,
    },
    /// Values by name.
    Collection(Vec<IppAttribute>),
    /// Anything else, which nobody asks for.
    Other,
}

/// The value tags that are written or looked for (RFC 8010 §3.5.2).
pub(super) mod tags {
    /// `integer`.
    pub(in crate::ipp) const INTEGER: u8 = 0x21;
    /// `boolean`.
    pub(in crate::ipp) const BOOLEAN: u8 = 0x22;
    /// `enum`.
    pub(in crate::ipp) const ENUM: u8 = 0x23;
    /// `resolution`.
    pub(in crate::ipp) const RESOLUTION: u8 = 0x32;
    /// `rangeOfInteger`.
    pub(in crate::ipp) const RANGE: u8 = 0x33;
    /// `begCollection`.
    pub(in crate::ipp) const COLLECTION: u8 = 0x34;
    /// `textWithLanguage`.
    pub(in crate::ipp) const TEXT_IN_LANGUAGE: u8 = 0x35;
    /// `nameWithLanguage`.
    pub(in crate::ipp) const NAME_IN_LANGUAGE: u8 = 0x36;
    /// `endCollection`.
    pub(in crate::ipp) const END_OF_COLLECTION: u8 = 0x37;
    /// The first of the kinds of words.
    pub(in crate::ipp) const FIRST_WORDS: u8 = 0x40;
    /// `nameWithoutLanguage`.
    pub(in crate::ipp) const NAME: u8 = 0x42;
    /// `keyword`.
    pub(in crate::ipp) const KEYWORD: u8 = 0x44;
    /// `uri`.
    pub(in crate::ipp) const URI: u8 = 0x45;
    /// `charset`.
    pub(in crate::ipp) const CHARSET: u8 = 0x47;
    /// `naturalLanguage`.
    pub(in crate::ipp) const LANGUAGE: u8 = 0x48;
    /// `mimeMediaType`.
    pub(in crate::ipp) const MEDIA_TYPE: u8 = 0x49;
    /// `memberAttrName`.
    pub(in crate::ipp) const MEMBER_NAME: u8 = 0x4a;
}

impl IppMessage {
    /// The groups about one kind of thing.
    pub(super) fn groups_of(&self, about: u8) -> impl Iterator<Item = &IppGroup> {
        self.groups.iter().filter(move |group| group.about == about)
    }

    /// What the answerer says of a failure in words of its own; empty when it says nothing.
    pub(crate) fn status_message(&self) -> &str {
        let mut said = self.groups_of(OPERATION).filter_map(|it| it.text("status-message"));
        said.next().unwrap_or_default()
    }

    /// The names of what was not taken of a request.
    pub(crate) fn unsupported(&self) -> Vec<&str> {
        let groups = self.groups_of(UNSUPPORTED);
        groups.flat_map(|group| &group.attributes).map(|it| &*it.name).collect()
    }
}

impl IppGroup {
    /// The values of an attribute; none when it is not there.
    pub(super) fn values(&self, name: &str) -> &[IppValue] {
        find(&self.attributes, name)
    }

    /// The first value as words.
    pub(super) fn text(&self, name: &str) -> Option<&str> {
        self.values(name).first().and_then(IppValue::text)
    }

    /// All values as words.
    pub(super) fn texts(&self, name: &str) -> Vec<&str> {
        self.values(name).iter().filter_map(IppValue::text).collect()
    }

    /// The first value as a number.
    pub(super) fn number(&self, name: &str) -> Option<i32> {
        self.values(name).first().and_then(IppValue::number)
    }

    /// The first value as true or false.
    pub(super) fn truth(&self, name: &str) -> Option<bool> {
        match self.values(name).first() {
            Some(IppValue::Truth(truth)) => Some(*truth),
            _ => None,
        }
    }
}

/// The values of an attribute in a list of them.
pub(super) fn find<'a>(attributes: &'a [IppAttribute], name: &str) -> &'a [IppValue] {
    attributes.iter().find(|it| *it.name == *name).map_or(&[], |it| &it.values)
}

impl IppValue {
    /// Its words.
    pub(super) fn text(&self) -> Option<&str> {
        match self {
            IppValue::Text { text, .. } => Some(text),
            _ => None,
        }
    }

    /// What it is, if it is a number or stands for a word of a list.
    pub(super) fn number(&self) -> Option<i32> {
        match self {
            IppValue::Number { number, .. } => Some(*number),
            _ => None,
        }
    }
}
