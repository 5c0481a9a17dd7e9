#!/usr/bin/env python3
"""Judges our PDFs by programs that are not ours.

For each PDF, a JSON beside it says what must be found: {"pages": [...]}, each page in the form
that src/export/expected.rs states. Then:

- qpdf checks the file's structure;
- pdffonts must find every font embedded, cut down and mapped to Unicode;
- pdfinfo must find MediaBox, CropBox and TrimBox to be the paper, to 0.01 pt, and no rotation;
- pdfinfo and pdf.js must find the file tagged, and in its tree the texts in reading order; pdf.js
  must find beside each code what it says;
- pdftotext and mutool must give back every text run exactly, and nothing else but the texts of
  pages of other PDFs;
- poppler (mono and grey), mupdf (smoothed and not), ghostscript and pdf.js draw the pages at the
  printer's dots and complain about nothing: every dot of every code must be as composed, so that each bar and space of one module is
  exactly its whole number of dots, and the dots around the code must be white;
- the same at 203.2 and at 300 dots an inch, whatever the pages are made for: zbar and zxing-cpp
  must read every code's payload from each drawing that has dots enough for its modules.

Usage: pdf_tools.py FILE.pdf ...
Needs poppler-utils, mupdf-tools, ghostscript, qpdf, zbar-tools, nodejs; Python's zxing-cpp, pillow,
numpy; pdfjs-dist and @napi-rs/canvas of npm in target/node.
Exits with 1 when anything failed.
"""

import json
import re
import subprocess
import sys
import tempfile
import unicodedata
from collections import Counter, defaultdict
from pathlib import Path

import numpy
import zxingcpp
from PIL import Image

MM_PER_PT = 25.4 / 72
HERE = Path(__file__).parent
# Where `.ci/run` puts pdf.js and the canvas it draws on.
NODE_MODULES = HERE.parent.parent / "target" / "node"
DPIS = (203.2, 300.0)
# Codes are read from drawings at other dots than their own that have so many for a module: with
# 2.25 a Code 128 has a decodability of 0.28, grade D (reference decode of GS1 General
# Specifications R18, page 263).
LEAST_MODULE = 2.5

# Programs that draw a page: name, command for a file, a resolution and a folder.
RASTERISERS = {
    "poppler mono": lambda pdf, dpi, out: ["pdftoppm", "-r", dpi, "-mono", pdf, f"{out}/p"],
    "poppler grey": lambda pdf, dpi, out: ["pdftoppm", "-r", dpi, "-gray", pdf, f"{out}/p"],
    "mupdf": lambda pdf, dpi, out: ["mutool", "draw", "-q", "-r", dpi, "-c", "gray",
                                    "-o", f"{out}/p-%06d.png", pdf],
    "mupdf no smoothing": lambda pdf, dpi, out: ["mutool", "draw", "-q", "-A", "0", "-r", dpi,
                                                 "-c", "gray", "-o", f"{out}/p-%06d.png", pdf],
    "ghostscript": lambda pdf, dpi, out: ["gs", "-q", "-dNOPAUSE", "-dBATCH", "-dSAFER",
                                          "-sDEVICE=pngmono", f"-r{dpi}",
                                          f"-sOutputFile={out}/p-%06d.png", pdf],
    "pdf.js": lambda pdf, dpi, out: ["node", HERE / "pdfjs.mjs", NODE_MODULES, pdf, dpi, out],
}

# What a program says about itself and not about our file: Debian builds mupdf without ICC.
ABOUT_ITSELF = {"warning: ICC support is not available"}
# Greys below this are black. pdf.js smooths in quarters of a dot, so a box that stops just short
# of half a dot (a page half a dot higher than whole ones) leaves its last row at half grey.
BLACK = defaultdict(lambda: 128, {"pdf.js": 160})


class Report:
    """Counts what held and keeps a line about what did not."""

    def __init__(self):
        self.passed = 0
        self.failures = []
        self.table = defaultdict(Counter)

    def check(self, holds, where, message):
        """Counts one check."""
        if holds:
            self.passed += 1
        else:
            self.failures.append(f"{where}: {message}")
        return holds


def run(command):
    """Runs a program and gives its exit code, output and complaints."""
    done = subprocess.run([str(part) for part in command], capture_output=True, check=False)
    return done.returncode, done.stdout.decode("utf-8", "replace"), done.stderr.decode("utf-8", "replace")


