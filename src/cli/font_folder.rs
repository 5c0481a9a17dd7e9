//! Folders of fonts: the one that the user names, and the one that the shop file names.
//!
//! In: a folder. Out: the fonts that come with the command and those of its files, in the order of their
//! paths, folders within it too. The shop file may come from anyone, so its folder lies beside it or below, and
//! no link leads out of that. Not here: what is in a font file (`fonts`).

use std::path::{Path, PathBuf};

use super::disk::Disk;
use super::halt::Halt;
use super::inputs::Inputs;
use crate::fonts::{FontBook, FontError, read_face_labels};
use crate::source::{Env as _, confine};

/// The most font files of a folder, those of folders within it counted in; ours: the largest families have some
/// seventy.
const MOST_FILES: usize = 500;

/// How many folders deep fonts are looked for.
const DEEPEST: usize = 8;

/// Where fonts are, and what may be read there.
struct FontFolder {
    /// The folder: that of `--fonts`, or the one of the shop file inside its home.
    path: PathBuf,
    /// The files that may be read.
    disk: Disk,
    /// What says that there are fonts.
    named_by: &'static str,
}

/// The built-in fonts, those of a folder that the user names, and those of the shop file's.
///
/// # Errors
/// When a folder has none, or one of them cannot be used.
pub(super) fn read_fonts(named: Option<&Path>, inputs: &Inputs) -> Result<FontBook, Halt> {
    let mut book = FontBook::builtin();
    let named = named.map(|path| FontFolder {
        path: path.to_owned(),
        disk: Disk::anywhere(),
        named_by: "`--fonts`",
    });
    // What the user names goes before: of two faces for one cut the first is taken.
    for folder in named.into_iter().chain(find_shop_fonts(inputs)?) {
        let name = format!("`{}`", folder.path.display());
        let mut files = Vec::new();
        list_fonts(&folder.path, 0, &mut files).map_err(|error| Halt::unreadable(&name, &error))?;
        if files.is_empty() {
            let hint = format!(
                "put `.ttf`, `.otf` or `.ttc` files there, or take {} out",
                folder.named_by
            );
            return Err(Halt::usage(format!("there are no fonts in {name}")).hint(hint));
        }
        if files.len() > MOST_FILES {
            let message = format!("there are more than {MOST_FILES} fonts in {name}");
            return Err(Halt::usage(message).hint("name a folder with those that you print with"));
        }
        files.sort();
        for file in files {
            add_font(&mut book, &folder.disk, &file)?;
        }
    }
    Ok(book)
}

/// The folder of fonts that the shop file names, if it does.
fn find_shop_fonts(inputs: &Inputs) -> Result<Option<FontFolder>, Halt> {
    let named = inputs.shop.as_ref().map_or("", |shop| &shop.fonts);
    if named.is_empty() {
        return Ok(None);
    }
    let home = &*inputs.shop_folder;
    let Some(path) = confine(home, named) else {
        let message = format!("the fonts of `{named}` lie outside the shop file's folder");
        let hint = "put the folder beside the shop file, or name it with `--fonts DIR`";
        return Err(Halt::usage(message).hint(hint));
    };
    let disk = Disk::within([home]);
    disk.refuse_outside(&path)
        .map_err(|error| Halt::unreadable(&format!("`{}`", path.display()), &error))?;
    Ok(Some(FontFolder { path, disk, named_by: "`fonts` of the shop file" }))
}

/// Adds the font files of a folder and of those within it; links to folders are passed over, so that no
/// circle is walked.
fn list_fonts(folder: &Path, depth: usize, files: &mut Vec<PathBuf>) -> std::io::Result<()> {
    for entry in std::fs::read_dir(folder)? {
        let entry = entry?;
        let path = entry.path();
        if entry.file_type()?.is_dir() {
            if depth < DEEPEST && files.len() <= MOST_FILES {
                list_fonts(&path, depth + 1, files)?;
            }
            continue;
        }
        let ending = path.extension().and_then(|ending| ending.to_str()).unwrap_or_default();
        if matches!(ending.to_lowercase().as_str(), "ttf" | "otf" | "ttc" | "otc") {
            files.push(path);
        }
    }
    Ok(())
}

/// Adds the faces of a font file that serve as one of our cuts.
fn add_font(book: &mut FontBook, disk: &Disk, file: &Path) -> Result<(), Halt> {
    let name = format!("`{}`", file.display());
    let data = disk.read(file).map_err(|error| Halt::unreadable(&name, &error))?;
    let refuse = |error: FontError| {
        Halt::usage(format!("the font {name} cannot be used: {error}")).hint_if(error.hint())
    };
    for label in read_face_labels(&data).map_err(refuse)? {
        if let Some(cut) = label.cut
            && !label.variable
            && book.family(&label.family).and_then(|family| book.face(family, cut)).is_none()
        {
            book.add_face(&label.family, cut, data.clone(), label.index).map_err(refuse)?;
        }
    }
    Ok(())
}
