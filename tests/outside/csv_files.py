#!/usr/bin/env python3
"""Reads nasty CSV files with Python's csv module and with ours; the cells must be the same.

The files are made here: quoted line ends, doubled quotes, byte order marks, CR and CRLF, empty
last cells, spaces, Windows-1252 and UTF-16, decimal commas beside semicolons, and files of random
characters. Python reads strictly, so both must refuse the same files: a quote that never closes,
text after a closing quote. Only spaces after a closing quote are taken by ours and not by Python.

    python3 tests/outside/csv_files.py
"""

import csv
import io
import json
import random
import re
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent

# Name, text, separator (none: to be found out), encoding, encoding named to ours (none: found out).
NASTY = [
    ("quoted line ends", 'a,b\r\n"1\r\n2","x\ny"\r\n', None, "utf-8"),
    ("doubled quotes", 'a,b\n"5"" nib","""q"""\n', None, "utf-8"),
    ("only quotes", 'a,b\n"""","""",\n"",""\n', ",", "utf-8"),
    ("byte order mark", "a,b\n1,é\n", None, "utf-8-sig"),
    ("CRLF", "a,b\r\n1,2\r\n", None, "utf-8"),
    ("CR alone", 'a,b\r1,2\r"3\r4",5\r', None, "utf-8"),
    ("mixed ends", "a,b\n1,2\r\n3,4\r5,6", None, "utf-8"),
    ("no last line end", "a,b\n1,2", None, "utf-8"),
    ("empty last cell", "a,b,c\n1,,\n,,\n1,2,", ",", "utf-8"),
    ("empty quoted last cell", 'a,b\n1,""', None, "utf-8"),
    ("spaces kept", "a,b\n  1 , 2\t\n", ",", "utf-8"),
    ("quote after a space", 'a,b\n1, "2"\n', ",", "utf-8"),
    ("quote inside a bare cell", 'a,b\n5" nib,1\n', ",", "utf-8"),
    ("empty lines", "\n\na,b\n\n1,2\n\r\n\n3,4\n\n", ",", "utf-8"),
    ("Windows-1252", "Straße;Preis\nAm Hang 3;“2,50 €”\n", None, "cp1252"),
    ("UTF-16LE with mark", "\ufeffa,b\n1,ß€“\n", None, "utf-16-le"),
    ("UTF-16BE with mark", "\ufeffa,b\n1,ß€“\n", None, "utf-16-be"),
    ("UTF-16LE without mark", "a,b\n1,ß€“\n", None, "utf-16-le"),
    ("UTF-16BE without mark", "a,b\n1,ß€“\n", None, "utf-16-be"),
    ("semicolons and decimal commas", "a;b;c\n1;2,50;x, y\n2;3,75;z\n", None, "utf-8"),
    ("tabs", "a\tb\n1,5\t2;5\n", None, "utf-8"),
    ("bars", "a|b\n1,5|2;5\n", None, "utf-8"),
    ("one column", "a\n1\n2\n", None, "utf-8"),
    ("wide characters across pieces", "a,b\n" + "𝄞é€,x\n" * 30_000, None, "utf-8"),
    ("a long cell", 'a,b\n"' + "x\n" * 200_000 + '",1\n', None, "utf-8"),
    ("Windows-1250", "Město,Pióro\nŽďár,źródło\n", ",", "cp1250"),
    ("never closed", 'a,b\n1,"2\n3,4\n', ",", "utf-8"),
    ("after a quote", 'a,b\n"1"x,2\n', ",", "utf-8"),
]
NAMED = {"cp1250": "windows-1250"}


def random_files(count):
    """Files of random characters, and files that csv.writer made of random cells."""
    dice = random.Random(20261125)
    for number in range(count):
        separator = dice.choice(",;\t|")
        if number % 2:
            text = "".join(dice.choice('ab"",;\t|\n\r é€') for _ in range(dice.randint(1, 60)))
        else:
            made = io.StringIO()
            writer = csv.writer(
                made, delimiter=separator, lineterminator=dice.choice(["\n", "\r\n", "\r"]),
                quoting=dice.choice([csv.QUOTE_MINIMAL, csv.QUOTE_ALL]),
            )
            for _ in range(dice.randint(1, 6)):
                cell = lambda: "".join(dice.choice('ab", ;\t|\n\r\'é€ß') for _ in range(dice.randint(0, 8)))
                writer.writerow([cell() for _ in range(dice.randint(1, 5))])
            text = made.getvalue()
        yield f"random {number}", text, separator, dice.choice(["utf-8", "utf-8-sig", "utf-16"])


def read_with_python(path, separator, encoding):
    """Python's rows, empty ones left out, or none when it refuses the file."""
    encoding = {"utf-16-le": "utf-16-le", "utf-16-be": "utf-16-be"}.get(encoding, encoding)
    with open(path, encoding=encoding, newline="") as file:
        text = file.read().removeprefix("\ufeff")
    csv.field_size_limit(1 << 24)
    try:
        reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
        return text, [row for row in reader if row]
    except csv.Error:
        return text, None


def main():
    """Compares all files."""
    with tempfile.TemporaryDirectory() as folder:
        files = []
        for number, (name, text, separator, encoding) in enumerate([*NASTY, *random_files(2_000)]):
            path = Path(folder) / f"{number}.csv"
            path.write_bytes(text.encode(encoding))
            asked = {"file": str(path), "separator": separator, "encoding": NAMED.get(encoding)}
            if name.startswith("random"):
                asked["encoding"] = "utf-16" if encoding == "utf-16" else "utf-8"
            files.append((name, path, separator, encoding, asked))
        run = subprocess.run(
            ["cargo", "run", "-q", "--locked", "--example", "outside", "--", "cells"], cwd=ROOT, check=False,
            input="".join(json.dumps(asked) + "\n" for *_, asked in files),
            capture_output=True, text=True,
        )
        if run.returncode:
            sys.exit(run.stderr)
        answers = [json.loads(line) for line in run.stdout.split("\n") if line]
        assert len(answers) == len(files)
        same = refused = spaced = 0
        wrong = []
        for (name, path, separator, encoding, _), answer in zip(files, answers):
            # Without one the separator is the commonest mark of the first line.
            used = separator or max(",;\t|", key=first_line(path, encoding).count)
            text, rows = read_with_python(path, used, encoding)
            if rows is None and answer["error"] in ("open-quote", "after-quote"):
                refused += 1
            elif rows is None and re.search('" +', text):
                spaced += 1
            elif rows is not None and answer["error"] is None and answer["rows"] == rows:
                same += 1
            else:
                wrong.append(f"{name}: {text[:80]!r}\n  ours   {str(answer)[:200]}\n  Python {str(rows)[:200]}")
    print(f"{same} files read alike, {refused} refused by both, {spaced} with spaces after quotes")
    if wrong:
        sys.exit("\n".join([f"{len(wrong)} files differ", *wrong[:10]]))


def first_line(path, encoding):
    """A file's first line."""
    return path.read_bytes().decode(encoding).split("\n")[0]


if __name__ == "__main__":
    main()
