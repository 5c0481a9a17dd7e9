//! What a page brings along that PDF/A-2b forbids, and what lies on layers that are off.
//!
//! In: the source objects carried for a page. Out: its [`ArchivalProblem`]s, whether it is
//! transparent, the numbers its pieces of content have, or an error for content on a hidden layer. Not here: mending any of it; what is
//! carried is never changed.

use std::collections::BTreeSet;

use super::error::{PdfImportError, Result};
use super::layers::Layers;
use super::limits::DEPTH;
use super::object::{Dict, Object, ObjectId};
use super::reader::ObjectReader;
use super::remark::{ArchivalProblem, DeviceColour};
use super::scan::{count_pieces, scan};

/// Filters that PDF/A-2 knows (ISO 19005-2 6.1.7), `Crypt` only as identity and so not here.
const ALLOWED_FILTERS: [&[u8]; 12] = [
    b"ASCIIHexDecode",
    b"ASCII85Decode",
    b"FlateDecode",
    b"RunLengthDecode",
    b"CCITTFaxDecode",
    b"JBIG2Decode",
    b"DCTDecode",
    b"JPXDecode",
    b"AHx",
    b"A85",
    b"Fl",
    b"RL",
];

/// The short names for pictures in a content stream that are also allowed.
const ALLOWED_SHORT: [&[u8]; 2] = [b"CCF", b"DCT"];

/// Kinds of fonts that need a font file (Type 3 draws itself, Type 0 leaves it to its parts).
const FONTS_WITH_FILES: [&str; 5] =
    ["Type1", "MMType1", "TrueType", "CIDFontType0", "CIDFontType2"];

/// What is found about a page.
#[derive(Debug, Default)]
pub(super) struct Judgement {
    /// Why it is not PDF/A-2b.
    pub(super) problems: BTreeSet<ArchivalProblem>,
    /// Whether anything on it is blended with what lies under it.
    pub(super) transparent: bool,
    /// One more than the highest number of a marked piece of its content; 0 without any.
    pub(super) pieces: u32,
}

/// Judges a page's own content and all objects carried for it.
pub(super) fn judge<'r>(
    reader: &'r mut ObjectReader<'_>,
    layers: &'r Layers,
    page: (&[u8], &'r Object),
    group: Option<&Dict>,
    carried: &[ObjectId],
) -> Result<Judgement> {
    let mut judge = Judge { reader, layers, resources: page.1, found: Judgement::default() };
    judge.content(page.0, Some(page.1))?;
    judge.value(page.1, DEPTH)?;
    if let Some(group) = group {
        judge.dict(group)?;
    }
    for id in carried {
        judge.object(*id)?;
    }
    Ok(judge.found)
}

/// Where a filter is named.
#[derive(Clone, Copy, PartialEq, Eq)]
enum FilterPlace {
    /// In the dictionary of a stream.
    Stream,
    /// In a picture inside a content stream, which may use short names.
    InlineImage,
}

/// A walk over the carried objects.
struct Judge<'r, 'a> {
    /// Fetches the objects.
    reader: &'r mut ObjectReader<'a>,
    /// Which layers are seen.
    layers: &'r Layers,
    /// The page's resources, to which forms without their own turn.
    resources: &'r Object,
    /// What is found so far.
    found: Judgement,
}

impl Judge<'_, '_> {
    /// Keeps a problem, each once.
    fn note(&mut self, problem: ArchivalProblem) {
        self.found.problems.insert(problem);
    }

    /// Looks at one carried object.
    fn object(&mut self, id: ObjectId) -> Result<()> {
        let (_, loaded) = self.reader.follow(id)?;
        self.reader.fuel.spend(loaded.object.weight())?;
        self.value(&loaded.object, DEPTH)?;
        let (Some(dict), Some(_)) = (loaded.dict(), &loaded.data) else { return Ok(()) };
        for filter in self.reader.list(dict, "Filter")? {
            self.filter(&filter.name().unwrap_or_default(), FilterPlace::Stream);
        }
        let is_form = dict.has_name("Subtype", "Form");
        let is_tiling = dict.get("PatternType").and_then(Object::integer) == Some(1);
        let unnamed = dict.get("Subtype").is_none() && dict.get("BBox").is_some();
        if is_form || is_tiling || unnamed {
            self.stream_content(id, dict.get("Resources"))?;
        }
        Ok(())
    }

