//! The filters run inside the engine: outcomes case by case, error texts whole, tables that hold.

use minijinja::{AutoEscape, Environment, Error, ErrorKind, UndefinedBehavior, Value};

use super::table::{OTHER_BUILTINS, TESTS};
use super::*;
use crate::language::WordTable;

mod compare;
mod properties;
mod words;

/// An engine as layouts have it.
pub(super) fn engine() -> Environment<'static> {
    let mut env = Environment::new();
    env.set_undefined_behavior(UndefinedBehavior::Strict);
    env.set_auto_escape_callback(|_| AutoEscape::None);
    env.set_fuel(Some(100_000));
    env.set_debug(true);
    add_filters(&mut env);
    env
}

/// The items of an order for two restored pens and a bottle of ink.
fn sample() -> Value {
    let item = |title: &str, qty: u32, price: &str, total: &str, weight: Value| {
        Value::from_pairs([
            ("title", Value::from(title)),
            ("qty", Value::from(qty)),
            ("price", Value::from(price)),
            ("total", Value::from(total)),
            ("weight_g", weight),
        ])
    };
    let items = vec![
        item("Restored pen", 2, "48.75", "97.50", Value::from(32)),
        item("Ink, kelp green", 1, "12.5", "12.5", Value::from(180)),
        item("Blotter", 3, "", "", Value::from("")),
    ];
    Value::from_pairs([
        ("items", Value::from(items.clone())),
        ("priced", Value::from(items[..2].to_vec())),
        ("currency", Value::from("EUR")),
        ("placed", Value::from("2026-11-25T18:30:00+01:00")),
        ("extras", Value::from(vec!["tracked", "", " ", "signed for"])),
        ("empty", Value::from("")),
        ("count", Value::from(12)),
        ("words", words()),
    ])
}

/// The English words.
fn words() -> Value {
    let table = WordTable::shipped("en").unwrap();
    Value::from_pairs(table.entries().map(|(key, phrase)| (key.to_owned(), phrase_value(phrase))))
}

/// What a template says.
pub(super) fn render(template: &str) -> Result<String, Error> {
    let values = CutLog::default().attach(&sample());
    engine().render_named_str("test", template, values)
}

/// What an expression inside a template says.
pub(super) fn say(expression: &str) -> String {
    let template = format!("{{{{ {expression} }}}}");
    render(&template).unwrap_or_else(|error| panic!("{template}: {error}"))
}

/// The message and the way out of an expression that fails.
fn fail(expression: &str) -> String {
    let template = format!("{{{{ {expression} }}}}");
    let error = match render(&template) {
        Ok(text) => panic!("{template} gave {text}"),
        Err(error) => error,
    };
    let message = error.detail().map_or_else(|| error.kind().to_string(), str::to_owned);
    match filter_hint(&error) {
        Some(hint) => format!("{message} / {hint}"),
        None => message,
    }
}

/// Text with its no-break spaces shown as `_`.
fn visible(text: &str) -> String {
    text.replace('\u{a0}', "_")
}

#[test]
fn every_filter_of_the_tables_works_as_its_example_says() {
    for filter in FILTERS.iter().chain(BUILTIN_FILTERS) {
        assert_eq!(render(filter.example).unwrap(), filter.output, "{}", filter.name);
        assert!(filter.example.contains(&format!("| {}", filter.name)), "{}", filter.name);
        assert!(filter.call.starts_with(filter.name), "{}", filter.name);
        assert!(filter.doc.ends_with('.') && !filter.doc.contains("  "), "{}", filter.name);
    }
    assert!(FILTERS.is_sorted_by(|a, b| a.name < b.name));
    assert!(BUILTIN_FILTERS.is_sorted_by(|a, b| a.name < b.name));
    assert!(OTHER_BUILTINS.is_sorted() && TESTS.is_sorted() && NUMBER_FILTERS.is_sorted());
}

