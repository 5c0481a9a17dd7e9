#!/usr/bin/env python3
"""Makes the data of the `language` module from the Unicode CLDR.

Comes in: the npm packages of the CLDR's JSON, at a pinned version and digest, fetched with npm into
a temporary folder. Goes out: how each locale writes dates, numbers, money and counts
(locales.tsv), what countries are called in languages that the address data have no names in
(countries.tsv), and the licence, in src/language/data/. With `--check` nothing is written; the
exit code is 1 when a committed file differs from what would be.

    python3 tools/language-data.py
    python3 tools/language-data.py --check
"""

import collections
import hashlib
import json
import re
import subprocess
import sys
import tarfile
import unicodedata
from pathlib import Path

from data_files import write_or_check

VERSION = "48.0.0"
PACKAGES = {
    "cldr-core": (
        "8909caebc78e8c4b0710ec02be2d8223bc5b8dc56509d69235342b9300a010c9"
        "f26546c70a017418fc360978b40f6206cfef4f8fcd1c99c5b3445705eb376b61"
    ),
    "cldr-dates-full": (
        "45c264fca43398bf54944e6b02d4b85716e2d253c64d767eb3a92ca8a635e072"
        "d08772f791ec189702b5e3a978eae452f493a14a55e1195f95dcaad498a322a1"
    ),
    "cldr-localenames-full": (
        "1fa646d3ed6b8f0b20ee0a8578801ad934da6fd7d603bfdbed4d28bf10366094"
        "88e6d1ae9b2339b157216397ffab4927ffd02db1e18ac2b4dbf540c2e319a087"
    ),
    "cldr-numbers-full": (
        "6cf4c27d50dcd0a45d4424444b5e791195f553466352773d0208b228f1fb2be9"
        "975a008f2f1ec2cf1bd863421719317c5ba8a0fb685b1b957ba0731e9c0f2219"
    ),
    "cldr-units-full": (
        "1151e73885dc9f80403381d074c95a3733ff9b18cd4a0fe3f371159224047578"
        "6d8da099403c0fdf61380c454006921864f06ef69ce0d56ce5501560b7e56f36"
    ),
}

ROOT = Path(__file__).resolve().parent.parent
DATA = ROOT / "src" / "language" / "data"

# Our names of the locales, and CLDR's where it has another. Our `en` is the English of the world
# but for its signs of money; CLDR's is that of the United States.
LOCALES = (
    "ar ar-EG bg bn ca cs da de de-AT de-CH el en en-AU en-CA en-GB en-IE en-IN en-US es es-AR es-MX "
    "et eu fa fi fr fr-CA fr-CH ga gl he hi hr hu id is it it-CH ja ko lt lv mt nb nl nl-BE pl pt "
    "pt-PT ro ru sk sl sr sr-Latn sv tr uk vi zh zh-Hant"
).split()

# Where the packages have a locale under another name.
CLDR_NAMES = {"en-US": "en"}

# Where the order of a date's parts is taken from another locale than all else.
DATES = {"en": "en-001"}

# The first of a month, where a language does not write `1`; CLDR has no word on it.
FIRST_DAY = {"fr": "1er", "fr-CA": "1er", "fr-CH": "1er"}

# Languages whose names of countries come from here: those with words of ours that the address data,
# which are for country lines in Latin script, leave out.
COUNTRY_LANGUAGES = ["ja"]

# Signs that the fonts of the engine do not have: there the code says more.
NO_GLYPH = "฿"


def fetch(folder):
    """Fetches the packages into `folder` and returns name -> unpacked root."""
    folder = Path(folder)
    roots = {}
    for name, digest in PACKAGES.items():
        subprocess.run(
            ["npm", "pack", "--silent", f"{name}@{VERSION}"],
            cwd=folder, check=True, stdout=subprocess.DEVNULL,
        )
        tarball = folder / f"{name}-{VERSION}.tgz"
        found = hashlib.sha512(tarball.read_bytes()).hexdigest()
        if found != digest:
            sys.exit(f"{tarball.name}: expected sha512 {digest}, found {found}")
        with tarfile.open(tarball) as archive:
            archive.extractall(folder / name, filter="data")
        roots[name] = folder / name / "package"
    return roots