def check_structure(report, pdf):
    """qpdf must have nothing to say."""
    code, out, err = run(["qpdf", "--check", pdf])
    report.check(code == 0 and "WARNING" not in out + err, pdf.name, f"qpdf: {(out + err).strip()}")


def check_fonts(report, pdf):
    """Every font is embedded, a subset, and has its map to Unicode."""
    _, out, _ = run(["pdffonts", pdf])
    rows = out.splitlines()[2:]
    report.check(bool(rows), pdf.name, "pdffonts lists no font")
    for row in rows:
        flags = re.findall(r"\b(yes|no)\b", row)
        report.check(flags[:3] == ["yes", "yes", "yes"], pdf.name,
                     f"expected embedded, subset, Unicode: {row.strip()}")


def check_boxes(report, pdf, pages):
    """The boxes are the paper."""
    _, out, _ = run(["pdfinfo", "-box", "-f", 1, "-l", len(pages), pdf])
    for number, page in enumerate(pages, 1):
        wanted = [0.0, 0.0, *(side / MM_PER_PT for side in page["size_mm"])]
        for box in ("MediaBox", "CropBox", "TrimBox"):
            found = re.search(rf"Page\s+{number} {box}:\s+(.*)", out)
            sides = [float(side) for side in found.group(1).split()] if found else []
            near = len(sides) == 4 and all(abs(a - b) < 0.01 for a, b in zip(sides, wanted))
            report.check(near, f"{pdf.name} page {number}", f"{box} {sides}, expected {wanted}")
        turned = re.search(rf"Page\s+{number} rot:\s+(\d+)", out)
        report.check(bool(turned) and turned.group(1) == "0", f"{pdf.name} page {number}", "turned")


def check_texts(report, pdf, pages):
    """pdftotext gives back every run exactly, and two readers no more than the runs.

    No-break spaces count as spaces, which is what both readers make of them. mutool knows no
    ActualText, takes ligature characters apart and leaves out soft hyphens, so it is asked for the
    letters only.
    """
    plain = lambda it: it.replace("\xa0", " ")
    letters = lambda it: "".join(unicodedata.normalize("NFKC", it).replace("\xad", "").split())
    readers = {
        "pdftotext": lambda n: ["pdftotext", "-raw", "-enc", "UTF-8", "-f", n, "-l", n, pdf, "-"],
        "mutool": lambda n: ["mutool", "draw", "-q", "-F", "txt", pdf, n],
    }
    for name, command in readers.items():
        for number, page in enumerate(pages, 1):
            where = f"{pdf.name} page {number} {name}"
            _, text, _ = run(command(number))
            if name == "pdftotext":
                for wanted in page["texts"]:
                    holds = plain(wanted).strip() in plain(text)
                    report.check(holds, where, f"no `{wanted}` in {text!r}")
            own, found = letters("".join(page["texts"])), letters(text)
            if page["foreign"]:
                # A page of another PDF has texts of its own, before, behind or among ours.
                same = Counter(own) <= Counter(found) and len(found) > len(own)
            else:
                same = found == own
            report.check(same, where, f"text is {text!r}, expected {page['texts']}")


def squeeze(text):
    """A text without its spaces, ligature characters taken apart: what is the same to every reader."""
    return "".join(unicodedata.normalize("NFKC", text).split())


def check_tags(report, pdf, pages):
    """The tree as pdfinfo prints it has the texts of the pages in order.

    It prints no text of right to left in the order of its letters, so the samples have none.
    """
    _, out, _ = run(["pdfinfo", pdf])
    report.check(bool(re.search(r"^Tagged: +yes$", out, re.M)), pdf.name, "pdfinfo: not tagged")
    _, out, err = run(["pdfinfo", "-struct-text", pdf])
    report.check(not err.strip(), pdf.name, f"pdfinfo -struct-text: {err[:300]}")
    sections = re.split(r"^  Sect\n", out, flags=re.M)[1:]
    said = [page for page in pages if page["texts"] or page["codes"] or page["pictures"]]
    report.check(len(sections) == len(said), pdf.name, f"{len(sections)} sections of {len(said)}")
    for number, (section, page) in enumerate(zip(sections, said), 1):
        if page["foreign"]:
            # A page of another PDF is a figure, and its own texts are read as part of it.
            section = re.sub(r'^    Figure\n(      .*\n)*', "", section, flags=re.M)
        texts = re.findall(r'^ +"(.*)"$', section, re.M)
        report.check(squeeze("".join(texts)) == squeeze("".join(page["texts"])),
                     f"{pdf.name} section {number}", f"tagged is {texts}, expected {page['texts']}")


