//! A page's content streams as one.
//!
//! In: a page's `Contents`. Out: the plain operators, for those who look at them, and the packed
//! data to write. Not here: what the operators do (`scan`).

use std::io::Write as _;
use std::rc::Rc;

use flate2::Compression;
use flate2::write::ZlibEncoder;

use super::error::{Result, broken, too_large};
use super::limits::STREAM_BYTES;
use super::object::{Dict, Object};
use super::reader::{Loaded, ObjectReader};

/// What a page draws.
#[derive(Debug)]
pub(super) struct PageContent {
    /// All operators, unpacked.
    pub(super) plain: Vec<u8>,
    /// The stream to write as the source has it; none when there were several, or none at all.
    pub(super) kept: Option<Rc<Loaded>>,
}

impl PageContent {
    /// Reads and unpacks a page's content, of one stream or of several.
    pub(super) fn read(reader: &mut ObjectReader<'_>, page: &Dict) -> Result<PageContent> {
        let mut plain = Vec::new();
        let mut last = None;
        let missing = || broken("a part of the page's content is missing");
        if page.get("Contents").is_some() && reader.get(page, "Contents")?.is_none() {
            return Err(missing());
        }
        let parts = reader.list(page, "Contents")?;
        for part in &parts {
            let loaded = reader.resolve(part)?;
            if loaded.data.is_none() {
                return Err(missing());
            }
            // The parts are split between tokens only, which a line end keeps apart (§7.8.2).
            if last.is_some() {
                plain.push(b'\n');
            }
            plain.append(&mut reader.unpack(&loaded)?);
            if plain.len() > STREAM_BYTES {
                let most = STREAM_BYTES >> 20;
                return Err(too_large(format!("the page's content takes more than {most} MB")));
            }
            last = Some(loaded);
        }
        Ok(PageContent { plain, kept: last.filter(|_| parts.len() == 1) })
    }

    /// The operators packed anew, for content that was in several parts.
    pub(super) fn pack(&self) -> Result<Vec<u8>> {
        let mut packer = ZlibEncoder::new(Vec::new(), Compression::default());
        let packed = packer.write_all(&self.plain).and_then(|()| packer.finish());
        packed.map_err(|_| broken("the page's content cannot be packed"))
    }
}

/// The entries of a kept stream that say how it is packed.
pub(super) fn packing(loaded: &Loaded) -> impl Iterator<Item = (&'static str, &Object)> {
    let keys = ["Filter", "DecodeParms"].into_iter();
    keys.filter_map(|key| Some((key, loaded.dict()?.get(key)?)))
}
