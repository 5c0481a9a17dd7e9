//! `slipwright ledger` as a seller types it: what comes in, the line, and what never goes twice.

use std::fs;

use serde_json::Value;

use crate::evening_support::{Evening, hand_over, order, three, weighing};

#[test]
fn the_same_export_comes_in_every_evening() {
    let evening = three();
    evening.says("line-up TH-1041 TH-1042 --sitting Friday");
    hand_over(&evening, 1);
    evening.says("take-off TH-1043 --because cancelled");
    // Overlapping: two known, one of them changed since, one new, one taken off.
    let mut gone = order("TH-1041", "Ines Marlow", "Heron nib");
    gone["ship_to"]["city"] = "Ashford".into();
    let mut changed = order("TH-1042", "Ada Reed", "Curlew pen");
    changed["items"][0]["qty"] = 2.into();
    let export =
        [gone, changed, order("TH-1043", "Bo Vale", "Ink"), order("TH-1044", "Eve Tarn", "Cap")];
    let told = "4 orders: 1 new, 1 changed, 2 gone before\n\
        changed:\n  TH-1042, parcel 2 `Curlew`, lined up: items[0].qty is `2` now\n\
        gone before; they do not go again:\n  \
        TH-1041: handed over as parcel 1 of sitting 1 on 2026-11-27; changed since: ship_to.city was \
        `Oakhaven`, is `Ashford`\n  TH-1043: taken off: cancelled on 2026-11-27\n";
    assert_eq!(evening.take_in(&export), told);
    // Once more: what was new and what changed is known.
    let said = evening.take_in(&export);
    assert!(said.starts_with("4 orders: 2 known, 2 gone before\n"), "{said}");
    // Neither goes again unless the seller says so.
    let (code, said) = evening.stops("line-up TH-1041");
    assert_eq!(
        (code, &*said),
        (
            1,
            "error: the order `TH-1041` is handed over as parcel 1 of sitting 1\n  help: if it is to go \
             all the same: `slipwright ledger again TH-1041 --because REASON`\n"
        )
    );
    evening.says("again TH-1041 --because \"lost in the post\"");
    let answer = evening.answers("line-up TH-1041");
    assert_eq!(answer["parcels"][0]["number"], 3, "{answer:#}");
}

#[test]
fn ids_that_may_be_one_are_held_back_and_named() {
    let evening = three();
    evening.says("line-up TH-1041 --sitting Friday");
    hand_over(&evening, 1);
    // Another letter case, another prefix, and what a shop makes of an order that it divides.
    let export = ["th-1041", "#1041", "TH-1041-2"].map(|id| order(id, "Ines Marlow", "Heron nib"));
    let said = evening.take_in(&export);
    let place = "which is handed over as parcel 1 of sitting 1";
    assert_eq!(
        said,
        format!(
            "3 orders: 3 held back\nheld back; `slipwright ledger again ID --because REASON` lets one \
             go:\n  th-1041 may be `TH-1041` once more, {place}\n  #1041 may be `TH-1041` once more, \
             {place}\n  TH-1041-2 may be `TH-1041` once more, {place}\n"
        )
    );
    // They wait for the seller's word, not for the line.
    evening.says("line-up --all");
    let answer = evening.answers("list held-back");
    assert_eq!(answer["orders"].as_array().unwrap().len(), 3);
    assert_eq!(answer["orders"][0]["may_be"], "TH-1041");
    let (code, said) = evening.stops("line-up TH-1041-2");
    assert_eq!(code, 1);
    assert!(said.contains("held back: it may be `TH-1041` once more"), "{said}");
    evening.says("again TH-1041-2 --because \"the second half\"");
    evening.says("line-up TH-1041-2");
    // Another buyer's order of the same number is another order.
    let said = evening.take_in(&[order("X-1041", "Bo Vale", "Ink")]);
    assert_eq!(said, "1 order: 1 new\n");
}

