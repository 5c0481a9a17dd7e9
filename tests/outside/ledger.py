#!/usr/bin/env python3
"""Looks into a ledger with Python's sqlite3, and at what it tells the shop with Python's csv.

An evening is entered by the command; what only a printer does is appended by Python to the plain copy
and read back, so that the copy is judged too. Then: SQLite's own check, the version, the views, the
triggers that keep entries; the CSV's cells; and check digits, computed here, of the standards'
examples: each is taken, and with each other digit refused.

    python3 tests/outside/ledger.py
"""

import csv
import io
import json
import sqlite3
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
PROGRAM = ROOT / "target" / "debug" / "slipwright"
AT = ["--at", "2026-11-27T19:00+01:00"]


def run(place, *arguments, fails=False):
    """Runs the command; what it says."""
    done = subprocess.run(
        [str(PROGRAM), "ledger", *arguments], cwd=place, capture_output=True, check=False
    )
    if (done.returncode != 0) != fails:
        sys.exit(f"{arguments} ended with {done.returncode}: {done.stderr.decode()}")
    return done.stdout


def s10_digit(digits):
    """The check digit of UPU S10: weights 8 6 4 2 3 5 9 7, 11 less the remainder by 11."""
    rest = 11 - sum(w * int(d) for w, d in zip([8, 6, 4, 2, 3, 5, 9, 7], digits)) % 11
    return {10: 0, 11: 5}.get(rest, rest)


def gs1_digit(digits):
    """The check digit of the GS1 General Specifications: weights 3 and 1 from the right."""
    return -sum(int(d) * (3, 1)[at % 2] for at, d in enumerate(reversed(digits))) % 10


# UPU S10: the worked example of Wikipedia's article on it, and EE876543216CA, the example of its
# Annex A. SSCC: GS1 General Specifications, figures 5.4.2-1 and 6.6.5-1.
S10 = [("RR", "47312482", 9, "GB"), ("EE", "87654321", 6, "CA")]
SSCC = [("39512345123456789", 5), ("00614141123456789", 0)]


def enter_evening(place):
    """An evening whose first two parcels went, entered by the command and by a copy."""
    (place / "orders.json").write_text((ROOT / "tests/cases/ledger.json").read_text())
    run(place, "take-in", "orders.json", *AT)
    run(place, "line-up", "--all", "--sitting", "Friday", *AT)
    run(place, "copy-out", "-o", "copy.jsonl")
    lines = (place / "copy.jsonl").read_text().splitlines()
    # What another program writes need not have an end: version 1 of the lines has none.
    end = json.loads(lines.pop())["end"]
    assert end["entries"] + end["texts"] == len(lines) - 1 and not end["cut"], end
    lines[0] = json.dumps({"ledger": 1})
    last = json.loads(lines[-1])
    seq, act = last["entry"], last["act"]
    for number in (1, 2):
        for event in (
            {"what": "printed", "number": number, "count": 5, "papers": []},
            {"what": "matched", "number": number, "how": "scan"},
        ):
            seq += 1
            act += 1
            lines.append(json.dumps({
                "entry": seq, "act": act, "at": "2026-11-27T19:30:00+01:00", "by": "outside",
                "sitting": 1, "event": event,
            }))
    (place / "copy.jsonl").write_text("\n".join(lines) + "\n")
    (place / "slipwright.ledger").unlink()
    for ending in ("-wal", "-shm"):
        (place / f"slipwright.ledger{ending}").unlink(missing_ok=True)
    run(place, "copy-in", "copy.jsonl")
    run(place, "hand-over", "--all-matched", "--at", "2026-11-27T19:40+01:00")


def check_file(place):
    """The file as SQLite and Python see it."""
    db = sqlite3.connect(place / "slipwright.ledger")
    ask = lambda text: db.execute(text).fetchall()
    assert ask("PRAGMA integrity_check") == [("ok",)]
    assert ask("PRAGMA user_version") == [(3,)]
    assert ask("PRAGMA application_id") == [(0x534C5057,)]
    assert ask("PRAGMA journal_mode") == [("wal",)]
    tables = ask("SELECT name, sql FROM sqlite_master WHERE type = 'table'")
    assert len(tables) >= 6 and all("STRICT" in sql for _, sql in tables), tables
    happened = ask("SELECT what FROM what_happened")
    assert [what for (what,) in happened].count("handed-over") == 2
    states = dict(ask("SELECT id, state FROM where_orders_are"))
    assert states["TH-1041"] == "handed over" and states["TH-1045"] == "in line", states
    parcels = ask("SELECT place, number, tag, state FROM where_parcels_are")
    assert [row[0] for row in parcels] == [1, 2, 3, 4, 5], parcels
    for text in ("UPDATE entry SET by = 'x'", "DELETE FROM entry"):
        try:
            db.execute(text)
        except sqlite3.Error as refused:
            assert "never" in str(refused), refused
        else:
            sys.exit(f"{text} was not refused")
    # No entry names a person: what orders say stands apart and can be forgotten.
    events = "".join(event for (event,) in ask("SELECT event FROM entry"))
    assert "Ines" not in events and "Quay" not in events
    db.close()


def check_digits(place):
    """Check digits against the standards' examples."""
    numbers = []
    for service, digits, check, country in S10:
        assert s10_digit(digits) == check, digits
        numbers.append((f"{service}{digits}", check, country))
    for digits, check in SSCC:
        assert gs1_digit(digits) == check, digits
        numbers.append((f"(00){digits}", check, ""))
    for front, check, back in numbers:
        for digit in range(10):
            number = f"{front}{digit}{back}"
            run(place, "track", "3", number, "--dry-run", *AT, fails=digit != check)
    run(place, "track", "1", "RR473124829GB", *AT)


def check_csv(place):
    """The shop's CSV, read by Python."""
    (place / "map.yaml").write_text(
        "separator: semicolon\nencoding: windows-1252\ndates: d.m.y\nfields:\n"
        "  id: Bestellnummer\n  tracking: Sendungsnummer\n  date: Versendet am\n  tag: Name; Größe\n"
        "always: {Status: 'sagt \"weg\"'}\n"
    )
    run(place, "tell-shop", "--map", "map.yaml", "-o", "shipped.csv", *AT)
    text = (place / "shipped.csv").read_bytes().decode("cp1252")
    rows = list(csv.DictReader(io.StringIO(text, newline=""), delimiter=";", strict=True))
    assert [row["Bestellnummer"] for row in rows] == ["TH-1041", "TH-1042"], rows
    assert rows[0]["Sendungsnummer"] == "RR473124829GB" and rows[1]["Sendungsnummer"] == ""
    assert all(row["Status"] == 'sagt "weg"' for row in rows)
    assert all(row["Versendet am"] == "27.11.2026" for row in rows)
    assert all("Name; Größe" in row and None not in row for row in rows)


def main():
    """Everything."""
    subprocess.run(["cargo", "build", "--quiet", "--locked"], cwd=ROOT, check=True)
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        enter_evening(place)
        check_digits(place)
        check_file(place)
        check_csv(place)
    print("a ledger, its copy, its check digits and its CSV are as Python has them")


main()
