//! The table of the layout language holds together.

use super::*;

#[test]
fn names_are_unique_and_every_entry_is_explained() {
    for (index, rule) in BLOCKS.iter().enumerate() {
        assert!(BLOCKS[..index].iter().all(|other| other.name != rule.name), "{}", rule.name);
        assert!(!rule.doc.is_empty() && !rule.content_doc.is_empty(), "{}", rule.name);
        for field in rule.settings {
            assert!(!field.doc.is_empty(), "{}.{}", rule.name, field.name);
            assert!(COMMON.iter().all(|common| common.name != field.name), "{}", field.name);
            assert!(find_block(field.name).is_none(), "{} is a block", field.name);
        }
    }
    for field in COMMON {
        assert!(find_block(field.name).is_none(), "{} is a block", field.name);
    }
}