/// Two shops may count their orders alike: nothing of what came first is written over.
#[test]
fn another_order_of_the_same_id_is_not_taken_for_it() {
    let evening = three();
    evening.says("line-up TH-1041 --sitting Friday");
    let mut other = order("TH-1041", "Carl Dune", "Ebonite feed");
    other["ship_to"]["lines"] = serde_json::json!(["9 Mole"]);
    other["ship_to"]["city"] = "Elmsea".into();
    let told = "1 order: 1 not taken in\nnot taken in, because another order came in before under its id:\n  \
        TH-1041: this one is for Carl Dune, Elmsea GB (Ebonite feed); the one that came in before, parcel \
        1 `Heron`, lined up, is for Ines Marlow, Oakhaven GB (Heron nib)\n  two orders cannot have one id: \
        let one shop put a letter before its numbers, or join a column that tells the shops apart to the \
        id, `id: {columns: [Shop, Order], join: \"-\"}` in the map\n  if it is the same order, for another \
        buyer elsewhere by now: `take-in` it with `--same ID`\n";
    assert_eq!(evening.take_in(&[other.clone()]), told);
    let answer = evening.answers("list line --full");
    assert_eq!(answer["orders"][0]["name"], "Ines Marlow");
    // As often as it comes, and after the first has gone.
    assert_eq!(evening.take_in(&[other.clone()]), told);
    hand_over(&evening, 1);
    let said = evening.take_in(&[other.clone()]);
    assert!(said.starts_with("1 order: 1 not taken in\n"), "{said}");
    assert!(said.contains("handed over as parcel 1 of sitting 1, is for Ines Marlow"), "{said}");
    // Two shops may sell the same thing.
    let mut alike = other.clone();
    alike["items"] = order("TH-1041", "Carl Dune", "Heron nib")["items"].clone();
    let said = evening.take_in(&[alike.clone()]);
    assert!(said.contains("is for Carl Dune, Elmsea GB (Heron nib); the one that came"), "{said}");
    alike["id"] = "TH-1043".into();
    let said = evening.take_in(&[alike]);
    assert!(said.starts_with("1 order: 1 not taken in\n"), "{said}");
    // The seller knows better.
    let mut changed = order("TH-1042", "Bea Holm", "Ink");
    changed["ship_to"]["lines"] = serde_json::json!(["3 Mole"]);
    let orders = Value::from(vec![changed]).to_string();
    let said = evening.says_of("take-in", &orders);
    assert!(said.starts_with("1 order: 1 not taken in\n"), "{said}");
    let said = evening.says_of("take-in --same TH-1042", &orders);
    assert!(said.starts_with("1 order: 1 changed\n"), "{said}");
    let output = evening.run("take-in --json", &Value::from(vec![other]).to_string());
    let answer: Value = serde_json::from_slice(&output.stdout).unwrap();
    let faults: Vec<String> = crate::kit_kept::schema_of("ledger")
        .iter_errors(&answer)
        .map(|it| it.to_string())
        .collect();
    assert!(faults.is_empty(), "{faults:?}");
    assert_eq!(answer["another"][0]["is"], "Carl Dune, Elmsea GB (Ebonite feed)");
    assert_eq!(answer["another"][0]["state"], "handed over");
}

#[test]
fn a_faulty_order_keeps_all_from_coming_in() {
    let evening = Evening::new();
    let mut bad = order("TH-2", "Bo Vale", "Ink");
    bad["ship_to"]["postcode"] = 4711.into();
    let input = Value::from(vec![order("TH-1", "Ines Marlow", "Nib"), bad]).to_string();
    let output = evening.run("take-in", &input);
    assert_eq!(output.status.code(), Some(2));
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(said.ends_with("nothing was taken in: 1 error\n"), "{said}");
    assert!(!evening.desk.path("slipwright.ledger").exists());
}

#[test]
fn an_export_comes_in_by_its_map() {
    let evening = Evening::new();
    for name in ["sitting.csv", "sitting-map.yaml", "shop.yaml"] {
        evening.desk.sample(name);
    }
    let said = evening.says("take-in sitting.csv --map sitting-map.yaml");
    assert_eq!(said, "60 orders: 60 new\n");
    let said = evening.says("take-in sitting.csv --map sitting-map.yaml");
    assert_eq!(said, "60 orders: 60 known\n");
    // What came as JSON of the same export is the same.
    evening.desk.done(&[
        "intake",
        "sitting.csv",
        "--map",
        "sitting-map.yaml",
        "-o",
        "sitting.json",
    ]);
    assert_eq!(evening.says("take-in sitting.json"), "60 orders: 60 known\n");
}

