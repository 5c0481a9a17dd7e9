//! Opening layouts: shipped ones by their names, others as files.

use std::path::{Path, PathBuf};

use super::arguments::PageArguments;
use super::disk::{Disk, read_text};
use super::halt::Halt;
use super::inputs::{Inputs, choose_printer};
use super::setup::{PrintSetup, read_grid};
use crate::findings::Finding;
use crate::layout::{Layout, read_layout};
use crate::shipped::{find_shipped, nearest_shipped};
use crate::shop::Shop;
use crate::source::Sources;
use crate::words::counted;

/// A layout with the folder its pictures are in.
pub(super) struct OpenLayout {
    /// What was read, with all that it includes.
    pub(super) layout: Layout,
    /// Where files are that it names.
    pub(super) folder: PathBuf,
    /// The first free place on its sheet, counted from 1, if the user says it.
    pub(super) first_place: Option<usize>,
    /// The shop file with the printer that this document goes to first, where that is another.
    pub(super) shop: Option<Shop>,
    /// What was found in it that stops nothing.
    pub(super) remarks: Vec<Finding>,
    /// What the user calls it.
    name: String,
}

impl OpenLayout {
    /// Opens a shipped layout or a layout file.
    ///
    /// # Errors
    /// When there is none, or something is wrong with it.
    pub(super) fn open(path: impl AsRef<Path>, sources: &mut Sources) -> Result<OpenLayout, Halt> {
        let path = path.as_ref();
        let name = path.display().to_string();
        let (file, folder) = if let Some(shipped) = path.to_str().and_then(find_shipped) {
            (sources.add(format!("{name}.yaml"), shipped.text), PathBuf::from("."))
        } else if path.is_file() || path.components().count() > 1 || path.extension().is_some() {
            let text = read_text(path)?;
            let folder = path.parent().map(Path::to_owned).unwrap_or_default();
            (sources.add(name.clone(), text), folder)
        } else {
            let message = format!("there is no layout `{name}`");
            return Err(Halt::usage(message).hint_if(nearest_shipped(&name)));
        };
        let (layout, remarks) = read_layout(sources, file, &Disk::within([&*folder]), &folder);
        match layout {
            Some(layout) => {
                Ok(OpenLayout { layout, folder, first_place: None, shop: None, remarks, name })
            }
            None => Err(Halt::unusable(remarks, sources)),
        }
    }

    /// Opens the layout of one document: what the user names, or the shop file, or a shipped one;
    /// and sends its pages to the printer that the user names, with the dots that the user says.
    ///
    /// # Errors
    /// As [`OpenLayout::open`], and when there is no such printer, no such dots, or no such place on
    /// its sheet.
    pub(super) fn of_page(
        page: &PageArguments,
        inputs: &mut Inputs,
        setup: &mut PrintSetup,
    ) -> Result<OpenLayout, Halt> {
        setup.grid = read_grid(page.dpi)?;
        choose_printer(inputs.shop.as_mut(), page.printer.as_deref())?;
        let name = match &page.layout {
            Some(name) => name.clone(),
            None => inputs.usual_label()?,
        };
        OpenLayout::open(&name, &mut inputs.sources)?.starting_at(page.start, "--start")
    }

    /// What the user calls it: the name of a shipped one, or a file.
    pub(super) fn name(&self) -> &str {
        &self.name
    }

    /// The same layout on a part-used sheet whose first free place the user gives with `option`.
    ///
    /// # Errors
    /// When the layout has no sheet, or none so large.
    pub(super) fn starting_at(
        mut self,
        place: Option<u32>,
        option: &str,
    ) -> Result<OpenLayout, Halt> {
        let Some(place) = place else { return Ok(self) };
        let name = &self.name;
        let Some(sheet) = &self.layout.sheet else {
            let message = format!("`{option}` is for layouts with a `sheet`, `{name}` has none");
            return Err(Halt::usage(message).hint(format!("leave `{option} {place}` out")));
        };
        let place = usize::try_from(place).unwrap_or(usize::MAX);
        let places = sheet.places();
        if place > places {
            let hint = match places {
                1 => format!("leave `{option} {place}` out"),
                _ => format!("give `{option}` a number from 1 to {places}"),
            };
            let places = counted(places, "place");
            let message = format!("there is no place {place}: the sheet of `{name}` has {places}");
            return Err(Halt::usage(message).hint(hint));
        }
        self.first_place = Some(place);
        Ok(self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What stops a layout from being opened at a place of its sheet.
    fn refusal(name: &str, place: Option<u32>) -> (String, Vec<String>) {
        let open = OpenLayout::open(name, &mut Sources::new());
        let halt = open.and_then(|open| open.starting_at(place, "--start")).err().unwrap();
        (halt.findings[0].message.clone(), halt.findings[0].hints.clone())
    }

    #[test]
    fn a_layout_that_is_not_there_is_told_with_the_nearest() {
        let (message, hints) = refusal("label-4x6", None);
        assert_eq!(message, "there is no layout `label-4x6`");
        assert_eq!(hints, ["did you mean `label-4x6in`?"]);
    }

    #[test]
    fn a_layout_without_a_sheet_has_no_places() {
        let (message, hints) = refusal("label-4x6in", Some(3));
        assert_eq!(message, "`--start` is for layouts with a `sheet`, `label-4x6in` has none");
        assert_eq!(hints, ["leave `--start 3` out"]);
    }
}
