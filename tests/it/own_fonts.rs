//! Fonts of the seller's own: the folder that the shop file names, with folders and collections in it, and
//! slanted letters. The fonts are made of a built-in one, so that no machine needs to have any.

use std::fs;
use std::path::Path;

use crate::command::Desk;

/// A layout that sets its words in a family of the folder.
const LAYOUT: &str = "
page: {stock: a6, inset: 8}
makes: insert
type:
  own: {family: Harbour Signs, size: 14pt}
  leaning: {like: own, slant: italic}
body:
  down:
    - {text: upright, type: own}
    - {text: slanted, type: leaning}
";

/// The built-in regular face.
fn regular() -> Vec<u8> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("fonts/NotoSans-Regular.ttf");
    fs::read(path).unwrap()
}

/// The offset and length of a table of a font.
fn table(font: &[u8], tag: &[u8; 4]) -> (usize, usize) {
    let word = |at: usize| u32::from_be_bytes(font[at..at + 4].try_into().unwrap()) as usize;
    let count = usize::from(u16::from_be_bytes([font[4], font[5]]));
    let row = (0..count).map(|nth| 12 + 16 * nth).find(|&at| font[at..at + 4] == *tag).unwrap();
    (word(row + 8), word(row + 12))
}

/// The face under another family, of as many letters, slanted or not.
fn renamed(slanted: bool) -> Vec<u8> {
    let mut font = regular();
    let (name, length) = table(&font, b"name");
    let family: Vec<u8> = "Noto Sans".encode_utf16().flat_map(u16::to_be_bytes).collect();
    let other: Vec<u8> = "HarbourSn".encode_utf16().flat_map(u16::to_be_bytes).collect();
    let mut at = name;
    while at + family.len() <= name + length {
        if font[at..].starts_with(&family) {
            font[at..at + other.len()].copy_from_slice(&other);
        }
        at += 1;
    }
    if slanted {
        let (os2, _) = table(&font, b"OS/2");
        // fsSelection: bit 0 is italic, bit 6 regular.
        font[os2 + 62..os2 + 64].copy_from_slice(&1_u16.to_be_bytes());
    }
    font
}

/// Two faces as a collection (`.ttc`).
fn collection(faces: &[Vec<u8>]) -> Vec<u8> {
    let mut file = b"ttcf\0\x01\0\0".to_vec();
    file.extend((faces.len() as u32).to_be_bytes());
    let mut start = 12 + 4 * faces.len();
    let mut bodies = Vec::new();
    for face in faces {
        file.extend((start as u32).to_be_bytes());
        let mut face = face.clone();
        let count = usize::from(u16::from_be_bytes([face[4], face[5]]));
        for row in (0..count).map(|nth| 12 + 16 * nth) {
            let at = u32::from_be_bytes(face[row + 8..row + 12].try_into().unwrap());
            face[row + 8..row + 12].copy_from_slice(&(at + start as u32).to_be_bytes());
        }
        face.resize(face.len().next_multiple_of(4), 0);
        start += face.len();
        bodies.extend(face);
    }
    file.extend(bodies);
    file
}

/// A desk whose shop file names the folder `type`.
fn desk(folder: &str) -> Desk {
    let desk = Desk::new();
    desk.sample("evening.json").put("card.yaml", LAYOUT.replace("Harbour Signs", "HarbourSn"));
    let shop = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/shop.yaml");
    let shop = fs::read_to_string(shop).unwrap();
    desk.put("shop.yaml", format!("fonts: {folder}\n{shop}"));
    desk
}

/// Prints the card, and gives the exit code and what was said.
fn print(desk: &Desk) -> (i32, String) {
    let words =
        ["render", "evening.json", "--layout", "card.yaml", "--only", "1", "-o", "card.pdf"];
    let run = desk.run(&words, b"");
    (run.status.code().unwrap(), String::from_utf8_lossy(&run.stderr).into_owned())
}

#[test]
fn a_collection_in_a_folder_of_the_shop_file_s_folder_is_found() {
    let desk = desk("type");
    fs::create_dir_all(desk.path("type/signs/old")).unwrap();
    desk.put("type/signs/old/harbour.ttc", collection(&[renamed(false), renamed(true)]));
    desk.put("type/readme.txt", "no font");
    let (code, said) = print(&desk);
    assert_eq!(code, 0, "{said}");
    let document = lopdf::Document::load(desk.path("card.pdf")).unwrap();
    let files = document.objects.values().filter(|object| {
        object.as_dict().is_ok_and(|dict| dict.has(b"FontFile2") || dict.has(b"FontFile3"))
    });
    assert_eq!(files.count(), 2, "the upright and the slanted face");
}

#[test]
fn a_family_without_italic_is_told() {
    let desk = desk("type");
    fs::create_dir(desk.path("type")).unwrap();
    desk.put("type/harbour.ttf", renamed(false));
    let (code, said) = print(&desk);
    assert_eq!(code, 2, "{said}");
    assert!(said.contains("error[unknown-family]: the family `HarbourSn` has no italic"), "{said}");
    assert!(said.contains("card.yaml:6:3"), "{said}");
}

#[test]
fn the_folder_has_fonts_and_lies_beside_the_shop_file() {
    let said_of = |folder: &str, prepare: &dyn Fn(&Desk)| {
        let desk = desk(folder);
        prepare(&desk);
        let (code, said) = print(&desk);
        assert_eq!(code, 2, "{said}");
        said
    };
    let empty = said_of("type", &|desk| fs::create_dir(desk.path("type")).unwrap());
    assert!(empty.contains("there are no fonts in `type`"), "{empty}");
    assert!(empty.contains("or take `fonts` of the shop file out"), "{empty}");
    let outside = said_of("../type", &|_| {});
    assert!(
        outside.contains("the fonts of `../type` lie outside the shop file's folder"),
        "{outside}"
    );
    let nowhere = said_of("type", &|_| {});
    assert!(nowhere.contains("`type` could not be read"), "{nowhere}");
}

#[cfg(unix)]
#[test]
fn no_link_leads_to_fonts_elsewhere() {
    let elsewhere = tempfile::tempdir().unwrap();
    fs::write(elsewhere.path().join("harbour.ttf"), renamed(false)).unwrap();
    let desk = desk("type");
    fs::create_dir(desk.path("type")).unwrap();
    let target = elsewhere.path().join("harbour.ttf");
    std::os::unix::fs::symlink(target, desk.path("type/harbour.ttf")).unwrap();
    let (code, said) = print(&desk);
    assert_eq!(code, 2, "{said}");
    assert!(said.contains("it is a link that leads out of its folder"), "{said}");
}