#[test]
fn words_find_an_order_and_doubt_is_told() {
    let evening = three();
    let (code, said) = evening.stops("line-up TH-104");
    assert_eq!(
        (code, &*said),
        (
            2,
            "error: `TH-104` names 3 orders\n  \
             help: TH-1043, Bo Vale, Oakhaven GB, Ink (waiting)\n  \
             help: TH-1042, Ada Reed, Oakhaven GB, Curlew pen (waiting)\n  \
             help: TH-1041, Ines Marlow, Oakhaven GB, Heron nib (waiting)\n"
        )
    );
    let (code, said) = evening.stops("line-up harrier");
    assert_eq!(code, 2);
    assert!(said.starts_with("error: the ledger has no order `harrier`\n"), "{said}");
    let answer = evening.answers("line-up \"curlew ada\" --sitting Friday");
    assert_eq!(answer["parcels"][0]["orders"][0], "TH-1042");
    // What waits is meant before what lies in the line.
    let (code, said) = evening.stops("line-up oakhaven");
    assert_eq!(code, 2);
    assert!(said.starts_with("error: `oakhaven` names 2 orders\n"), "{said}");
}

#[test]
fn what_is_said_of_a_parcel_is_noted() {
    let evening = three();
    evening.desk.sample("shop.yaml");
    let facts = "--tag Heron --weight 0.372kg --size 22x11x4cm --pack \"small box\" \
                 --service \"tracked letter\" --extra signature --hazard none";
    let answer = evening.answers(&format!("line-up TH-1041 --sitting Friday {facts}"));
    let parcel = &answer["parcels"][0];
    assert_eq!((&parcel["tag"], &parcel["weight_g"]), (&"Heron".into(), &372.into()));
    assert_eq!(parcel["size_mm"], serde_json::json!([220, 110, 40]));
    let answer = evening.answers("note 1 --weight 380 --extra none");
    assert_eq!(answer["parcels"][0]["weight_g"], 380);
    assert_eq!(answer["parcels"][0]["extras"], serde_json::json!([]));
    assert_eq!(answer["parcels"][0]["pack"], "small box");
    for (line, code, said) in [
        ("note 1", 2, "there is nothing to note"),
        ("note 9 --weight 5", 2, "the line has no parcel 9"),
        ("note 1 --weight heavy", 2, "`heavy` is no weight"),
        ("note 1 --pack \"smal box\"", 2, "the shop file has no pack `smal box`"),
        ("note 1 --service pidgeon", 2, "the shop file has no service `pidgeon`"),
        ("line-up --all --weight 5", 2, "a tag, a weight and the like are of one parcel"),
        ("line-up TH-1042 --sitting Sunday", 1, "sitting 1 `Friday` is open"),
    ] {
        let (found, told) = evening.stops(line);
        assert!(found == code && told.contains(said), "{line}: {found} {told}");
    }
}

#[test]
fn the_scale_s_weights_come_as_a_list() {
    let evening = three();
    evening.says("line-up --all --sitting Friday");
    let said = evening.says_of("note --weights -", "# the scale\n1 372g\n3;1.2kg\n");
    assert_eq!(said, "1 `Heron`: 372 g\n3 `Vale`: 1200 g\n2 weights noted\n");
    // One that cannot be keeps all from being noted, and is told with its line.
    for (input, told) in [
        ("1 5\n2 heavy\n", "line 2 of `standard input`: `heavy` is no weight"),
        ("1 5\n1 6\n", "line 2 of `standard input`: parcel 1 is there twice"),
        ("1 5\nx\n", "line 2 of `standard input`: expected a parcel's number and its weight"),
        ("1 5\n9 5\n", "the line has no parcel 9"),
        ("", "`standard input` has no weights"),
    ] {
        let output = evening.run("note --weights -", input);
        assert_eq!(output.status.code(), Some(2), "{input}");
        let said = String::from_utf8(output.stderr).unwrap();
        assert!(said.contains(told), "{said}");
    }
    assert_eq!(evening.answers("list line")["parcels"][0]["weight_g"], 372);
}

