//! Names found by the scan against what the engine says when it runs the same source.

use minijinja::ErrorKind;
use proptest::prelude::*;

use super::super::tests::{engine, render, say};
use super::*;

/// The unknown names of a source, and what stands at their places.
fn unknown(source: &str, written: Written) -> Vec<(NameKind, String)> {
    find_unknown_filters(&engine(), source, written)
        .into_iter()
        .map(|named| {
            assert_eq!(source[named.range.clone()], named.name);
            (named.kind, named.name)
        })
        .collect()
}

#[test]
fn unknown_filters_are_found_before_the_run() {
    for (source, names) in [
        ("{{ 'a' | uper }}", vec!["uper"]),
        ("{{'a'|upper|lowr}}", vec!["lowr"]),
        ("{{- 'a' | uper -}}", vec!["uper"]),
        ("{{ {'k': {'l': 'a' | uper}} }}", vec!["uper"]),
        ("{{ 'a | uper' | upper }} | uper", vec![]),
        ("{{ 'it\\'s | uper' | lowr }}", vec!["lowr"]),
        ("{# {{ 'a' | uper }} #}{{ 'a' | upper }}", vec![]),
        ("{% raw %}{{ 'a' | uper }}{% endraw %}{{ 'a' | lowr }}", vec!["lowr"]),
        ("{%- raw -%}{{ 'a' | uper }}{%- endraw -%}", vec![]),
        ("{% filter uper %}a{% endfilter %}", vec!["uper"]),
        ("{% filter upper | lowr %}a{% endfilter %}", vec!["lowr"]),
        ("{% set x | uper %}a{% endset %}", vec!["uper"]),
        ("{% if count is od %}a{% endif %}", vec!["od"]),
        ("{% if count is not od %}a{% endif %}", vec!["od"]),
        ("{% if (1 + 2) is od or count is even %}a{% endif %}", vec!["od"]),
        ("{{ items | map('uper') | join }}", vec!["uper"]),
        ("{{ [1] | select('od') | join }}", vec!["od"]),
        ("{{ items | selectattr('qty', 'od') | length }}", vec!["od"]),
        ("{{ items | map(attribute='title') | join_given }}", vec![]),
        ("{{ 'a' | my.filter }}", vec!["my.filter"]),
        ("{ | uper } 100 % | {{ 'ü' | lowr }}", vec!["lowr"]),
        ("{{ 1.5 | uper }}", vec!["uper"]),
        ("{{ '12.50' | float }}{{ '12.50' | int }}{{ [1] | sum }}", vec!["float", "int", "sum"]),
        ("{{ 'a' ~ \"b | uper\" }}{{ {'is': 1}.is }}{{ dict(is=1) | length }}", vec![]),
    ] {
        let found = unknown(source, Written::Template);
        let found_names: Vec<&str> = found.iter().map(|(_, name)| name.as_str()).collect();
        assert_eq!(found_names, names, "{source}");
        // The engine finds the first of them when it runs.
        match (render(source), names.first()) {
            (Ok(_), None) => {}
            (Err(error), Some(name)) => {
                let kinds = [ErrorKind::UnknownFilter, ErrorKind::UnknownTest];
                assert!(kinds.contains(&error.kind()), "{source}: {error}");
                // Of a name in an argument it tells no more than that.
                assert!(error.detail().is_none_or(|said| said.contains(name)), "{source}: {error}");
            }
            (outcome, _) => panic!("{source}: {outcome:?}"),
        }
    }
    let both = vec![(NameKind::Filter, "lenth".into()), (NameKind::Test, "evn".into())];
    assert_eq!(unknown("items | lenth is evn and '}} | x'", Written::Expression), both);
    // Where the syntax is broken, the engine has the word; the scan only must not fail.
    for broken in ["{{ 'a", "{# ", "{% raw %}", "{{ a | ", "{{ a | é }}", "{", "{{ '\\"] {
        assert_eq!(unknown(broken, Written::Template), [], "{broken}");
    }
}

#[test]
fn unknown_names_come_with_a_way_out() {
    let explain = |source: &str| {
        let found = find_unknown_filters(&engine(), source, Written::Expression);
        format!("{} / {}", found[0].message(), found[0].hint().unwrap_or_default())
    };
    for (source, said) in [
        ("a | mony('EUR')", "there is no filter `mony` / did you mean `money`?"),
        ("a | sumof('total')", "there is no filter `sumof` / did you mean `sum_of`?"),
        ("a | uper", "there is no filter `uper` / did you mean `upper`?"),
        ("a is ood", "there is no test `ood` / did you mean `odd`?"),
        ("a | quux", "there is no filter `quux` / "),
        (
            "a | float",
            "there is no filter `float` / numbers stay exact without it; \
             reckon with `plus`, `minus`, `times` and `round`",
        ),
        ("a | int", "there is no filter `int` / it would drop decimals unseen; write `round`"),
        (
            "a | sum(attribute='total')",
            "there is no filter `sum` / write `sum_of`, as in `items | sum_of('total')`",
        ),
    ] {
        assert_eq!(explain(source), said);
    }
}

#[test]
fn operators_beside_numbers_in_text_are_found() {
    // What it guards against.
    assert_eq!(say("priced[0].price * 2"), "48.7548.75");
    assert_eq!(say("priced[0].price + priced[1].price"), "48.7512.5");
    let found = |source: &str| -> Vec<String> {
        find_text_arithmetic(source, Written::Template, &["price", "total"])
            .iter()
            .map(|fault| {
                assert_eq!(source[fault.range.clone()], fault.operator);
                format!("{} {}", fault.operand, fault.operator)
            })
            .collect()
    };
    for (source, faults) in [
        ("{{ item.price * item.qty }}", vec!["item.price *"]),
        ("{{ item.qty * item.price }}", vec!["item.price *"]),
        ("{{ item.price + item.total }}", vec!["item.price +"]),
        ("{% if item.price > 100 %}a{% endif %}", vec![]),
        ("{{ item.own.price * 2 }}", vec![]),
        ("{{ items | sum_of('total') + 4 }}", vec!["sum_of('total') +"]),
        ("{{ item.price | times(item.qty) - 1 }}", vec!["times(item.qty) -"]),
        ("{{ '2.5' | round / 2 }}", vec!["round /"]),
        ("{{ item.price | times(item.qty) | money(currency) }}", vec![]),
        ("{{ item.price -}} - {{- item.total ~ '-' ~ price }}", vec![]),
        ("{{ 'item.price * 2' if item.price == '' else item.qty * 2 }}", vec![]),
        ("{{ item.price | money(currency) ~ ' + ' ~ item.total }}", vec![]),
        ("{{ (items | sum_of('qty')) }} {{ [item.price, -1] }}", vec![]),
    ] {
        assert_eq!(found(source), faults, "{source}");
    }
    let faults = find_text_arithmetic("item.price*2", Written::Expression, &["price"]);
    assert_eq!(
        format!("{} / {}", faults[0].message(), faults[0].hint()),
        "`item.price` is a decimal number in text, which `*` cannot reckon with / \
         write `item.price | times(…)`"
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(500))]

    #[test]
    fn the_scan_takes_any_source(source in "[{}%#'\"|a-c. is<=()\\\\é-]{0,40}") {
        for written in [Written::Template, Written::Expression] {
            spell_out_comparisons(&source, written, &["a"]);
            for named in find_unknown_filters(&engine(), &source, written) {
                prop_assert_eq!(&source[named.range], named.name.as_str());
            }
            find_text_arithmetic(&source, written, &["a"]);
        }
    }
}
