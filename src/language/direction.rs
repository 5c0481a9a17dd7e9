//! Which languages are read from the right.
//!
//! In: a language tag. Out: whether its lines begin at the right, by its script or, where it names
//! none, by the one that the language is usually written in. Not here: the direction of a line of text,
//! which its own letters have (`fonts`).

/// Scripts that the CLDR's locales with a `characterOrder` of `right-to-left` are written in.
const SCRIPTS: [&str; 7] = ["Adlm", "Arab", "Hebr", "Nkoo", "Rohg", "Syrc", "Thaa"];

/// Languages whose locale in the CLDR has a `characterOrder` of `right-to-left` without naming a script;
/// a test of the outside compares them with Babel's.
const LANGUAGES: [&str; 22] = [
    "apc", "ar", "bal", "bgn", "ckb", "dv", "fa", "he", "ks", "lrc", "mzn", "nqo", "ps", "rhg",
    "sd", "sdh", "skr", "syr", "trw", "ug", "ur", "yi",
];

/// Whether a language is read from the right.
pub(crate) fn reads_from_right(tag: &str) -> bool {
    let mut parts = tag.split(['-', '_']);
    let language = parts.next().unwrap_or_default();
    let is_script =
        |part: &&str| part.len() == 4 && part.bytes().all(|byte| byte.is_ascii_alphabetic());
    let among = |known: &[&str], part: &str| known.iter().any(|it| it.eq_ignore_ascii_case(part));
    match parts.find(is_script) {
        Some(script) => among(&SCRIPTS, script),
        None => among(&LANGUAGES, language),
    }
}

#[cfg(test)]
mod tests {
    use super::reads_from_right;

    #[test]
    fn a_script_goes_before_the_language() {
        for tag in ["ar", "ar-AE", "he", "fa-AF", "ur", "uz-Arab", "ff-Adlm-GN"] {
            assert!(reads_from_right(tag), "{tag}");
        }
        for tag in ["en", "ja", "de-CH", "uz", "ks-Deva", "ug-Cyrl", "sd-Deva-IN", "tr", ""] {
            assert!(!reads_from_right(tag), "{tag}");
        }
    }
}