#[test]
fn a_parcel_has_one_weight_and_nobody_is_silent_about_it() {
    let evening = Evening::new();
    let two = ["TH-1041", "TH-1042"].map(|id| order(id, "Ines Marlow", "Heron nib"));
    let [one, other] = two;
    evening.take_in(&[
        weighing(one, 300),
        weighing(other, 200),
        order("TH-1043", "Bo Vale", "Ink"),
    ]);
    // Combined at once: neither order's weight is the parcel's, and both are told.
    let said = evening.says("line-up --all --combine --sitting Friday --dry-run");
    let told = "1 `Heron` has one weight: TH-1041 says 300 g, TH-1042 says 200 g; weigh it: \
                `slipwright ledger note 1 --weight GRAMS`\n";
    assert!(said.contains(told), "{said}");
    // Joined later: what the scale said was of the first alone.
    evening.says("line-up TH-1041 --sitting Friday --weight 310 --hazard none");
    let said = evening.says("join 1 TH-1042");
    assert_eq!(
        said,
        "1 `Heron` has TH-1041 + TH-1042 now\nthe 310 g were of other contents; weigh it again: \
         `slipwright ledger note 1 --weight GRAMS`\n`none` was declared of other contents; declare it \
         again: `slipwright ledger note 1 --hazard WORDS`\n"
    );
    let answer = evening.answers("list line");
    assert_eq!(answer["parcels"][0].get("weight_g"), None);
    // Or it is weighed as it joins.
    evening.says("part 1 TH-1042");
    let answer = evening.answers("join 1 TH-1042 --weight 505");
    assert_eq!(answer["parcels"][0]["weight_g"], 505);
    // Who lives elsewhere joins only when it is said.
    let (code, said) = evening.stops("join 1 TH-1043");
    assert_eq!(code, 1);
    assert_eq!(
        said,
        "error: the order `TH-1043` cannot share parcel 1 `Heron`: its name is `Bo Vale`, the parcel's \
         `Ines Marlow`\n  help: if it is right all the same: `--elsewhere`\n"
    );
    evening.says("join 1 TH-1043 --elsewhere");
}

#[test]
fn another_order_for_the_same_person_is_told() {
    let evening = Evening::new();
    evening.take_in(&[
        order("TH-1041", "Ines Marlow", "Heron nib"),
        order("TH-1042", "Ada Reed", "Curlew pen"),
        order("TH-1043", "Ines Marlow", "Ink"),
    ]);
    let said = evening.says("line-up TH-1041 --sitting Friday");
    let told = "1 `Heron` goes to the same person and address as TH-1043: \
                `slipwright ledger join 1 TH-1043`\n";
    assert!(said.contains(told), "{said}");
    let answer = evening.answers("line-up TH-1043 TH-1042");
    let mates = serde_json::json!([{"number": 2, "orders": [], "parcels": [1]}]);
    assert_eq!(answer["mates"], mates);
}

#[test]
fn the_bench_does_not_move() {
    let evening = three();
    let before = evening.answers("line-up --all --sitting Friday");
    evening.says("take-off 2 --because cancelled");
    evening.take_in(&[order("TH-1044", "Eve Tarn", "Cap")]);
    evening.says("line-up --all");
    evening.says("move 4 --before 1");
    evening.says("set-aside 3 --because \"out of boxes\"");
    let after = evening.answers("list line");
    let numbers = |answer: &Value| -> Vec<u64> {
        let parcels = answer["parcels"].as_array().unwrap().iter();
        parcels.map(|parcel| parcel["number"].as_u64().unwrap()).collect()
    };
    assert_eq!((numbers(&before), numbers(&after)), (vec![1, 2, 3], vec![4, 1, 2, 3]));
    for parcel in before["parcels"].as_array().unwrap() {
        let mut later = after["parcels"].as_array().unwrap().iter();
        let same = later.find(|it| it["number"] == parcel["number"]).unwrap();
        assert_eq!((&same["pair"], &same["tag"]), (&parcel["pair"], &parcel["tag"]));
    }
    let states: Vec<&str> = after["parcels"]
        .as_array()
        .unwrap()
        .iter()
        .map(|parcel| parcel["state"].as_str().unwrap())
        .collect();
    assert_eq!(states, ["lined up", "lined up", "taken off", "set aside"]);
    // What was set aside waits; what was taken off does not.
    let waiting = evening.answers("list waiting");
    assert_eq!(waiting["orders"][0]["id"], "TH-1043");
    assert_eq!(waiting["orders"].as_array().unwrap().len(), 1);
    let text = evening.says("list");
    assert!(text.contains("taken off: cancelled") && text.contains("1 order waits\n"), "{text}");
}