    /// Looks at what a form, pattern or glyph draws.
    fn stream_content(&mut self, id: ObjectId, resources: Option<&Object>) -> Result<()> {
        let (_, loaded) = self.reader.follow(id)?;
        match self.reader.unpack(&loaded) {
            Ok(plain) => self.content(&plain, resources),
            // Not drawn perhaps, and carried as it is; but what it hides cannot be told.
            Err(PdfImportError::Broken { .. }) if self.layers.all_seen() => {
                self.note(ArchivalProblem::Unreadable);
                Ok(())
            }
            Err(error) => Err(error),
        }
    }

    /// Looks at plain content and the names it uses.
    fn content(&mut self, plain: &[u8], resources: Option<&Object>) -> Result<()> {
        self.reader.fuel.spend(plain.len())?;
        let seen = scan(plain);
        self.found.pieces = self.found.pieces.max(seen.pieces);
        if resources.is_none() && seen.uses_names {
            self.note(ArchivalProblem::MissingResources);
        }
        let resources = self.reader.resolve(resources.unwrap_or(self.resources))?;
        let names = resources.dict();
        let spaces = match names {
            Some(names) => self.reader.dict(names, "ColorSpace")?,
            None => None,
        };
        for colour in seen.colours {
            let default = match colour {
                DeviceColour::Rgb => "DefaultRGB",
                DeviceColour::Cmyk => "DefaultCMYK",
            };
            let mapped = spaces.as_ref().and_then(|spaces| spaces.dict()?.get(default));
            if mapped.is_none() {
                self.note(ArchivalProblem::DeviceColour(colour));
            }
        }
        for operator in seen.unknown {
            self.note(ArchivalProblem::UnknownOperator { operator });
        }
        for filter in seen.filters {
            self.filter(&filter, FilterPlace::InlineImage);
        }
        if seen.nests_deep {
            self.note(ArchivalProblem::DeepNesting);
        }
        if self.layers.all_seen() {
            return Ok(());
        }
        seen.layers.iter().try_for_each(|name| self.check_layer(names, name))
    }

    /// Refuses content that is entered under the property list `name` if that is a hidden layer.
    fn check_layer(&mut self, names: Option<&Dict>, name: &[u8]) -> Result<()> {
        let Some(names) = names else { return Ok(()) };
        let Some(properties) = self.reader.dict(names, "Properties")? else { return Ok(()) };
        let Some(layer) = properties.dict().and_then(|properties| properties.find(name)) else {
            return Ok(());
        };
        if self.layers.is_seen(self.reader, layer)? {
            return Ok(());
        }
        Err(PdfImportError::HiddenLayer { layer: self.layers.name(self.reader, layer)? })
    }

    /// Looks at a value and all that is in it, at most `depth` levels deep.
    fn value(&mut self, value: &Object, depth: usize) -> Result<()> {
        if depth == 0 {
            return Ok(());
        }
        match value {
            Object::Array(values) => {
                values.iter().try_for_each(|value| self.value(value, depth - 1))
            }
            Object::Dict(dict) => {
                self.dict(dict)?;
                dict.entries.iter().try_for_each(|(_, value)| self.value(value, depth - 1))
            }
            _ => Ok(()),
        }
    }

    /// Looks at the entries of one dictionary, whatever it is.
    fn dict(&mut self, dict: &Dict) -> Result<()> {
        if FONTS_WITH_FILES.iter().any(|kind| dict.has_name("Subtype", kind)) {
            self.font(dict)?;
        }
        if dict.has_name("Subtype", "Type3")
            && let Some(glyphs) = self.reader.dict(dict, "CharProcs")?
        {
            for (_, glyph) in glyphs.dict().map_or(&[][..], |glyphs| &glyphs.entries) {
                if let Object::Ref(id) = glyph {
                    self.stream_content(*id, dict.get("Resources"))?;
                }
            }
        }
        if dict.get("Interpolate") == Some(&Object::Bool(true)) {
            self.note(ArchivalProblem::Interpolation);
        }
        let is_mask = dict.has_name("S", "Luminosity") || dict.has_name("S", "Alpha");
        let tones = dict.get("TR").is_some() && !is_mask
            || dict.get("TR2").is_some_and(|value| !value.is_name("Default"))
            || dict.get("HTP").is_some();
        if tones {
            self.note(ArchivalProblem::TransferFunction);
        }
        // A property list by name, for a piece of content.
        let number = dict.get("MCID").and_then(Object::integer);
        let number = number.and_then(|number| u32::try_from(number).ok());
        self.found.pieces = self.found.pieces.max(number.map_or(0, count_pieces));
        self.transparency(dict)?;
        self.colour_entry(dict)
    }

