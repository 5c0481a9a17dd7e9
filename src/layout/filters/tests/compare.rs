//! Comparisons against the engine's own where both must agree, and by value where it goes wrong.

use minijinja::{Environment, UndefinedBehavior, context};
use proptest::prelude::*;

use super::super::scan::spell_out_comparisons;
use super::*;

/// The fields of the sample that hold decimal numbers.
const FIELDS: &[&str] = &["price", "total"];

/// An expression with its comparisons spelled out.
fn spell(expression: &str) -> String {
    spell_out_comparisons(expression, Written::Expression, FIELDS)
        .unwrap_or_else(|| expression.to_owned())
}

/// What an expression says whose comparisons are spelled out.
fn judge(expression: &str) -> String {
    say(&spell(expression))
}

#[test]
fn comparisons_are_spelled_out_where_they_stand() {
    for (source, spelled) in [
        ("a > 1", "COMPARE(a, '>', 1)"),
        ("a>1", "COMPARE(a, '>', 1)"),
        ("not a | length > 1 and b", "not COMPARE(a | length, '>', 1) and b"),
        ("1 < a <= x.y", "COMPARE(1, '<', a, '<=', x.y)"),
        ("(a > 1) == b", "COMPARE((COMPARE(a, '>', 1)), '==', b)"),
        ("a[b > 1] > 2", "COMPARE(a[COMPARE(b, '>', 1)], '>', 2)"),
        ("a if b == 1 else c != 2", "a if COMPARE(b, '==', 1) else COMPARE(c, '!=', 2)"),
        ("f(x=a > 1, *b)", "f(x=COMPARE(a, '>', 1), *b)"),
        ("{'k': a > 1}", "{'k': COMPARE(a, '>', 1)}"),
        ("a in b", "a in b"),
        ("a in b == c", "COMPARE(a, 'in', b, '==', c)"),
        ("a not in b == c", "COMPARE(a, 'not in', b, '==', c)"),
        ("a is not in b or a is gt 3", "a is not in b or a is gt 3"),
        ("a is odd == b is not even", "COMPARE(a is odd, '==', b is not even)"),
        ("x.price == '9'", "COMPARE(x.price, '==#', '9')"),
        ("x.own.price == '9'", "COMPARE(x.own.price, '==', '9')"),
        ("'9' != (a | round(2))", "COMPARE('9', '!=#', (a | round(2)))"),
        ("x.is not in b == 1", "COMPARE(x.is, 'not in', b, '==', 1)"),
        ("items[0 + 1].price == '9'", "COMPARE(items[0 + 1].price, '==#', '9')"),
        ("x ~ items[0].price == '9'", "COMPARE(x ~ items[0].price, '==', '9')"),
        ("x.if > 1", "COMPARE(x.if, '>', 1)"),
        ("'a > b' ~ c", "'a > b' ~ c"),
    ] {
        assert_eq!(spell(source), spelled, "{source}");
    }
    let template = |source: &str| {
        spell_out_comparisons(source, Written::Template, FIELDS)
            .unwrap_or_else(|| source.to_owned())
    };
    for (source, spelled) in [
        ("a > b {{ c > 1 }} d", "a > b {{ COMPARE(c, '>', 1) }} d"),
        (
            "{%- if c > 1 -%}x{% elif d == 2 %}y{% endif %}",
            "{%- if COMPARE(c, '>', 1) -%}x{% elif COMPARE(d, '==', 2) %}y{% endif %}",
        ),
        (
            "{% for a in b if a > 1 %}{{ a }}{% endfor %}",
            "{% for a in b if COMPARE(a, '>', 1) %}{{ a }}{% endfor %}",
        ),
        (
            "{% set a = b > 1 %}{% set c = d in e == f %}",
            "{% set a = COMPARE(b, '>', 1) %}{% set c = COMPARE(d, 'in', e, '==', f) %}",
        ),
        (
            "{# a > b #}{% raw %}{{ a > b }}{% endraw %}",
            "{# a > b #}{% raw %}{{ a > b }}{% endraw %}",
        ),
        ("{{ a > 1 }}{{ (b }}", "{{ COMPARE(a, '>', 1) }}{{ (b }}"),
    ] {
        assert_eq!(template(source), spelled, "{source}");
    }
}

#[test]
fn amounts_compare_by_their_value() {
    // What it guards against: to the engine every text comes after every number.
    assert_eq!(say("'9.00' > 100 or true"), "True");
    for (holds, fails) in [
        ("'9.00' > 8", "'9.00' > 100"),
        ("'9.00' <= 9.0", "'9.00' < 9"),
        ("100 > '9.00'", "'100' < '9.00'"),
        ("priced[0].price == 48.750", "priced[0].price == 48.7"),
        ("priced[1].price == '12.50'", "priced[1].price != '12.50'"),
        ("(priced | sum_of('qty')) > 2", "(priced | sum_of('qty') | round) > 3"),
        ("(priced | sum_of('total') | minus(110)) == 0", "(count | minus('12.0')) != 0"),
        (
            "priced | map(attribute='price') | max < 50",
            "priced | map(attribute='price') | max > 50",
        ),
        (
            "items | map(attribute='price') | min == 12.5",
            "items | map(attribute='price') | min < 12",
        ),
        ("'1.10' != '1.1'", "'007' == 7"),
        ("'20457' == 20457", "'a' == 7"),
        ("5 < '9.00' < '10.5'", "5 < '9.00' < '8.5'"),
        ("'b' > 'a'", "'2026-11-30' > '2026-12-01'"),
        ("-'1' | minus(0) < 0 if false else true", "empty > 3"),
        ("empty != 0", "empty < 3"),
        ("'9' is gt 8.5 and '9' is lessthan('10')", "'9.00' is greaterthan(100)"),
        ("'9.00' is equalto 9 and '9' is ne 8", "'9' is ge(10)"),
    ] {
        assert_eq!(
            (judge(holds), judge(fails)),
            ("True".into(), "False".into()),
            "{holds}; {fails}"
        );
    }
    let count = |test: &str| say(&format!("items | selectattr('price', {test}) | list | length"));
    assert_eq!([count("'gt', 20"), count("'>', '9.5'"), count("'eq', 12.50")], ["1", "2", "1"]);
}

