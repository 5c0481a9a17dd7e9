//! The filters as data: their names, what they do, and an example that a test runs.

/// A filter for documentation and hints.
#[derive(Debug)]
pub struct Filter {
    /// What stands behind the bar: `… | name`.
    pub name: &'static str,
    /// Its name with what it takes; a question mark follows what may be left out.
    pub call: &'static str,
    /// What it does, in a sentence or two.
    pub doc: &'static str,
    /// A template that uses it.
    pub example: &'static str,
    /// What that template says; a space in an amount is one that lines are not broken at.
    pub output: &'static str,
}

/// Our filters, by name.
pub const FILTERS: &[Filter] = &[
    Filter {
        name: "by_shelf",
        call: "by_shelf",
        doc: "Items in the order of their `shelf`, as one walks along it: `A2` before `A10`, and \
              last those without one.",
        example: "{{ [{'shelf': 'A10'}, {'shelf': ''}, {'shelf': 'a2'}] | by_shelf \
                  | map(attribute='shelf') | join(' ') }}",
        output: "a2 A10 ",
    },
    Filter {
        name: "day",
        call: "day(form?, language?)",
        doc: "A date in words: `long` (when nothing is said), `short`, `numeric`, `month` or `iso`, \
              in the page's language or the one named. A time of day is left out. A date that is \
              not in the calendar is an error; empty text stays empty.",
        example: "{{ '2026-11-25' | day }}, {{ '2026-11-25' | day('short', 'de') }}",
        output: "25 November 2026, 25. Nov. 2026",
    },
    Filter {
        name: "fill",
        call: "fill(gap=value, …)",
        doc: "A word of `words` with its gaps filled: text as it is, whole numbers in the digits of \
              the page's language. A word that counts takes the form that goes with `count`.",
        example: "{{ words.page_of | fill(page=1, pages=2) }}, {{ words.set_aside | fill(count=1) }}",
        output: "1 of 2, 1 order was set aside",
    },
    Filter {
        name: "first_of",
        call: "first_of(other, …)",
        doc: "The first value that is not empty: the one before the filter, or else one in the \
              brackets. Blank text and empty lists count as empty, `0` does not.",
        example: "{{ '' | first_of('', 'Tern Hollow Pens') }}",
        output: "Tern Hollow Pens",
    },
    Filter {
        name: "grams",
        call: "grams(unit?)",
        doc: "A weight in grams in words: grams below a kilogram, else kilograms, or the unit \
              asked for: `g`, `kg`, `lb` (hundredths) or `oz` (tenths), as the page's language or \
              the `language=` named writes it. Grams and kilograms are exact. Empty text stays \
              empty.",
        example: "{{ 430 | grams }}, {{ 1250 | grams }}, {{ 430 | grams('oz') }}",
        output: "430 g, 1.25 kg, 15.2 oz",
    },
    Filter {
        name: "gs1_link",
        call: "gs1_link(domain)",
        doc: "A bracketed GS1 element string as a GS1 Digital Link, for a QR code. Its check \
              digits are verified. Empty text stays empty.",
        example: "{{ '(01)09501101530003(10)AB12' | gs1_link('example.org') }}",
        output: "https://example.org/01/09501101530003/10/AB12",
    },
    Filter {
        name: "initials",
        call: "initials",
        doc: "The first letter or digit of every word and of every part after a hyphen, as it is \
              written; follow with `upper` for capitals.",
        example: "{{ 'Marie-Luise van Dorn' | initials }}",
        output: "MLvD",
    },
    Filter {
        name: "join_given",
        call: "join_given(joint?)",
        doc: "The values of a list that are not empty, joined by a comma or what is given.",
        example: "{{ ['tracked', '', 'signed for'] | join_given(' · ') }}",
        output: "tracked · signed for",
    },
    Filter {
        name: "minus",
        call: "minus(number)",
        doc: "The difference of two decimal numbers, exactly.",
        example: "{{ '12.50' | minus('0.75') }}",
        output: "11.75",
    },
    Filter {
        name: "money",
        call: "money(currency, language?)",
        doc: "An amount with the decimals of its currency (ISO 4217), in the page's language or the \
              one named, with the sign that the currency has in it, such as `£`, `CA$` or `$US`, \
              else its code. More decimals than the currency has are printed, never rounded. Empty \
              text stays empty.",
        example: "{{ '1234.5' | money('EUR') }}, {{ '1234.5' | money('CHF', 'de') }}, \
                  {{ '1234.5' | money('USD', 'es') }}",
        output: "€1,234.50, 1.234,50\u{a0}CHF, 1234,50\u{a0}US$",
    },
    Filter {
        name: "number",
        call: "number(language?)",
        doc: "A decimal number with the marks, groups and digits of the page's language or the one \
              named. Empty text stays empty.",
        example: "{{ '1234.5' | number }}, {{ '1234.5' | number('de') }}",
        output: "1,234.5, 1.234,5",
    },
    Filter {
        name: "plural",
        call: "plural(one, many)",
        doc: "A count and its word: the first for exactly 1, the second for all else. Words that \
              are in every language go under `words`. Empty text stays empty.",
        example: "{{ 1 | plural('parcel', 'parcels') }}, {{ 12 | plural('parcel', 'parcels') }}",
        output: "1 parcel, 12 parcels",
    },
    Filter {
        name: "plus",
        call: "plus(number)",
        doc: "The sum of two decimal numbers, exactly.",
        example: "{{ '12.50' | plus('4') }}",
        output: "16.50",
    },
    Filter {
        name: "plus_days",
        call: "plus_days(days)",
        doc: "The date so many days later, or earlier with a minus, for `day` to write. Empty text \
              stays empty.",
        example: "{{ '2026-11-25' | plus_days(14) | day }}",
        output: "9 December 2026",
    },
    Filter {
        name: "round",
        call: "round(decimals?)",
        doc: "A decimal number rounded to so many decimals, to none when nothing is said; halves \
              go away from zero. Empty text stays empty.",
        example: "{{ '12.345' | round(2) }}",
        output: "12.35",
    },
    Filter {
        name: "shorten",
        call: "shorten(most)",
        doc: "Text of at most so many characters, cut at the end of a word where it can be, with \
              `…` in place of the rest. Every cut is reported in a note.",
        example: "{{ 'Fountain pen, restored' | shorten(14) }}",
        output: "Fountain pen…",
    },
    Filter {
        name: "sum_of",
        call: "sum_of(field?, missing='skip'?)",
        doc: "The exact sum of a field over a list, or of the list's own numbers. An entry \
              without a value is an error, unless `missing='skip'` passes it over; when none has \
              one, the outcome is empty.",
        example: "{{ [{'total': '12.50'}, {'total': '7'}] | sum_of('total') }}",
        output: "19.50",
    },
    Filter {
        name: "times",
        call: "times(number)",
        doc: "The product of two decimal numbers, exactly. Empty text stays empty.",
        example: "{{ '12.50' | times(3) }}",
        output: "37.50",
    },
];

