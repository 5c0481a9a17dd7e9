//! Capital letters as an address wants them. Comes in: a text; goes out: the
//! same text in capitals. Not its job: which parts are capitals (`country`).
//!
//! Unicode's full mapping (`ß` becomes `SS`), and three habits of writing that
//! it leaves to the language: Turkish and Azerbaijani keep the dot of `i`; Greek
//! capitals carry no accent, and the second of two vowels that the accent kept
//! apart gets a dieresis instead; Georgian has no capitals in use.

/// What the capital of `i` looks like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum CapitalI {
    /// As in most languages: `I`.
    Bare,
    /// As in Turkish and Azerbaijani: `İ`.
    Dotted,
}

/// What a postal line in capitals says; Greek letters lose their accents there.
pub(super) fn capitalise(text: &str, capital_i: CapitalI) -> String {
    let mut capitals = String::with_capacity(text.len());
    // Base letter of the last Greek vowel that lost an accent just now.
    let mut unaccented = None;
    for c in text.chars() {
        let before = unaccented.take();
        match c {
            'i' if capital_i == CapitalI::Dotted => capitals.push('İ'),
            '\u{10d0}'..='\u{10ff}' => capitals.push(c),
            '\u{300}' | '\u{301}' | '\u{313}' | '\u{314}' | '\u{342}'
                if last_letter(&capitals).is_some_and(is_greek) =>
            {
                unaccented = capitals.chars().next_back();
            }
            'ι' if parts_vowels(before) => capitals.push('Ϊ'),
            'υ' if parts_vowels(before) => capitals.push('Ϋ'),
            _ => match bare_greek(c) {
                Some((bare, accented)) => {
                    capitals.push_str(bare);
                    unaccented = bare.chars().next().filter(|_| accented);
                }
                None => capitals.extend(c.to_uppercase()),
            },
        }
    }
    capitals
}

/// The last character that is no combining dieresis.
fn last_letter(capitals: &str) -> Option<char> {
    capitals.chars().rev().find(|c| *c != '\u{308}')
}

/// Whether a letter is of the Greek blocks.
fn is_greek(c: char) -> bool {
    matches!(c, '\u{370}'..='\u{3ff}' | '\u{1f00}'..='\u{1fff}')
}

/// Whether an accent on this vowel kept a following iota or ypsilon apart from it.
fn parts_vowels(before: Option<char>) -> bool {
    matches!(before, Some('Α' | 'Ε' | 'Η' | 'Ο' | 'Ω'))
}

/// The bare capital of an accented Greek vowel, and whether its accent was one
/// that parts vowels; none for every other character. Breathings go as accents
/// do; an iota written below becomes a letter. Code points: Unicode's Greek and
/// Greek Extended charts.
fn bare_greek(c: char) -> Option<(&'static str, bool)> {
    let accented = !matches!(c, '\u{3aa}' | '\u{3ab}' | '\u{3ca}' | '\u{3cb}');
    let bare = match c {
        'ά' | 'Ά' | '\u{1f00}'..='\u{1f0f}' | '\u{1f70}' | '\u{1f71}' => "Α",
        'έ' | 'Έ' | '\u{1f10}'..='\u{1f1f}' | '\u{1f72}' | '\u{1f73}' => "Ε",
        'ή' | 'Ή' | '\u{1f20}'..='\u{1f2f}' | '\u{1f74}' | '\u{1f75}' => "Η",
        'ί' | 'Ί' | '\u{1f30}'..='\u{1f3f}' | '\u{1f76}' | '\u{1f77}' => "Ι",
        'ό' | 'Ό' | '\u{1f40}'..='\u{1f4f}' | '\u{1f78}' | '\u{1f79}' => "Ο",
        'ύ' | 'Ύ' | '\u{1f50}'..='\u{1f5f}' | '\u{1f7a}' | '\u{1f7b}' => "Υ",
        'ώ' | 'Ώ' | '\u{1f60}'..='\u{1f6f}' | '\u{1f7c}' | '\u{1f7d}' => "Ω",
        'ϊ' | 'Ϊ' | 'ΐ' | '\u{1fd2}' | '\u{1fd3}' | '\u{1fd7}' => "Ϊ",
        'ϋ' | 'Ϋ' | 'ΰ' | '\u{1fe2}' | '\u{1fe3}' | '\u{1fe7}' => "Ϋ",
        '\u{1f80}'..='\u{1f8f}' | '\u{1fb2}' | '\u{1fb4}' | '\u{1fb7}' => "ΑΙ",
        '\u{1f90}'..='\u{1f9f}' | '\u{1fc2}' | '\u{1fc4}' | '\u{1fc7}' => "ΗΙ",
        '\u{1fa0}'..='\u{1faf}' | '\u{1ff2}' | '\u{1ff4}' | '\u{1ff7}' => "ΩΙ",
        '\u{1fb6}' | '\u{1fba}' | '\u{1fbb}' => "Α",
        '\u{1fc8}' | '\u{1fc9}' => "Ε",
        '\u{1fc6}' | '\u{1fca}' | '\u{1fcb}' => "Η",
        '\u{1fd6}' | '\u{1fda}' | '\u{1fdb}' => "Ι",
        '\u{1fe6}' | '\u{1fea}' | '\u{1feb}' => "Υ",
        '\u{1fe4}' | '\u{1fe5}' | '\u{1fec}' => "Ρ",
        '\u{1ff8}' | '\u{1ff9}' => "Ο",
        '\u{1ff6}' | '\u{1ffa}' | '\u{1ffb}' => "Ω",
        _ => return None,
    };
    Some((bare, accented))
}

#[cfg(test)]
mod tests {
    use super::CapitalI::{Bare, Dotted};
    use super::capitalise;

    /// Pairs from Unicode's SpecialCasing and CLDR's `el-Upper` transform notes
    /// where they state one, the rest plain spellings of Greek and Turkish towns.
    #[test]
    fn capitals_follow_the_language() {
        for (text, capital_i, capitals) in [
            ("Köln an der straße", Bare, "KÖLN AN DER STRASSE"),
            ("Diyarbakır izmir", Dotted, "DİYARBAKIR İZMİR"),
            ("Ilıca", Bare, "ILICA"),
            ("Αθήνα", Bare, "ΑΘΗΝΑ"),
            ("Ηράκλειο, Κέρκυρα, Ρόδος", Bare, "ΗΡΑΚΛΕΙΟ, ΚΕΡΚΥΡΑ, ΡΟΔΟΣ"),
            ("Άγιος Νικόλαος", Bare, "ΑΓΙΟΣ ΝΙΚΟΛΑΟΣ"),
            ("Μάιος", Bare, "ΜΑΪΟΣ"),
            ("Αϊβαλί ταΐστρα", Bare, "ΑΪΒΑΛΙ ΤΑΪΣΤΡΑ"),
            ("Αι\u{301}γιο", Bare, "ΑΙΓΙΟ"),
            ("ι\u{308}\u{301}ο", Bare, "Ι\u{308}Ο"),
            ("Ἀθῆναι", Bare, "ΑΘΗΝΑΙ"),
            ("Київ", Bare, "КИЇВ"),
            ("თბილისი", Bare, "თბილისი"),
            ("東京", Bare, "東京"),
            ("e\u{301}vry", Bare, "E\u{301}VRY"),
        ] {
            assert_eq!(capitalise(text, capital_i), capitals, "{text}");
        }
    }
}