    /// Looks for a font's file.
    fn font(&mut self, font: &Dict) -> Result<()> {
        let descriptor = self.reader.dict(font, "FontDescriptor")?;
        let files = ["FontFile", "FontFile2", "FontFile3"];
        let embedded = descriptor
            .as_ref()
            .and_then(|descriptor| descriptor.dict())
            .is_some_and(|descriptor| files.iter().any(|file| descriptor.get(file).is_some()));
        if !embedded {
            let name = self.reader.get(font, "BaseFont")?.and_then(|name| name.object.name());
            let name = String::from_utf8_lossy(&name.unwrap_or_default()).into_owned();
            self.note(ArchivalProblem::UnembeddedFont { name });
        }
        Ok(())
    }

    /// Looks for what blends: groups, soft masks, opacity and blend modes.
    fn transparency(&mut self, dict: &Dict) -> Result<()> {
        let below_one = |value: &Object| value.number().is_some_and(|value| value < 1.0);
        let mut blends = dict.has_name("S", "Transparency")
            || dict.get("SMask").is_some_and(|mask| !mask.is_name("None"))
            || dict.get("SMaskInData").and_then(Object::integer).is_some_and(|kind| kind != 0);
        if dict.has_name("Type", "ExtGState") || dict.get("BM").is_some() {
            blends |=
                dict.get("ca").is_some_and(below_one) || dict.get("CA").is_some_and(below_one);
            blends |= dict
                .get("BM")
                .is_some_and(|mode| !mode.is_name("Normal") && !mode.is_name("Compatible"));
        }
        self.found.transparent |= blends;
        Ok(())
    }

    /// Looks at the colour spaces that a dictionary names.
    fn colour_entry(&mut self, dict: &Dict) -> Result<()> {
        for key in ["ColorSpace", "CS"] {
            let Some(value) = self.reader.get(dict, key)? else { continue };
            match &value.object {
                // Resources: colour spaces by name, of which defaults may be device spaces.
                Object::Dict(spaces) => {
                    for (_, space) in &spaces.entries {
                        self.colour_space(space, DEPTH)?;
                    }
                }
                space => self.colour_space(space, DEPTH)?,
            }
        }
        Ok(())
    }

    /// Notes the device colours in a colour space, its base or its alternate.
    fn colour_space(&mut self, space: &Object, depth: usize) -> Result<()> {
        self.reader.fuel.spend(16)?;
        let loaded = self.reader.resolve(space)?;
        let space = &loaded.object;
        if space.is_name("DeviceRGB") {
            self.note(ArchivalProblem::DeviceColour(DeviceColour::Rgb));
        } else if space.is_name("DeviceCMYK") {
            self.note(ArchivalProblem::DeviceColour(DeviceColour::Cmyk));
        }
        let Some([family, rest @ ..]) = space.array().filter(|_| depth > 0) else { return Ok(()) };
        let within = match family {
            family if family.is_name("DeviceRGB") || family.is_name("DeviceCMYK") => Some(family),
            family if family.is_name("Indexed") || family.is_name("Pattern") => rest.first(),
            family if family.is_name("Separation") || family.is_name("DeviceN") => rest.get(1),
            _ => None,
        };
        match within {
            Some(within) => self.colour_space(within, depth - 1),
            None => Ok(()),
        }
    }

    /// Notes a filter that is not allowed.
    fn filter(&mut self, name: &[u8], place: FilterPlace) {
        if name == b"JPXDecode" {
            self.note(ArchivalProblem::Jpeg2000);
        }
        let short = place == FilterPlace::InlineImage && ALLOWED_SHORT.contains(&name);
        if !short && !ALLOWED_FILTERS.contains(&name) {
            let name = String::from_utf8_lossy(name).into_owned();
            self.note(ArchivalProblem::Filter { name });
        }
    }
}