#[test]
fn the_tables_name_what_the_engine_has_and_nothing_twice() {
    let env = engine();
    let has = |question: &str, name: &str| {
        env.empty_state().perform_test(question, &[Value::from(name)]).unwrap()
    };
    let mut names: Vec<&str> =
        FILTERS.iter().chain(BUILTIN_FILTERS).map(|filter| filter.name).collect();
    names.extend(OTHER_BUILTINS);
    names.sort_unstable();
    assert!(names.windows(2).all(|pair| pair[0] != pair[1]));
    assert!(names.iter().all(|name| has("filter", name)));
    assert!(TESTS.iter().all(|name| has("test", name)));
    // Those taken away were there, so that a new release of the engine that renames one is seen.
    for (name, _) in REMOVED {
        assert!(!has("filter", name), "{name}");
        let plain = Environment::new();
        let mut state = plain.empty_state();
        assert!(state.perform_test("filter", &[Value::from(*name)]).unwrap(), "{name}");
    }
    let ours: Vec<&str> = FILTERS.iter().map(|filter| filter.name).collect();
    assert!(NUMBER_FILTERS.iter().all(|name| ours.contains(name)));
}

#[test]
fn money_is_written_in_six_languages() {
    // The forms of the Unicode CLDR as PyPI's Babel 2.18.0 writes them, `_` for every no-break
    // space, narrow or not.
    for (language, euros, negative, millions) in [
        ("en", "€1,234.50", "-€1,234.50", "€1,234,567.00"),
        ("de", "1.234,50_€", "-1.234,50_€", "1.234.567,00_€"),
        ("fr", "1_234,50_€", "-1_234,50_€", "1_234_567,00_€"),
        // No groups before there are two digits in front of one: CLDR's `minimumGroupingDigits`,
        // which Babel does not heed, as npm's cldr-numbers-full 48.2.0 has it.
        ("es", "1234,50_€", "-1234,50_€", "1.234.567,00_€"),
        ("it", "1234,50_€", "-1234,50_€", "1.234.567,00_€"),
        ("nl", "€_1.234,50", "€_-1.234,50", "€_1.234.567,00"),
    ] {
        let written =
            |amount: &str| visible(&say(&format!("{amount} | money('EUR', '{language}')")));
        assert_eq!(written("'1234.5'"), euros);
        assert_eq!(written("'-1234.50'"), negative);
        assert_eq!(written("1234567"), millions);
    }
    assert_eq!(say("'2' | money(currency, language='nl')"), "€\u{a0}2,00");
}

#[test]
fn a_page_in_a_language_has_its_figures_dates_and_measures_without_being_told() {
    let say_in = |tag: &str, template: &str| {
        let values = minijinja::context! { language => tag, placed => "2026-11-05" };
        visible(&engine().render_str(template, values).unwrap())
    };
    let all = "{{ '1234.5' | money('EUR') }}; {{ placed | day }}; {{ '12345.5' | number }}; \
               {{ 1250 | grams }}; {{ placed | plus_days(30) | day('short') }}";
    for (tag, written) in [
        ("en", "€1,234.50; 5 November 2026; 12,345.5; 1.25 kg; 5 Dec 2026"),
        ("de", "1.234,50_€; 5. November 2026; 12.345,5; 1,25 kg; 5. Dez. 2026"),
        ("pl", "1234,50_€; 5 listopada 2026; 12_345,5; 1,25 kg; 5 gru 2026"),
        ("ja", "€1,234.50; 2026年11月5日; 12,345.5; 1.25 kg; 2026年12月5日"),
        ("hi", "€1,234.50; 5 नवंबर 2026; 12,345.5; 1.25 कि॰ग्रा॰; 5 दिस॰ 2026"),
        ("de-CH", "EUR_1'234.50; 5. November 2026; 12'345.5; 1.25 kg; 5. Dez. 2026"),
    ] {
        assert_eq!(say_in(tag, all), written, "{tag}");
    }
    assert_eq!(say_in("de", "{{ '2.5' | money('EUR', 'en') }}"), "€2.50");
}