#[test]
fn lists_of_amounts_are_in_order() {
    let titles = |sorted: &str| say(&format!("{sorted} | map(attribute='title') | join(', ')"));
    assert_eq!(say("['9.50', '10', 9] | sort | join(' ')"), "9 9.50 10");
    assert_eq!(say("['9.50', '', '10'] | sort(reverse=true) | join(' ')"), "10 9.50 ");
    assert_eq!(say("['9.50', '10', ''] | max"), "10");
    assert_eq!(say("['9.50', '10', ''] | min"), "9.50");
    assert_eq!(say("['b', '10', 'a'] | sort | join(' ')"), "10 a b");
    assert_eq!(titles("items | sort(attribute='price')"), "Ink, kelp green, Restored pen, Blotter");
    assert_eq!(
        titles("(priced + priced) | sort(attribute='price, title', reverse=true)"),
        "Restored pen, Restored pen, Ink, kelp green, Ink, kelp green"
    );
    assert_eq!(say("(items | max(attribute='total')).title"), "Restored pen");
}

#[test]
fn what_cannot_be_compared_is_told() {
    for (expression, said) in [
        (
            "'abc' > 3",
            "`>` cannot compare the text `abc` with the number `3` / \
             name a value that is a number, or compare text with `==`",
        ),
        (
            "items > 3",
            "`>` compares two numbers or two texts, found a list and `3` / \
             count a list: `(items | length) > 2`",
        ),
        (
            "'1' < items[0]",
            "`<` compares two numbers or two texts, found `1` and a group of fields",
        ),
        ("items[0].colour == 1", "undefined value"),
        ("items[0].colour < 1", "undefined value"),
    ] {
        assert_eq!(fail(&spell(expression)), said, "{expression}");
    }
}

/// Expressions of whole numbers with comparisons in them.
fn expressions() -> impl Strategy<Value = String> {
    let leaf = prop_oneof![
        (0..4_i32).prop_map(|number| number.to_string()),
        "[abc]",
        Just("-a".to_owned()),
        Just("m.in".to_owned()),
    ];
    leaf.prop_recursive(4, 24, 3, |inner| {
        let sign = prop::sample::select(vec!["==", "!=", "<", "<=", ">", ">="]);
        let (one, two, three) = (inner.clone(), inner.clone(), inner.clone());
        prop_oneof![
            (one, sign.clone(), two).prop_map(|(a, sign, b)| format!("{a} {sign} {b}")),
            (inner.clone(), sign, inner.clone(), three)
                .prop_map(|(a, sign, b, c)| format!("{a}{sign}{b} < {c}")),
            (inner.clone(), inner.clone()).prop_map(|(a, b)| format!("({a}) in [{b}, 1]")),
            (inner.clone(), inner.clone()).prop_map(|(a, b)| format!("({a}) not in [{b}] == true")),
            (inner.clone(), inner.clone()).prop_map(|(a, b)| format!("{a} and {b}")),
            (inner.clone(), inner.clone()).prop_map(|(a, b)| format!("({a}) + [({b}), 2][1]")),
            (inner.clone(), inner.clone(), inner.clone())
                .prop_map(|(a, b, c)| format!("({a} if {b} else {c})")),
            inner.clone().prop_map(|a| format!("not {a}")),
            inner.clone().prop_map(|a| format!("({a})")),
            inner.clone().prop_map(|a| format!("({a}) is not in [1]")),
            inner.prop_map(|a| format!("({a}) is odd or dict(is={a}).is")),
        ]
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn whole_numbers_compare_as_the_engine_says(expression in expressions()) {
        let mut plain = Environment::new();
        plain.set_undefined_behavior(UndefinedBehavior::Strict);
        let values = context! { a => 1, b => 2, c => 3, m => context! { in => 2 } };
        let known = ["a", "b", "c", "m", "dict"];
        let compiled = plain.compile_expression(&expression);
        // After an operator the engine takes `not` for a name, which no layout passes with.
        let names = compiled.as_ref().map(|it| it.undeclared_variables(false)).unwrap_or_default();
        prop_assume!(names.iter().all(|name| known.contains(&&**name)));
        if let Ok(meant) = compiled {
            let meant = meant.eval(&values).map(|value| value.to_string());
            let engine = engine();
            let spelled = spell(&expression);
            let found = engine.compile_expression(&spelled).and_then(|it| it.eval(&values));
            // A list is compared with a number by nobody who means it.
            let is_refused = found.as_ref().is_err_and(|error| {
                error.detail().is_some_and(|detail| detail.contains("compares two numbers"))
            });
            let found = found.map(|value| value.to_string());
            prop_assert!(is_refused || meant.ok() == found.ok(), "{expression} as {spelled}");
        }
        let template = format!("{{{{ {expression} }}}} {{% if {expression} %}}x{{% endif %}}");
        if let Ok(meant) = plain.render_str(&template, &values) {
            let spelled = spell_out_comparisons(&template, Written::Template, FIELDS);
            let found = engine().render_str(spelled.as_deref().unwrap_or(&template), &values);
            let is_refused = found.as_ref().is_err_and(|error| {
                error.detail().is_some_and(|detail| detail.contains("compares two numbers"))
            });
            prop_assert!(is_refused || Some(meant) == found.ok(), "{template}");
        }
    }
}