/// The engine's filters that layouts have a use for, by name.
pub const BUILTIN_FILTERS: &[Filter] = &[
    Filter {
        name: "batch",
        call: "batch(count, rest?)",
        doc: "The values of a list in lists of so many, as for rows; `rest` fills up the last.",
        example: "{{ ['nib', 'feed', 'cap'] | batch(2) | first | join(' + ') }}",
        output: "nib + feed",
    },
    Filter {
        name: "capitalize",
        call: "capitalize",
        doc: "The first letter as a capital, the others small.",
        example: "{{ 'fountain PEN' | capitalize }}",
        output: "Fountain pen",
    },
    Filter {
        name: "first",
        call: "first",
        doc: "The first value of a list.",
        example: "{{ ['nib', 'feed', 'cap'] | first }}",
        output: "nib",
    },
    Filter {
        name: "join",
        call: "join(joint?)",
        doc: "The values of a list in one text, empty ones too; see `join_given`.",
        example: "{{ ['nib', 'feed'] | join(' + ') }}",
        output: "nib + feed",
    },
    Filter {
        name: "last",
        call: "last",
        doc: "The last value of a list.",
        example: "{{ ['nib', 'feed', 'cap'] | last }}",
        output: "cap",
    },
    Filter {
        name: "length",
        call: "length",
        doc: "How many values a list has, or characters a text.",
        example: "{{ ['nib', 'feed'] | length }}",
        output: "2",
    },
    Filter {
        name: "lines",
        call: "lines",
        doc: "The lines of a text as a list.",
        example: "{{ 'one\\ntwo' | lines | join(' / ') }}",
        output: "one / two",
    },
    Filter {
        name: "lower",
        call: "lower",
        doc: "All letters small.",
        example: "{{ 'Ink' | lower }}",
        output: "ink",
    },
    Filter {
        name: "map",
        call: "map(attribute='field') or map('filter', …)",
        doc: "A field of every value of a list, or every value passed through a filter.",
        example: "{{ [{'sku': 'A1'}, {'sku': 'B2'}] | map(attribute='sku') | join(', ') }}",
        output: "A1, B2",
    },
    Filter {
        name: "max",
        call: "max or max(attribute='field')",
        doc: "The largest value of a list, or the one whose field is. Amounts go by their value.",
        example: "{{ ['9.50', '10'] | max }}",
        output: "10",
    },
    Filter {
        name: "min",
        call: "min or min(attribute='field')",
        doc: "The smallest value of a list, or the one whose field is. Amounts go by their value.",
        example: "{{ ['9.50', '10'] | min }}",
        output: "9.50",
    },
    Filter {
        name: "reject",
        call: "reject('test', …)",
        doc: "The values of a list that do not pass a test.",
        example: "{{ [1, 2, 3] | reject('odd') | join(', ') }}",
        output: "2",
    },
    Filter {
        name: "replace",
        call: "replace(old, new)",
        doc: "Text with one piece replaced by another wherever it stands.",
        example: "{{ 'A-1-2' | replace('-', '') }}",
        output: "A12",
    },
    Filter {
        name: "reverse",
        call: "reverse",
        doc: "A list from its end to its beginning.",
        example: "{{ [1, 2, 3] | reverse | join(', ') }}",
        output: "3, 2, 1",
    },
    Filter {
        name: "select",
        call: "select or select('test', …)",
        doc: "The values of a list that are not empty, or that pass a test.",
        example: "{{ ['nib', '', 'cap'] | select | join(', ') }}",
        output: "nib, cap",
    },
    Filter {
        name: "selectattr",
        call: "selectattr('field') or selectattr('field', 'test', …)",
        doc: "The values of a list whose field is not empty, or passes a test.",
        example: "{{ [{'qty': 1}, {'qty': 3}] | selectattr('qty', 'greaterthan', 1) | length }}",
        output: "1",
    },
    Filter {
        name: "slice",
        call: "slice(count, rest?)",
        doc: "The values of a list in so many lists, as for columns; `rest` fills up the shorter ones.",
        example: "{{ ['nib', 'feed', 'cap'] | slice(2) | first | join(' + ') }}",
        output: "nib + feed",
    },
    Filter {
        name: "sort",
        call: "sort(attribute='field'?, reverse=true?)",
        doc: "A list in order, by a field of its values if one is named. Amounts sort by their \
              value, empty ones last.",
        example: "{{ ['ink', 'cap', 'nib'] | sort | join(', ') }}",
        output: "cap, ink, nib",
    },
    Filter {
        name: "split",
        call: "split(at?)",
        doc: "The parts of a text as a list, split at white space or what is given.",
        example: "{{ 'A-1' | split('-') | last }}",
        output: "1",
    },
    Filter {
        name: "title",
        call: "title",
        doc: "Every word with a capital.",
        example: "{{ 'fountain pen' | title }}",
        output: "Fountain Pen",
    },
    Filter {
        name: "trim",
        call: "trim",
        doc: "Text without the white space around it.",
        example: "{{ '  ink ' | trim }}",
        output: "ink",
    },
    Filter {
        name: "unique",
        call: "unique",
        doc: "A list with every value once.",
        example: "{{ ['a', 'b', 'a'] | unique | join(', ') }}",
        output: "a, b",
    },
    Filter {
        name: "upper",
        call: "upper",
        doc: "All letters as capitals.",
        example: "{{ 'Ink' | upper }}",
        output: "INK",
    },
];

/// The engine's other filters, which work but are not proposed first.
pub(super) const OTHER_BUILTINS: &[&str] = &[
    "abs",
    "attr",
    "bool",
    "chain",
    "count",
    "d",
    "default",
    "dictsort",
    "e",
    "escape",
    "format",
    "groupby",
    "indent",
    "items",
    "list",
    "pprint",
    "rejectattr",
    "safe",
    "string",
    "zip",
];

/// The tests that can follow `is`.
pub(super) const TESTS: &[&str] = &[
    "boolean",
    "defined",
    "divisibleby",
    "endingwith",
    "eq",
    "equalto",
    "escaped",
    "even",
    "false",
    "filter",
    "float",
    "ge",
    "greaterthan",
    "gt",
    "in",
    "int",
    "integer",
    "iterable",
    "le",
    "lessthan",
    "lower",
    "lt",
    "mapping",
    "ne",
    "none",
    "number",
    "odd",
    "safe",
    "sameas",
    "sequence",
    "startingwith",
    "string",
    "test",
    "true",
    "undefined",
    "upper",
];