#[test]
fn words_are_filled_or_say_what_they_lack() {
    for (expression, said) in [
        ("words.quantity", "Quantity"),
        ("words.quantity | fill(count=2)", "Quantity"),
        ("words.page_of | fill(page=1, pages='12')", "1 of 12"),
        ("words.set_aside | fill(count=1)", "1 order was set aside"),
        ("words.set_aside | fill(count=count)", "12 orders were set aside"),
    ] {
        assert_eq!(say(expression), said);
    }
    for (expression, said) in [
        (
            "words.page_of | fill(page=1)",
            "this word needs a value for `pages` / \
             name it in the brackets: `fill(pages=…)`; the word's gaps are `page`, `pages`",
        ),
        (
            "words.parcels_noun | fill(n=1)",
            "this word needs a value for `count` / name it in the brackets: `fill(count=…)`",
        ),
        (
            "words.page_of | fill(page=1, pages=items)",
            "expected text or a whole number for `pages`, found a list",
        ),
        (
            "items | fill(count=1)",
            "expected a word for `fill`, found a list / \
             put a word before it: `words.page_of | fill(page=page, pages=pages)`",
        ),
    ] {
        assert_eq!(fail(expression), said);
    }
    // A gap is never printed.
    for expression in ["words.page_of", "[words.page_of] | join_given", "words.set_aside ~ '.'"] {
        let error = find_unfilled(&say(expression)).unwrap();
        assert_eq!(
            error.detail(),
            Some("a word with gaps, or with forms for a count, is printed as it is")
        );
    }
    assert!(find_unfilled("Dear {name},").is_none());
}

#[test]
fn money_has_the_decimals_of_its_currency_and_loses_none() {
    for (amount, currency, written) in [
        ("12.5", "EUR", "€12.50"),
        ("0", "EUR", "€0.00"),
        ("-0.00", "EUR", "€0.00"),
        ("0.05", "GBP", "£0.05"),
        ("999.99", "USD", "$999.99"),
        ("12.50", "CHF", "CHF_12.50"),
        ("-12.50", "CHF", "CHF_-12.50"),
        ("12.50", "CAD", "CA$12.50"),
        ("-12.50", "CAD", "-CA$12.50"),
        // None, three, and the two that are said when nothing else is: ISO 4217.
        ("1200", "JPY", "¥1,200"),
        ("1200.00", "JPY", "¥1,200"),
        ("1.5", "KWD", "KWD_1.500"),
        ("1", "TND", "TND_1.000"),
        ("7", "MGA", "MGA_7.00"),
        // More decimals than the currency has.
        ("12.505", "EUR", "€12.505"),
        ("12.5000", "EUR", "€12.50"),
        ("100.5", "JPY", "¥100.5"),
        ("0.00001", "USD", "$0.00001"),
        ("79228162514264337593543950335", "XAF", "XAF_79,228,162,514,264,337,593,543,950,335"),
    ] {
        assert_eq!(visible(&say(&format!("'{amount}' | money('{currency}')"))), written);
    }
    assert_eq!(say("empty | money(currency)"), "");
    assert_eq!(say("'  ' | money('')"), "");
}

#[test]
fn a_sign_that_could_be_anothers_says_whose_it_is() {
    // As the Unicode CLDR has them; codes in place of signs of letters that most languages have.
    for (language, dollars, pounds, yen, canadian, francs) in [
        ("en", "$12.50", "£12.50", "¥1,250", "CA$12.50", "XPF_12"),
        ("de", "12,50_$", "12,50_£", "1.250_¥", "12,50_CA$", "12_XPF"),
        ("fr", "12,50_$US", "12,50_£GB", "1_250_JPY", "12,50_$CA", "12_FCFP"),
        ("es", "12,50_US$", "12,50_GBP", "1250_JPY", "12,50_CAD", "12_XPF"),
        ("it", "12,50_USD", "12,50_£", "1250_JPY", "12,50_CA$", "12_XPF"),
        ("nl", "US$_12,50", "£_12,50", "JP¥_1.250", "C$_12,50", "XPF_12"),
    ] {
        for (amount, currency, written) in [
            ("12.50", "USD", dollars),
            ("12.50", "GBP", pounds),
            ("1250", "JPY", yen),
            ("12.50", "CAD", canadian),
            ("12", "XPF", francs),
        ] {
            let said = visible(&say(&format!("'{amount}' | money('{currency}', '{language}')")));
            assert_eq!(said, written, "{language}");
        }
    }
}