#[test]
fn a_request_given_again_is_answered_again_and_not_done_again() {
    let evening = three();
    let first = evening.answers("line-up --all --sitting Friday --request r-1");
    assert_eq!(first["before"], false);
    let again = evening.answers("line-up --all --sitting Friday --request r-1");
    assert_eq!(again["before"], true);
    assert_eq!(again["entries"].as_array().unwrap().len(), 4);
    assert_eq!(evening.answers("list line")["parcels"].as_array().unwrap().len(), 3);
    let (code, said) = evening.stops("note 1 --weight 5 --request r-1");
    assert_eq!((code, &*said), (2, "error: the request `r-1` asked for something else before\n"));
    // Orders are known by what they say, so the request itself is not needed to be safe.
    evening.says("take-off 1 --because cancelled --request r-2");
    evening.says("take-off 1 --because cancelled --request r-2");
    let (code, said) = evening.stops("take-off 1 --because cancelled");
    assert_eq!(code, 1);
    assert!(said.contains("parcel 1 `Heron` is taken off, not still on the bench"), "{said}");
}

#[test]
fn a_dry_run_leaves_everything_as_it_was() {
    let evening = three();
    let dry = |line: &str| {
        let before = evening.says("list --json");
        let said = evening.says(&format!("{line} --dry-run"));
        assert!(said.starts_with("a dry run: nothing is entered\n"), "{line}: {said}");
        assert_eq!(evening.says("list --json"), before, "{line}");
    };
    dry("line-up --all --sitting Friday");
    evening.says("line-up TH-1041 TH-1042 --sitting Friday");
    for line in [
        "note 1 --weight 5",
        "move 1 --last",
        "take-off 1 TH-1043 --because cancelled",
        "set-aside 1 --because later",
        "undo",
        "join 1 TH-1043 --elsewhere",
    ] {
        dry(line);
    }
    // Where there is no ledger yet a dry run makes none.
    let empty = Evening::new();
    let input = Value::from(vec![order("TH-1", "Ines Marlow", "Nib")]).to_string();
    let said = empty.says_of("take-in --dry-run", &input);
    assert_eq!(said, "a dry run: nothing is entered\n1 order: 1 new\n");
    assert_eq!(fs::read_dir(empty.desk.path(".")).unwrap().count(), 0);
}

#[test]
fn verbs_without_a_ledger_or_a_sitting_say_what_to_do() {
    let evening = Evening::new();
    let (code, said) = evening.stops("list");
    assert_eq!(
        (code, &*said),
        (
            2,
            "error: `slipwright.ledger`: there is no ledger yet\n  help: take orders in first; that makes \
             it: `slipwright ledger take-in orders.json`\n"
        )
    );
    let evening = three();
    let (code, said) = evening.stops("take-off 1 --because cancelled");
    assert_eq!(code, 2);
    assert!(said.contains("`1` names 3 orders"), "{said}");
    let (code, said) = evening.stops("note 1 --weight 5 --json");
    assert_eq!(code, 2);
    let told: Value = serde_json::from_str(said.lines().next().unwrap()).unwrap();
    assert_eq!(told["message"], "no sitting is open");
    evening.desk.put("slipwright.ledger", "no ledger at all, whatever its name may say");
    let (code, said) = evening.stops("list");
    assert_eq!((code, &*said), (2, "error: `slipwright.ledger`: this file is no ledger\n"));
}