def check_elements(report, where, file, page):
    """What pdf.js finds in the tree of a page."""
    elements = json.loads(file.read_text(encoding="utf-8"))
    texts = [it["text"] for it in elements if it["role"] != "Figure"]
    report.check(squeeze("".join(texts)) == squeeze("".join(page["texts"])), where,
                 f"pdf.js has {texts}, expected {page['texts']}")
    kinds = {"code128": "Code 128", "qr": "QR", "data_matrix": "Data Matrix"}
    eans = {8: "EAN-8", 12: "UPC-A", 13: "EAN-13"}
    wanted = [f"{kinds.get(code['kind']) or eans[len(code['payload'])]}: {code['payload']}".replace("\x1d", " ")
              for code in page["codes"]]
    found = [it["alt"] for it in elements if it["role"] == "Figure"]
    report.check([it for it in found if it in wanted] == wanted and all(found), where,
                 f"pdf.js has figures {found}, expected {wanted}")


def draw(report, pdf, name, dpi, folder):
    """The pages as arrays that are true where black."""
    command = RASTERISERS[name](pdf, f"{dpi:g}", folder)
    code, _, err = run(command)
    if code:
        raise RuntimeError(f"{name}: {err}")
    # Whoever opens our files has nothing to say about them.
    said = [line for line in err.splitlines() if line.strip() and line not in ABOUT_ITSELF]
    report.check(not said, f"{pdf.name} {name}", "\n".join(said[:10]))
    files = sorted(Path(folder).glob("p*"), key=lambda file: int(re.findall(r"\d+", file.stem)[-1]))
    return [numpy.asarray(Image.open(file).convert("L")) < BLACK[name] for file in files]


def expand(code):
    """The dots of a code as an array that is true where black."""
    rows = numpy.array([[digit == "1" for digit in row] for row in code["rows"]])
    _, _, width, height = code["dots"]
    # A Code 128 is one module across, drawn as long as its bars are.
    down, across = height // rows.shape[0], width // rows.shape[1]
    return numpy.kron(rows, numpy.ones((down, across), dtype=bool))


def runs(line):
    """The lengths of runs of equal dots."""
    edges = numpy.flatnonzero(line[1:] != line[:-1]) + 1
    return numpy.diff(numpy.concatenate(([0], edges, [len(line)])))


