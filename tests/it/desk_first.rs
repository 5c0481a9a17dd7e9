//! The first start of a desk: a folder where none is named, and a shop file of six answers.

use std::fs;

use serde_json::{Value, json};

use crate::command::Desk;
use crate::desk_support::OpenDesk;

/// Good answers.
fn answers() -> Value {
    json!({
        "name": "Tern Hollow Pens",
        "street": "7 Saltings Lane",
        "city": "Ternmouth",
        "postcode": "TR77 4NH",
        "country": "GB",
        "contact": "hello@ternhollow.example",
        "language": "en",
        "currency": "GBP",
        "sure": false,
    })
}

/// Sends answers.
fn begin(desk: &OpenDesk, answers: &Value) -> Value {
    desk.json("POST /first/shop", answers.to_string().as_bytes())
}

/// Whether the pages are told of a shop file.
fn has_shop(desk: &OpenDesk) -> Value {
    desk.json("GET /state", b"")["has_shop"].clone()
}

#[test]
fn a_desk_without_a_folder_makes_one_in_the_home_and_finds_it_again() {
    let place = Desk::new();
    for is_there in [false, true] {
        // The test's place is its home, too.
        let desk = OpenDesk::open_as(&place, &["--no-open"]);
        assert_eq!(has_shop(&desk), is_there);
        assert_eq!(desk.json("GET /state", b"")["folder"], "Slipwright");
        if !is_there {
            assert_eq!(begin(&desk, &answers())["exit"], 0);
        }
    }
    assert!(place.path("Slipwright/shop.yaml").exists());
    // Where an evening was begun, the folder is that one.
    let place = Desk::new();
    place.sample("shop.yaml");
    drop(OpenDesk::open_as(&place, &["--no-open"]));
    assert!(!place.path("Slipwright").exists());
}

#[test]
fn six_answers_are_a_shop_file() {
    let place = Desk::new();
    let desk = OpenDesk::open(&place);
    assert_eq!(begin(&desk, &answers()), json!({"exit": 0, "answer": {}, "remarks": []}));
    assert_eq!(has_shop(&desk), true);
    let text = fs::read_to_string(place.path("shop.yaml")).unwrap();
    let (_, said) = text.split_once('\n').unwrap();
    assert_eq!(
        said,
        "name: \"Tern Hollow Pens\"\naddress:\n  lines: [\"7 Saltings Lane\"]\n  \
         city: \"Ternmouth\"\n  postcode: \"TR77 4NH\"\n  country: \"GB\"\n\
         contact: \"hello@ternhollow.example\"\ncurrency: \"GBP\"\nlanguage: \"en\"\n"
    );
    place.sample("evening.json");
    place.done(&["render", "evening.json", "-o", "labels.pdf"]);
}

#[test]
fn a_country_proposes_its_currency_and_papers_have_words_in_some_languages() {
    let place = Desk::new();
    let desk = OpenDesk::open(&place);
    let told = desk.json("GET /first/countries", b"");
    let countries = told["countries"].as_array().unwrap();
    let has = |code: &str, currency: &str| {
        countries.contains(&json!({"code": code, "currency": currency}))
    };
    assert!(has("DE", "EUR") && has("CH", "CHF") && has("GB", "GBP"), "{told}");
    for (list, code) in [("languages", "de"), ("languages", "en"), ("currencies", "EUR")] {
        assert!(told[list].as_array().unwrap().contains(&json!(code)), "{list} {code}");
    }
}

#[test]
fn a_postcode_that_is_none_is_asked_about_once() {
    let place = Desk::new();
    let desk = OpenDesk::open(&place);
    let mut given = answers();
    given["country"] = "DE".into();
    given["postcode"] = "1067".into();
    let told = begin(&desk, &given);
    assert_eq!((&told["exit"], &told["remarks"][0]["severity"]), (&json!(1), &json!("warning")));
    let message = told["remarks"][0]["message"].as_str().unwrap();
    assert!(message.starts_with("expected a postcode of Germany (DE)"), "{message}");
    assert_eq!(has_shop(&desk), false);
    given["sure"] = true.into();
    assert_eq!(begin(&desk, &given)["exit"], 0);
    // The command says it of any shop file.
    place.sample("evening.json");
    let said = place.done(&["check", "evening.json"]).stderr;
    assert!(String::from_utf8(said).unwrap().contains("found `1067`"));
}

#[test]
fn what_looks_like_yaml_or_markup_is_text() {
    let place = Desk::new();
    let desk = OpenDesk::open(&place);
    let evil = "\"Pens\": [a, {b}] # 'no' <script>alert(1)</script> \\ ${x} {{ y }} &z *z !t";
    let mut given = answers();
    given["name"] = evil.into();
    given["street"] = "- 7: Saltings, Lane #2".into();
    assert_eq!(begin(&desk, &given)["exit"], 0);
    let text = fs::read_to_string(place.path("shop.yaml")).unwrap();
    assert!(text.contains(&format!("name: {}\n", Value::from(evil))), "{text}");
    // What can be chosen comes of a shop file that was read.
    assert!(desk.json("GET /state", b"")["shop"].is_object());
}

#[test]
fn a_shop_file_that_is_there_stays() {
    let place = Desk::new();
    let desk = OpenDesk::open(&place);
    place.put("shop.yaml", "name: Mine\n");
    let told = begin(&desk, &answers());
    assert_eq!(told["exit"], 1);
    assert_eq!(told["remarks"][0]["message"], "there is a shop file by now, and it stays as it is");
    assert_eq!(fs::read_to_string(place.path("shop.yaml")).unwrap(), "name: Mine\n");
}

#[test]
fn answers_that_make_no_shop_are_told() {
    let place = Desk::new();
    let desk = OpenDesk::open(&place);
    for (field, answer, said) in [
        ("name", " ", "the shop's name is missing"),
        ("street", "", "street and number is missing"),
        ("city", "", "the town is missing"),
        ("country", "", "the country is missing"),
        ("country", "ZZ", "there is no country `ZZ`"),
    ] {
        let mut given = answers();
        given[field] = answer.into();
        let told = begin(&desk, &given);
        assert_eq!((&told["exit"], &told["answer"]), (&json!(1), &Value::Null), "{field}");
        assert_eq!(told["remarks"][0]["message"], said);
    }
    for body in ["", "[]", "{}", r#"{"name": 1}"#, r#"{"name": "A", "file": "x"}"#] {
        assert_eq!(desk.status("POST /first/shop", "", body.as_bytes()), "400", "{body}");
    }
    assert_eq!(has_shop(&desk), false);
}