#[test]
fn groups_begin_where_the_language_begins_them() {
    for (language, amount, written) in [
        ("es", "9999", "9999,00_€"),
        ("es", "10000", "10.000,00_€"),
        ("it", "9999", "9999,00_€"),
        ("it", "-10000", "-10.000,00_€"),
        ("de", "1000", "1.000,00_€"),
        ("de", "999", "999,00_€"),
    ] {
        assert_eq!(visible(&say(&format!("'{amount}' | money('EUR', '{language}')"))), written);
    }
}

#[test]
fn faults_of_money() {
    for (expression, said) in [
        (
            "'12,50' | money('EUR')",
            "expected a number for `money`, found `12,50` / write it with a point: `12.50`",
        ),
        (
            "'1.234,50' | money('EUR')",
            "expected a number for `money`, found `1.234,50` / \
             write digits with a point before the decimals: `12.50`",
        ),
        (
            "12.5 | money('EUR')",
            "expected an exact number for `money`, found the binary fraction `12.5` / \
             put it in quotes: `'12.5'`",
        ),
        ("true | money('EUR')", "expected a number for `money`, found `true`"),
        ("items | money('EUR')", "expected a number for `money`, found a list"),
        ("'12.50' | money('eur')", "there is no currency `eur` / did you mean `EUR`?"),
        (
            "'12.50' | money('€€€€')",
            "there is no currency `€€€€` / use its three capitals in ISO 4217, such as `EUR` or `USD`",
        ),
        (
            "'12.50' | money(empty)",
            "the amount `12.50` has no currency / \
             give the order a `currency`, or name it here: `money('EUR')`",
        ),
        (
            "'12.50' | money",
            "the amount `12.50` has no currency / \
             give the order a `currency`, or name it here: `money('EUR')`",
        ),
        (
            "'12.50' | money('EUR', 'xx')",
            "there is no language `xx` for amounts and dates / \
             write its two letters, such as `de` or `pt-PT`",
        ),
        (
            "'99999999999999999999999999999999' | money('EUR')",
            "`99999999999999999999999999999999` has more digits than `money` can keep exactly / \
             shorten it to 28 digits",
        ),
    ] {
        assert_eq!(fail(expression), said);
    }
    let error = render("{{ items[0].prize | money('EUR') }}").unwrap_err();
    assert_eq!(error.kind(), ErrorKind::UndefinedError);
}

#[test]
fn sums_are_exact_and_say_what_they_lack() {
    assert_eq!(say("priced | sum_of('total')"), "110.00");
    assert_eq!(say("items | sum_of('total', missing='skip') | money(currency)"), "€110.00");
    assert_eq!(say("items | sum_of('qty')"), "6");
    assert_eq!(say("items | map(attribute='qty') | sum_of"), "6");
    assert_eq!(say("[] | sum_of('total')"), "0");
    assert_eq!(say("['0.1', '0.2'] | sum_of"), "0.3");
    assert_eq!(say("[{'a': {'b': '1.5'}}] | sum_of('a.b')"), "1.5");
    assert_eq!(say("items[2:] | sum_of('total', missing='skip') | money(currency)"), "");
    for (expression, said) in [
        (
            "items | sum_of('total')",
            "entry 3, `Blotter`, has no `total` to sum up / \
             fill it in, or leave such entries out: `sum_of('total', missing='skip')`",
        ),
        (
            "['1', ''] | sum_of",
            "entry 2 has no value to sum up / \
             fill it in, or leave such entries out: `sum_of(missing='skip')`",
        ),
        (
            "items | sum_of('totl')",
            "entry 1, `Restored pen`, has no field `totl` / did you mean `total`?",
        ),
        (
            "items | sum_of('total', missing='drop')",
            "expected `skip` for `missing`, found `drop` / \
             write `missing='skip'`, or leave it out",
        ),
        (
            "[{'id': 'TH-1', 'total': '7 EUR'}] | sum_of('total')",
            "entry 1, `TH-1`, of the list: expected a number for `sum_of`, found `7 EUR` / \
             write digits with a point before the decimals: `12.50`",
        ),
        (
            "'12' | sum_of",
            "expected a list for `sum_of`, found `12` / \
             put a list before it, as in `items | sum_of(…)`",
        ),
        (
            "['79228162514264337593543950335', '1'] | sum_of",
            "`79228162514264337593543950335 + 1` has more digits than `sum_of` can keep exactly / \
             shorten it to 28 digits",
        ),
    ] {
        assert_eq!(fail(expression), said);
    }
    assert_eq!(
        render("{{ range(60000) | sum_of }} {{ range(60000) | sum_of }}").unwrap_err().kind(),
        ErrorKind::OutOfFuel
    );
}

