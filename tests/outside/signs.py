#!/usr/bin/env python3
"""Compares our signs of currencies with those that Babel prints of the Unicode CLDR.

Reads the table in src/layout/filters/signs.rs. A sign counts when it has a currency character in
it that our fonts have; all others go by their code. The run fails when a sign is another.

    python3 tests/outside/signs.py
"""

import re
import sys
import unicodedata
from pathlib import Path

from babel.numbers import get_currency_symbol

SOURCES = Path(__file__).resolve().parent.parent.parent / "src"
LANGUAGES = "en de fr es it nl".split()
# The baht's sign: Noto Sans, as it comes with the engine, has none.
NO_GLYPH = "฿"


def read_signs():
    """Our signs: currency -> one for each language, empty where there is none."""
    text = (SOURCES / "layout/filters/signs.rs").read_text(encoding="utf-8")
    rows = re.findall(r'\("([A-Z]{3})", \[(.*?)\]\)', text)
    return {code: re.findall(r'"(.*?)"', cells) for code, cells in rows}


def read_currencies():
    """The currencies that orders may name."""
    text = (SOURCES / "fields/currency.rs").read_text(encoding="utf-8")
    table = text.split("pub const CURRENCY_CODES", 1)[1].split("];", 1)[0]
    return re.findall(r'"([A-Z]{3})"', table)


def their_sign(code, language):
    """Babel's sign of a currency; empty where it is none of ours to print."""
    sign = get_currency_symbol(code, locale=language)
    is_sign = any(unicodedata.category(c) == "Sc" for c in sign)
    return sign if is_sign and NO_GLYPH not in sign else ""


def main():
    """Compares every currency in every language."""
    ours = read_signs()
    codes = read_currencies()
    wrong = []
    for code in codes:
        for column, language in enumerate(LANGUAGES):
            mine = ours.get(code, [""] * len(LANGUAGES))[column]
            other = their_sign(code, language)
            if mine != other:
                wrong.append(f"{code} in {language}: `{mine}` | `{other}`")
    if wrong or not set(ours) <= set(codes):
        sys.exit("\n".join(["signs differ, ours | theirs:", *wrong]))
    print(f"signs of {len(codes)} currencies in {len(LANGUAGES)} languages agree")


if __name__ == "__main__":
    main()