class Cldr:
    """The CLDR's JSON, read as it is asked for."""

    def __init__(self, roots):
        """Over unpacked packages."""
        self.roots = roots

    def main(self, package, locale, file):
        """One file of a locale."""
        locale = CLDR_NAMES.get(locale, locale)
        path = self.roots[f"cldr-{package}-full"] / "main" / locale / f"{file}.json"
        return json.loads(path.read_text(encoding="utf-8"))["main"][locale]

    def numbers(self, locale):
        """The numbers of a locale."""
        return self.main("numbers", locale, "numbers")["numbers"]

    def calendar(self, locale):
        """The Gregorian calendar of a locale."""
        return self.main("dates", locale, "ca-gregorian")["dates"]["calendars"]["gregorian"]

    def supplemental(self, file):
        """A file that is not of one locale."""
        path = self.roots["cldr-core"] / "supplemental" / f"{file}.json"
        return json.loads(path.read_text(encoding="utf-8"))["supplemental"]


def plain(text):
    """Text with the narrow no-break space, which few fonts have, as the ordinary one."""
    return text.replace("\u202f", "\u00a0")


def in_braces(pattern):
    """A date pattern with its letters in braces and its quotes resolved."""
    out = []
    for quoted, letters, other in re.findall(r"'((?:[^']|'')*)'|(y+|[ML]+|d+|G+)|([^'])", pattern):
        out.append(f"{{{letters}}}" if letters else other or quoted.replace("''", "'") or "'")
    return plain("".join(out))


def two_digits(pattern):
    """A pattern of numbers with two digits for day and month, four for the year."""
    pattern = re.sub(r"y+", "y", pattern)
    return re.sub(r"M+", "MM", re.sub(r"d+", "dd", pattern))


def months(calendar, kind, width):
    """Twelve months."""
    names = calendar["months"][kind][width]
    return plain("|".join(names[str(number)] for number in range(1, 13)))


def date_cells(cldr, locale):
    """Patterns and months."""
    calendar, ordered = cldr.calendar(locale), cldr.calendar(DATES.get(locale, locale))
    formats = ordered["dateTimeFormats"]["availableFormats"]
    long = ordered["dateFormats"]["long"]
    long = long if isinstance(long, str) else long["_value"]
    patterns = [long, formats["yMMMd"], two_digits(formats["yMd"]), formats["yMMMM"]]
    used = " ".join(patterns)
    wide, alone = months(calendar, "format", "wide"), months(calendar, "stand-alone", "wide")
    short = months(calendar, "format", "abbreviated")
    short_alone = months(calendar, "stand-alone", "abbreviated")
    assert re.search(r"(?<!L)LLL(?!L)", used) is None or short == short_alone, locale
    is_used = re.search(r"(?<![ML])[ML]{3}(?![ML])", used)
    return [
        *map(in_braces, patterns), FIRST_DAY.get(locale, ""), wide,
        "" if alone == wide else alone, short if is_used else "",
    ]


def number_cells(cldr, locale):
    """Digits, marks, groups and the two currency patterns."""
    numbers = cldr.numbers(locale)
    system = numbers["defaultNumberingSystem"]
    digits = cldr.supplemental("numberingSystems")["numberingSystems"][system]["_digits"]
    symbols = numbers[f"symbols-numberSystem-{system}"]
    pattern = numbers[f"decimalFormats-numberSystem-{system}"]["standard"]
    whole = pattern.split(";")[0].split(".")[0].split(",")
    sizes = [len(part) for part in whole[:0:-1]]
    assert sizes[0] == 3, locale
    money = numbers[f"currencyFormats-numberSystem-{system}"]["standard"]
    positive, _, negative = money.partition(";")
    figures = r"#[#,]*0(?:\.00)?"
    positive = re.sub(figures, "{n}", positive)
    negative = re.sub(figures, "{n}", negative) if negative else "-" + positive
    return [
        "" if digits[0] == "0" else digits[0], symbols.get("currencyDecimal", symbols["decimal"]),
        plain(symbols.get("currencyGroup", symbols["group"])), symbols["minusSign"],
        numbers["minimumGroupingDigits"], str(sizes[1] if len(sizes) > 1 else 3),
        plain(positive.replace("¤", "{c}")),
        plain(negative.replace("¤", "{c}").replace("-", symbols["minusSign"])),
    ], [symbols["decimal"], plain(symbols["group"])]


def plural_rules(cldr, locale):
    """The conditions of each form but `other`, without their samples."""
    rules = cldr.supplemental("plurals")["plurals-type-cardinal"]
    tag = locale if locale in rules else locale.split("-")[0]
    cells = []
    for name, rule in rules[tag].items():
        form, condition = name.rsplit("-", 1)[1], rule.split("@")[0].strip()
        if form != "other":
            cells.append(f"{form}: {condition}")
    return "; ".join(cells)


def unit_cells(cldr, locale):
    """Grams, kilograms and millimetres, with their number in braces."""
    units = cldr.main("units", locale, "units")["units"]["short"]
    cells = []
    for name, usual in [("gram", "g"), ("kilogram", "kg"), ("millimeter", "mm")]:
        pattern = units[f"mass-{name}" if name != "millimeter" else "length-millimeter"]
        cell = plain(pattern["unitPattern-count-other"]).replace("{0}", "{n}")
        cells.append("" if cell in (f"{{n}} {usual}", f"{{n}}\u00a0{usual}") else cell)
    return cells


