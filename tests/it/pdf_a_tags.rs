//! The clauses of `pdf_a` that are about what pages say.

use lopdf::Object;

use crate::pdf_a::{Seen, Verdict, dicts, follow_dict, has_name, holds, no_key, typed};

/// See the table of clauses.
pub(crate) fn check_marked(seen: &Seen) -> Verdict {
    let catalog = seen.document.catalog().map_err(|it| it.to_string())?;
    let marked = follow_dict(seen, catalog, "MarkInfo")?;
    let says = marked.get(b"Marked").and_then(Object::as_bool);
    holds(says.unwrap_or(false), || "the file is not marked".to_owned())
}

/// See the table of clauses. That the tree is whole is tested in `tagged`.
pub(crate) fn check_tree(seen: &Seen) -> Verdict {
    let catalog = seen.document.catalog().map_err(|it| it.to_string())?;
    let root = follow_dict(seen, catalog, "StructTreeRoot")?;
    let good = has_name(root, "Type", "StructTreeRoot") && root.has(b"ParentTree");
    holds(good, || "the tree has no root".to_owned())?;
    let whole = follow_dict(seen, root, "K")?;
    holds(has_name(whole, "S", "Document"), || "the tree is of no document".to_owned())?;
    let pages = typed(seen, "Type", "Page");
    let apart = pages.iter().find(|page| !page.has(b"StructParents"));
    holds(apart.is_none(), || "a page says nothing".to_owned())
}

/// The roles that we give, all of ISO 32000-1 §14.8.4.
const ROLES: [&str; 5] = ["Document", "Sect", "P", "H1", "Figure"];

/// See the table of clauses.
pub(crate) fn check_roles(seen: &Seen) -> Verdict {
    no_key(seen, &["RoleMap", "ClassMap"])?;
    // Output intents name their standard by the same key, and have a type.
    let named = dicts(seen).into_iter().filter(|it| it.has(b"S") && it.has(b"P"));
    for element in named {
        let known = ROLES.iter().any(|role| has_name(element, "S", role));
        holds(known, || format!("the role {:?}", element.get(b"S")))?;
        let figure = has_name(element, "S", "Figure");
        let said = element.get(b"Alt").and_then(Object::as_str).is_ok_and(|it| !it.is_empty());
        holds(figure == said, || "a figure that is not described, or a text that is".to_owned())?;
    }
    Ok(())
}

/// See the table of clauses. RFC 3066: letters, at most eight, then further parts behind hyphens.
pub(crate) fn check_language(seen: &Seen) -> Verdict {
    let catalog = seen.document.catalog().map_err(|it| it.to_string())?;
    let Ok(language) = catalog.get(b"Lang") else { return Ok(()) };
    let language = lopdf::decode_text_string(language).map_err(|it| it.to_string())?;
    let mut parts = language.split('-');
    let fits = |part: &str| (1..=8).contains(&part.len());
    let first =
        parts.next().is_some_and(|it| fits(it) && it.bytes().all(|b| b.is_ascii_alphabetic()));
    let rest = parts.all(|it| fits(it) && it.bytes().all(|b| b.is_ascii_alphanumeric()));
    holds(first && rest, || format!("the language `{language}`"))
}