#[test]
fn numbers_are_reckoned_exactly() {
    for (expression, said) in [
        ("'12.50' | times(3)", "37.50"),
        ("'12.50' | times('0.19') | round(2) | money('EUR')", "€2.38"),
        ("'0.1' | plus('0.2')", "0.3"),
        ("'1' | minus('1.00')", "0.00"),
        ("'0.5' | minus('1')", "-0.5"),
        ("'-0.5' | times('0')", "0.0"),
        ("empty | times(3)", ""),
        ("empty | round(2)", ""),
        ("priced[0].price | times(priced[0].qty)", "97.50"),
        ("'12.345' | round(2)", "12.35"),
        ("'-12.345' | round(2)", "-12.35"),
        ("'12.344999999999999999999999' | round(2)", "12.34"),
        ("'2.5' | round", "3"),
        ("'7' | round(2)", "7.00"),
        ("'0.001' | round(2)", "0.00"),
        ("'-0.001' | round(2)", "0.00"),
        ("12 | round(1)", "12.0"),
        ("12 | round('1')", "12.0"),
    ] {
        assert_eq!(say(expression), said, "{expression}");
    }
    let least = "0.0000000000000000000000000001";
    for (expression, said) in [
        (
            "'12.50' | plus(empty)".to_owned(),
            "expected a number for `plus`, found empty text / \
             say what counts in its place: `… | first_of('0')`",
        ),
        (
            "empty | minus('1')".to_owned(),
            "expected a number for `minus`, found empty text / \
             say what counts in its place: `… | first_of('0')`",
        ),
        (
            "'1' | times(0.5)".to_owned(),
            "expected an exact number for `times`, found the binary fraction `0.5` / \
             put it in quotes: `'0.5'`",
        ),
        (
            format!("'{least}' | times('{least}')"),
            "`0.0000000000000000000000000001 × 0.0000000000000000000000000001` has more digits \
             than `times` can keep exactly / shorten it to 28 digits",
        ),
        (
            format!("'10' | plus('{least}')"),
            "`10 + 0.0000000000000000000000000001` has more digits than `plus` can keep exactly / \
             shorten it to 28 digits",
        ),
        (
            "'1' | round(-1)".to_owned(),
            "expected 0 to 28 decimals for `round`, found `-1` / write `round(2)` for two",
        ),
    ] {
        assert_eq!(fail(&expression), said);
    }
}

#[test]
fn weights_read_well() {
    // 1 lb = 453.59237 g, 1 oz = 28.349523125 g: NIST SP 811, appendix B.
    for (expression, said) in [
        ("430 | grams", "430 g"),
        ("999 | grams", "999 g"),
        ("1000 | grams", "1 kg"),
        ("1250 | grams", "1.25 kg"),
        ("20005 | grams", "20.005 kg"),
        ("'1250.5' | grams", "1.2505 kg"),
        ("0 | grams", "0 g"),
        ("430 | grams('kg')", "0.43 kg"),
        ("1250 | grams('g')", "1250 g"),
        ("430 | grams('lb')", "0.95 lb"),
        ("'453.59237' | grams('lb')", "1.00 lb"),
        ("'28.349523125' | grams('oz')", "1.0 oz"),
        ("430 | grams('oz')", "15.2 oz"),
        ("empty | grams", ""),
        ("items[0].weight_g | times(items[0].qty) | grams", "64 g"),
    ] {
        assert_eq!(say(expression), said);
    }
    assert_eq!(fail("430 | grams('lbs')"), "there is no unit of weight `lbs` / did you mean `lb`?");
    assert_eq!(
        fail("empty | grams('stone')"),
        "there is no unit of weight `stone` / known here: `g`, `kg`, `lb`, `oz`"
    );
}