def currency_codes():
    """The currencies that orders may name."""
    text = (ROOT / "src/fields/currency.rs").read_text(encoding="utf-8")
    return re.findall(r'"([A-Z]{3})"', text.split("pub const CURRENCY_CODES", 1)[1].split("];", 1)[0])


def is_letters(sign):
    """Whether a sign has no currency character."""
    return not any(unicodedata.category(c) == "Sc" for c in sign)


def read_signs(cldr, codes):
    """Locale -> currency -> its sign; none where the code is written.

    A sign of letters is one where its own country's language has it: those that most languages
    have, such as `FCFA`, tell most readers less than the code."""
    signs = {}
    for locale in LOCALES:
        entries = cldr.main("numbers", locale, "currencies")["numbers"]["currencies"].items()
        found = {code: plain(entry.get("symbol", code)) for code, entry in entries if code in codes}
        signs[locale] = {
            code: sign for code, sign in found.items() if sign != code and sign not in NO_GLYPH
        }
    count = collections.Counter(pair for own in signs.values() for pair in own.items())
    for own in signs.values():
        for code, sign in [*own.items()]:
            if is_letters(sign) and count[code, sign] > len(LOCALES) / 2:
                del own[code]
    return signs


def make_locales(cldr):
    """Makes locales.tsv: one locale a line."""
    codes = currency_codes()
    signs = read_signs(cldr, codes)
    usual = {}
    for code in codes:
        (sign, count), *_ = collections.Counter(
            signs[locale].get(code, "") for locale in LOCALES
        ).most_common(1)
        if sign:
            usual[code] = sign
    rows = [
        f"# From the Unicode CLDR {VERSION}; made by tools/language-data.py, not by hand.",
        "# locale, zero, decimal mark of money, group mark of money, minus, digits before a group,",
        "# size of the second group, money, money below zero, decimal and group mark of other numbers",
        "# where they differ, date long, short, in numbers, month and year, first of a month, months,",
        "# standing alone, short, forms of counts, grams, kilograms, millimetres, signs of currencies",
        "# that are not the usual ones",
        row("usual", " ".join(f"{code}={sign}" for code, sign in sorted(usual.items()))),
    ]
    for locale in LOCALES:
        cells, marks = number_cells(cldr, locale)
        own = signs[locale]
        differing = [
            f"{code}={own.get(code, '')}"
            for code in sorted({*usual, *own})
            if own.get(code, "") != usual.get(code, "")
        ]
        rows.append(
            row(
                locale, *cells, *([""] * 2 if marks == cells[1:3] else marks),
                *date_cells(cldr, locale), plural_rules(cldr, locale), *unit_cells(cldr, locale),
                " ".join(sign.replace(" ", "\u00a0") for sign in differing),
            )
        )
    return lines(rows)


def make_countries(cldr):
    """Makes countries.tsv: one country a line, one language a column."""
    codes = [
        line.split("\t")[0]
        for line in (ROOT / "src/address/data/names.tsv").read_text(encoding="utf-8").splitlines()
        if not line.startswith("#")
    ][1:]
    names = {
        language: cldr.main("localenames", language, "territories")["localeDisplayNames"][
            "territories"
        ]
        for language in COUNTRY_LANGUAGES
    }
    rows = [
        f"# From the Unicode CLDR {VERSION}; made by tools/language-data.py, not by hand.",
        row("code", *COUNTRY_LANGUAGES),
    ]
    for code in codes:
        of = [names[language] for language in COUNTRY_LANGUAGES]
        rows.append(row(code, *(it.get(f"{code}-alt-short", it.get(code, "")) for it in of)))
    return lines(rows)


def row(*cells):
    """Joins cells with tabs; a tab or line end inside one would shift the table."""
    assert not any(re.search(r"[\t\r\n]", cell) for cell in cells), cells
    return "\t".join(cells)


def lines(rows):
    """Joins rows into the text of a file."""
    return "\n".join(rows) + "\n"


def make_files(roots):
    """Makes every generated file: name -> text."""
    cldr = Cldr(roots)
    return {
        "locales.tsv": make_locales(cldr),
        "countries.tsv": make_countries(cldr),
        "LICENSE-Unicode.txt": (roots["cldr-core"] / "LICENSE").read_text(encoding="utf-8"),
    }


if __name__ == "__main__":
    write_or_check("language-data.py", __doc__, DATA, lambda folder: make_files(fetch(folder)))
