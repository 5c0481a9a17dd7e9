#!/usr/bin/env python3
"""Compares what every locale writes with node's Intl and with Babel.

Money, numbers, dates and the forms of counts of all locales are printed by the engine (the example
`outside`) and written again by Intl (languages.mjs), whose CLDR must be of the version that our
tables are made from, and by Babel, whose CLDR may be another. Spaces that lines are not broken at
count as equal, however wide they are. Which languages are read from the right is compared with Babel.
The run fails on every difference that is not told below.

    python3 tests/outside/languages.py
"""

import datetime
import re
import subprocess
import sys
from decimal import Decimal
from pathlib import Path

from babel import Locale
from babel.core import get_global
from babel.dates import format_date, format_skeleton
from babel.localedata import locale_identifiers
from babel.numbers import format_currency, format_decimal

ROOT = Path(__file__).resolve().parent.parent.parent


def ours():
    """Tag, question and answer of the engine."""
    command = ["cargo", "run", "--locked", "--quiet", "--example", "outside", "--", "languages"]
    text = subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True).stdout
    return [line.split("\t") for line in text.splitlines()]


def intl(asked):
    """The version of Intl's CLDR, and its answers."""
    questions = "".join(f"{tag}\t{question}\n" for tag, question, _ in asked)
    script = ROOT / "tests" / "outside" / "languages.mjs"
    command = ["node", str(script)]
    done = subprocess.run(command, input=questions, check=True, capture_output=True, text=True)
    version, *answers = done.stdout.split("\n")[:-1]
    return version, answers


def babel(tag, question):
    """Babel's answer; None where it has none to give."""
    kind, *rest = question.split(" ")
    # Its data have no world English under our tag.
    name = "en_001" if tag == "en" and kind == "day" else tag.replace("-", "_")
    locale = Locale.parse(name)
    if kind == "money":
        return format_currency(Decimal(rest[0]), rest[1], locale=locale, numbering_system="default")
    if kind == "number":
        return format_decimal(
            Decimal(rest[0]), locale=locale, numbering_system="default",
            decimal_quantization=False,
        )
    if kind == "plural":
        return locale.plural_form(int(rest[0]))
    form, date = rest
    day = datetime.date.fromisoformat(date)
    if form == "long":
        return format_date(day, "long", locale=locale)
    if form == "short":
        return format_skeleton("yMMMd", day, locale=locale)
    return format_skeleton("yMMMM", day, locale=locale) if form == "month" else None


def plain(text):
    """Text with spaces that lines are not broken at as ordinary ones."""
    return re.sub("[\u202f\u2009\u00a0]", " ", text)


# Where Intl makes dates in numbers of another style than CLDR's `yMd`, from which ours are made.
OTHER_NUMBERS = {"it-CH", "lv", "mt", "sr", "sr-Latn"}

# The languages of our words, in which Babel's older CLDR says the same.
ALSO_BABEL = {"da", "de", "es", "fr", "it", "nl", "pl", "pt", "sv"}


def is_ours_by_choice(tag, question, answer):
    """Whether we mean to write something else."""
    kind, *rest = question.split(" ")
    if kind == "day":
        if rest[0] == "numeric":
            return tag in OTHER_NUMBERS
        # The first of a month in French; the short September of English.
        french = tag.startswith("fr") and rest[1].endswith("-01") and rest[0] != "month"
        return french or (tag == "en" and rest[0] == "short")
    # A minus stays with the figures where a name of letters stands before them.
    name = re.match(r"[^\d]*", answer)[0]
    is_before = any(c.isalpha() for c in name)
    return kind == "money" and rest[0].startswith("-") and is_before


def is_babels(tag, question):
    """Whether Babel is to say the same: it groups four digits everywhere, knows no space between a
    code and its figures, and its numbers of dates are those of the short style."""
    kind, *rest = question.split(" ")
    if kind == "plural":
        # Babel has no forms for whole millions.
        return int(rest[0]) < 1_000_000
    # Its older CLDR has another minus in Swedish.
    if tag == "sv" and rest[0].startswith("-"):
        return False
    if tag not in ALSO_BABEL or rest[0] in ("1234.5", "-1234.5", "1234"):
        return False
    return kind != "money" or rest[1] in ("EUR", "PLN", "SEK", "DKK", "BRL")


def check_directions():
    """The languages and scripts that are read from the right are those of Babel's locales."""
    text = (ROOT / "src/language/direction.rs").read_text(encoding="utf-8").split("#[cfg(test)]")[0]
    ours = set(re.findall(r'"(\w+)"', text))
    theirs = set()
    for name in locale_identifiers():
        language, *rest = name.split("_")
        if Locale.parse(name).character_order != "right-to-left":
            continue
        if rest and len(rest[0]) == 4:
            theirs.add(rest[0])
            continue
        # The language, and the script that it is usually written in.
        theirs.add(language)
        theirs.update(get_global("likely_subtags").get(language, "").split("_")[1:2])
    if ours != theirs:
        sys.exit(f"read from the right: only ours {ours - theirs}, only Babel's {theirs - ours}")


def main():
    """Compares everything."""
    check_directions()
    subprocess.run([sys.executable, ROOT / "tools" / "language-data.py", "--check"], check=True)
    asked = ours()
    tags = sorted({tag for tag, _, _ in asked})
    version, answers = intl(asked)
    table = (ROOT / "src/language/data/locales.tsv").read_text(encoding="utf-8")
    wanted = re.search(r"CLDR (\d+\.\d+)", table)[1]
    if version != wanted:
        sys.exit(f"node has CLDR {version}, the tables are of {wanted}: another node is needed")
    wrong, passed, by_babel = [], 0, 0
    for (tag, question, answer), other in zip(asked, answers, strict=True):
        if is_ours_by_choice(tag, question, answer):
            continue
        passed += 1
        if plain(answer) != plain(other):
            wrong.append(f"{tag}: {question}: ours `{answer}`, Intl `{other}`")
        theirs = babel(tag, question)
        if theirs is None or not is_babels(tag, question):
            continue
        by_babel += 1
        if plain(answer) != plain(theirs):
            wrong.append(f"{tag}: {question}: ours `{answer}`, Babel `{theirs}`")
    if wrong:
        sys.exit("\n".join([f"{len(wrong)} differences", *wrong]))
    print(f"{passed} answers of {len(tags)} locales are Intl's, {by_babel} of them Babel's too")


if __name__ == "__main__":
    main()