def check_dots(report, where, name, page, code):
    """Every dot of a code is as composed; counts the runs of one module that are as wide."""
    x, y, width, height = code["dots"]
    module = code["module_dots"]
    found = page[y:y + height, x:x + width]
    wanted = expand(code)
    row = report.table[name]
    if not report.check(found.shape == wanted.shape, where, f"code off the drawing: {found.shape}"):
        return
    wrong = int((found != wanted).sum())
    row["codes"] += 1
    row["exact"] += report.check(wrong == 0, where, f"{wrong} of {wanted.size} dots differ")
    around = page[max(y - module, 0):y + height + module, max(x - module, 0):x + width + module]
    # The guards of an EAN reach further down than its other bars.
    white = code["kind"] == "ean" or int(around.sum()) == int(found.sum())
    report.check(white, where, "the dots around the code are not white")
    if code["kind"] != "code128":
        return
    lines = found if code["turn"] == "upright" else found.T
    modules = runs(numpy.array(list("".join(code["rows"]))))
    for line in (lines[0], lines[len(lines) // 2], lines[-1]):
        measured = runs(line)
        if len(measured) != len(modules):
            row["narrow"] += int((modules == 1).sum())
            continue
        row["narrow"] += int((modules == 1).sum())
        row["narrow exact"] += int(((modules == 1) & (measured == module)).sum())


def check_picture(report, where, name, page, picture):
    """Every pixel of a picture made of dots is its dot."""
    x, y, width, height = picture["dots"]
    wanted = numpy.array([[digit == "1" for digit in row] for row in picture["rows"]])
    found = page[y:y + height, x:x + width]
    wrong = int((found != wanted).sum()) if found.shape == wanted.shape else wanted.size
    report.table[name]["pictures"] += 1
    report.table[name]["pictures exact"] += report.check(
        wrong == 0, where, f"{wrong} of {wanted.size} pixels of a picture differ")


def read_zbar(image, folder):
    """What zbar reads; its XML garbles UTF-8, so payloads are taken a line each."""
    file = f"{folder}/zbar.png"
    image.save(file)
    _, out, _ = run(["zbarimg", "-q", "--raw", "-Sdisable", "-Scode128.enable",
                     "-Sqrcode.enable", "-Sean13.enable", "-Sean8.enable", file])
    return out.splitlines()


def read_zxing(image, _):
    """What zxing-cpp reads."""
    formats = [zxingcpp.BarcodeFormat.Code128, zxingcpp.BarcodeFormat.QRCode,
               zxingcpp.BarcodeFormat.EAN13, zxingcpp.BarcodeFormat.EAN8,
               zxingcpp.BarcodeFormat.DataMatrix]
    return [found.text for found in zxingcpp.read_barcodes(image, formats=formats)]


def check_reading(report, where, name, page, codes, folder):
    """Both decoders read every payload."""
    everything = Counter(code["payload"] for code in codes)
    # zbar knows no Data Matrix.
    known = Counter(code["payload"] for code in codes if code["kind"] != "data_matrix")
    image = Image.fromarray(numpy.where(page, 0, 255).astype("uint8"))
    for decoder, read, wanted in (("zbar", read_zbar, known), ("zxing-cpp", read_zxing, everything)):
        missing = wanted - Counter(read(image, folder))
        report.table[name][decoder] += sum(wanted.values()) - sum(missing.values())
        report.check(not missing, where, f"{decoder} does not read {sorted(missing)}")
    report.table[name]["to read"] += sum(everything.values())


def check_drawings(report, pdf, expected):
    """Draws every page with every program and looks at its codes."""
    pages = expected["pages"]
    # A file without codes and pictures has nothing to be judged by its drawing but that there is
    # one: one program is enough.
    bare = not any(page["codes"] or page["pictures"] for page in pages)
    for name in ["poppler grey"] if bare else RASTERISERS:
        for dpi in sorted({*DPIS, *(round(page["dpi"], 4) for page in pages)}):
            key = f"{name} at {dpi:g}"
            with tempfile.TemporaryDirectory() as folder:
                drawn = draw(report, pdf, name, dpi, folder)
                count = len(drawn) == len(pages)
                report.check(count, f"{pdf.name} {key}", f"{len(drawn)} pages of {len(pages)}")
                for number, file in enumerate(sorted(Path(folder).glob("s-*.json")), 1):
                    check_elements(report, f"{pdf.name} page {number}", file, pages[number - 1])
                for number, (found, page) in enumerate(zip(drawn, pages), 1):
                    check_drawing(report, f"{pdf.name} page {number} {key}", key, found, page,
                                  dpi, folder)


def check_drawing(report, where, name, found, page, dpi, folder):
    """Looks at the codes and pictures of one drawn page."""
    own = abs(dpi - page["dpi"]) < 0.01
    fair = [code for code in page["codes"]
            if own or code["module_dots"] * dpi / page["dpi"] >= LEAST_MODULE]
    check_reading(report, where, name, found, fair, folder)
    if own:
        for code in page["codes"]:
            check_dots(report, f"{where} {code['payload']!r}", name, found, code)
        for picture in page["pictures"]:
            check_picture(report, where, name, found, picture)


def print_table(report):
    """Shows the counts of each program."""
    print(f"{'drawn by':32} {'dot for dot':>13} {'1-module runs':>15} {'pictures':>9} {'zbar':>11} {'zxing-cpp':>11}")
    for name, row in report.table.items():
        share = lambda part, whole: f"{row[part]}/{row[whole]}"
        print(f"{name:32} {share('exact', 'codes'):>13} {share('narrow exact', 'narrow'):>15} "
              f"{share('pictures exact', 'pictures'):>9} {share('zbar', 'to read'):>11} {share('zxing-cpp', 'to read'):>11}")


def main():
    """Checks all files named."""
    report = Report()
    for file in sys.argv[1:]:
        pdf = Path(file)
        expected = json.loads(pdf.with_suffix(".json").read_text(encoding="utf-8"))
        check_structure(report, pdf)
        check_fonts(report, pdf)
        check_boxes(report, pdf, expected["pages"])
        check_texts(report, pdf, expected["pages"])
        check_tags(report, pdf, expected["pages"])
        check_drawings(report, pdf, expected)
    print_table(report)
    for failure in report.failures:
        print(f"FAILED {failure}")
    print(f"{report.passed} passed, {len(report.failures)} failed")
    return 1 if report.failures or not report.passed else 0


if __name__ == "__main__":
    sys.exit(main())
