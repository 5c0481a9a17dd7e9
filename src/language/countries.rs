//! What countries are called in languages that the data of addresses have no names in.

/// The generated table: codes down, languages across.
const TABLE: &str = include_str!("data/countries.tsv");

/// A country's name in a language; `None` where the table has none.
#[must_use]
pub(crate) fn country_in(language: &str, code: &str) -> Option<&'static str> {
    let mut lines = TABLE.lines().filter(|line| !line.starts_with('#'));
    let column = lines.next()?.split('\t').skip(1).position(|head| head == language)? + 1;
    let line = lines.find(|line| line.split('\t').next() == Some(code))?;
    line.split('\t').nth(column).filter(|name| !name.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn countries_have_their_names_where_the_table_has_a_column() {
        assert_eq!(country_in("ja", "DE"), Some("ドイツ"));
        assert_eq!(country_in("de", "DE"), None);
    }
}