#[test]
fn a_number_is_a_parcel_and_an_order_s_id_may_be_one_too() {
    let evening = Evening::new();
    evening.take_in(&[order("1", "Ines Marlow", "Heron nib"), order("2", "Ada Reed", "Ink")]);
    evening.says("line-up 2 --sitting Friday");
    let (code, said) = evening.stops("take-off 1 --because cancelled");
    let line = evening.answers("list line");
    let pair = line["parcels"][0]["pair"].as_str().unwrap();
    let expected = format!(
        "error: `1` is parcel 1 `Reed` (2), and an order: waiting\n  help: for the parcel say its pair \
         code, `{pair}`\n  help: for the order say `--order 1`\n"
    );
    assert_eq!((code, said), (2, expected));
    let answer = evening.answers("take-off --order 1 --because cancelled");
    assert_eq!(answer["orders_taken_off"], serde_json::json!(["1"]));
    let (code, said) = evening.stops("take-off 2 --because cancelled");
    assert_eq!(code, 1);
    assert!(said.contains("the order `2` is parcel 1 of sitting 1"), "{said}");
}

#[test]
fn orders_that_an_export_does_not_send_are_told_while_they_are_here() {
    let evening = Evening::new();
    let rows = |states: [&str; 4]| {
        let row = |(at, state): (usize, &str)| {
            format!("C-{at};{state};Ada Reed;Quay {at};Oakhaven;GB;Ink {at}\n")
        };
        let rows: String = states.into_iter().enumerate().map(row).collect();
        format!("Order;Status;Name;Street;Town;Country;Item\n{rows}")
    };
    evening.desk.put("map.yaml", concat!(
        "rows: [{column: Status, is: cancelled}]\nfields:\n  id: Order\n  ship_to.name: Name\n",
        "  ship_to.lines: Street\n  ship_to.city: Town\n  ship_to.country: Country\n  items.title: Item\n",
    ));
    evening.desk.put("one.csv", rows(["paid"; 4]));
    let said = evening.says("take-in one.csv --map map.yaml");
    assert_eq!(said, "4 orders: 4 new\n");
    evening.says("line-up C-1 --tag Reed");
    evening.says("take-off C-3 --because cancelled");
    // One by the map's rule, one in a word that the map does not know; what is taken off is no news.
    evening.desk.put("two.csv", rows(["refunded", "cancelled", "paid", "cancelled"]));
    let said = evening.says("take-in two.csv --map map.yaml");
    let told = "the export leaves these out or calls them cancelled; `take-off` takes them off, `seen` puts this away:\n  \
                C-0: waiting\n  C-1: parcel 1 `Reed`, lined up\n";
    assert!(said.ends_with(told), "{said}");
    let answer = evening.answers("take-in two.csv --map map.yaml");
    let first = &answer["not_going"][0];
    assert_eq!((&first["id"], &first["state"]), (&"C-0".into(), &"waiting".into()));
    let second = &answer["not_going"][1];
    assert_eq!((&second["id"], &second["number"]), (&"C-1".into(), &1.into()));
}

/// A shop without packs and rates is told, too, when something is missing.
#[test]
fn a_parcel_lighter_than_its_items_is_told_of_every_shop() {
    let evening = Evening::new();
    let mut heavy = order("TH-1041", "Ines Marlow", "Heron pen");
    heavy["items"][0]["weight_g"] = 360.into();
    evening.take_in(&[heavy]);
    let output = evening.run("line-up TH-1041 --weight 95", "");
    let said = String::from_utf8(output.stderr).unwrap();
    let told = "warning[lighter-than-items]: the parcel weighs 95 g, its items alone 360 g";
    assert!(output.status.success() && said.contains(told), "{said}");
    let answer = evening.answers("list line --full");
    let doubt = "the parcel weighs 95 g, its items alone 360 g";
    assert_eq!(answer["computed"]["1"]["weight_doubt"], doubt);
    let output = evening.run("note 1 --weight 380", "");
    assert_eq!(String::from_utf8(output.stderr).unwrap(), "");
}
