#!/usr/bin/env python3
"""Compares imported PDF pages with their originals in other people's programs.

The driver `samples` writes each sample of the tests twice: the original, and
a new PDF with the imported page on it. The command writes it once more, through
the block `page_of`, upright and turned. `qpdf --check` must find no fault in the
new one, and poppler (pdftoppm), mupdf (mutool) and ghostscript must draw both
alike. Then each sample is written anew by those four programs, whose files are
built in other ways than ours, and imported from there. Files that qpdf encrypts
must be refused. Needs those four programs. The run fails at the first
difference.

    python3 tests/outside/pdf_import.py
"""

import json
import math
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent

# Dots an inch of the comparison.
DPI = 72

# The most that a channel may differ on average, of 255. What differs is where
# poppler snaps straight edges to pixels, which in a transparency group of a form
# it does a little differently than in one of a page; all else is equal.
TOLERANCE = 1.0


# The same for pages placed by the command, at twice the dots. Its paper is a ten
# thousandth of a millimetre smaller, so that edges on a pixel's edge, of which the
# samples have many, glyphs and the cells of patterns go another way. A page that is
# two pixels (a third of a millimetre) off differs by about as much and more; the
# tests in Rust look closer.
BLOCK_TOLERANCE = 4.0
BLOCK_DPI = 2 * DPI

# Samples whose unit is not a point, with its size; poppler leaves it out of account.
UNITS = {"unit": 1.5}

# What a program gets wrong in the original: ghostscript draws forms on layers
# that are off.
EXCEPT = {("layers", "ghostscript")}


def run(*command):
    """The standard output of a command that must succeed and say nothing bad."""
    done = subprocess.run(command, capture_output=True, check=False)
    said = (done.stdout + done.stderr).decode(errors="replace")
    if done.returncode != 0:
        sys.exit(f"{' '.join(map(str, command))} failed:\n{said}")
    return said


def poppler(pdf, page, out, unit, dpi=DPI):
    """Draws a page with poppler."""
    run("pdftoppm", "-r", str(dpi * unit), "-cropbox", "-f", page, "-l", page, "-singlefile", pdf, out)
    return Path(f"{out}.ppm")


def mupdf(pdf, page, out, _unit, dpi=DPI):
    """Draws a page with mupdf."""
    run("mutool", "draw", "-q", "-r", str(dpi), "-F", "ppm", "-o", f"{out}.ppm", pdf, page)
    return Path(f"{out}.ppm")


def ghostscript(pdf, page, out, _unit, dpi=DPI):
    """Draws a page with ghostscript as it would be printed."""
    run(
        "gs", "-q", "-dNOPAUSE", "-dBATCH", "-dSAFER", "-dUseCropBox", "-dPrinted=true",
        "-sDEVICE=ppmraw", f"-r{dpi}", f"-sPageList={page}", "-dTextAlphaBits=4",
        "-dGraphicsAlphaBits=4", f"-sOutputFile={out}.ppm", pdf,
    )
    return Path(f"{out}.ppm")


def pixels(path):
    """Width, height and the channels of a raw PPM picture."""
    data = path.read_bytes()
    fields, at = [], 0
    while len(fields) < 4:
        while data[at:at + 1].isspace():
            at += 1
        if data[at:at + 1] == b"#":
            at = data.index(b"\n", at)
            continue
        end = at
        while not data[end:end + 1].isspace():
            end += 1
        fields.append(data[at:end])
        at = end
    if fields[0] != b"P6" or fields[3] != b"255":
        sys.exit(f"{path}: not a PPM of three bytes a pixel")
    return int(fields[1]), int(fields[2]), data[at + 1:]


def difference(first, second):
    """The mean difference of a channel between two pictures of one size."""
    one, other = pixels(first), pixels(second)
    if one[:2] != other[:2]:
        sys.exit(f"{first}: {one[:2]} pixels, {second}: {other[:2]}")
    return sum(abs(a - b) for a, b in zip(one[2], other[2])) / len(one[2])


def programs():
    """The driver and the command, built."""
    run(
        "cargo", "build", "--quiet", "--manifest-path", ROOT / "Cargo.toml", "--example", "outside",
        "--bin", "slipwright",
    )
    meta = run(
        "cargo", "metadata", "--format-version", "1", "--no-deps",
        "--manifest-path", ROOT / "Cargo.toml",
    )
    built = Path(json.loads(meta)["target_directory"], "debug")
    return built / "examples" / "outside", built / "slipwright"


def check(pdf):
    """Has qpdf check a file that we wrote."""
    said = run("qpdf", "--check", pdf)
    if "No syntax or stream encoding errors" not in said:
        sys.exit(f"{pdf}: {said}")


def compare_samples(folder, samples):
    """Compares each sample with its original; returns the largest difference."""
    worst = 0
    for name, page in samples:
        source = Path(folder, f"{name}.source.pdf")
        placed = Path(folder, f"{name}.placed.pdf")
        check(placed)
        shown = []
        for draw in (poppler, mupdf, ghostscript):
            if (name, draw.__name__) in EXCEPT:
                continue
            out = f"{name}.{draw.__name__}"
            original = draw(source, page, Path(folder, f"{out}.source"), UNITS.get(name, 1))
            new = draw(placed, "1", Path(folder, f"{out}.placed"), 1)
            mean = difference(original, new)
            shown.append(f"{draw.__name__} {mean:.3f}")
            worst = max(worst, mean)
            if mean > TOLERANCE:
                sys.exit(f"{name}: {draw.__name__} draws the imported page differently: {mean:.3f}")
        print(f"{name}: {', '.join(shown)}")
    return worst


ORDER = {
    "id": "TH-1", "tag": "Marlow", "hazard": "none", "parcel": {"weight_g": 80},
    "ship_to": {"name": "Ada Marlow", "lines": ["12 Long Street"], "city": "Ternmouth",
                "postcode": "TR77 4NH", "country": "GB"},
    "items": [{"title": "Kingfisher pen", "weight_g": 24}],
}


def through_block(folder, command, name, page, size, turn):
    """A sample on paper of its own size by the block `page_of`."""
    # A thought smaller than the page: a whole number of pixels must not become one more.
    across, down = (math.floor(side * 10000) / 10000 for side in size)
    layout = f"""page: {{stock: "{across}x{down}mm", clear_edge: 0}}
makes: insert
body:
  over:
    - page_of: "{{{{ carrier_label.file }}}}"
      page: "{{{{ carrier_label.page }}}}"
      turn: {turn}
"""
    order = dict(ORDER, carrier_label={"file": f"{name}.source.pdf", "page": int(page)})
    Path(folder, "block.yaml").write_text(layout)
    Path(folder, "block.json").write_text(json.dumps([order]))
    out = Path(folder, f"{name}.{turn}.block.pdf")
    done = subprocess.run(
        [command, "render", Path(folder, "block.json"), "--layout", Path(folder, "block.yaml"),
         "-o", out],
        capture_output=True, check=False, text=True,
    )
    if done.returncode != 0:
        sys.exit(f"{name}: {done.stderr}")
    return out


def turned(path):
    """A picture turned a quarter clockwise."""
    width, height, data = pixels(path)
    rows = [data[3 * width * y:3 * width * (y + 1)] for y in range(height)]
    turned_rows = (
        b"".join(row[3 * x:3 * x + 3] for row in reversed(rows)) for x in range(width)
    )
    out = path.with_suffix(".turned.ppm")
    out.write_bytes(b"P6 %d %d 255\n" % (height, width) + b"".join(turned_rows))
    return out


def compare_blocks(folder, samples, command):
    """Compares each sample placed by the command with its original; the largest difference."""
    worst = 0
    for name, page, across, down in samples:
        source = Path(folder, f"{name}.source.pdf")
        upright, across_page = (across, down), (down, across)
        for turn, size in (("none", upright), ("quarter", across_page)):
            placed = through_block(folder, command, name, page, size, turn)
            check(placed)
            for draw in (poppler, mupdf, ghostscript):
                if (name, draw.__name__) in EXCEPT:
                    continue
                out = Path(folder, f"{name}.{turn}.{draw.__name__}")
                original = draw(source, page, f"{out}.source", UNITS.get(name, 1), BLOCK_DPI)
                if turn == "quarter":
                    original = turned(original)
                mean = difference(original, draw(placed, "1", f"{out}.block", 1, BLOCK_DPI))
                worst = max(worst, mean)
                if mean > BLOCK_TOLERANCE:
                    sys.exit(f"{name}, {turn}: {draw.__name__} draws the block differently: {mean:.3f}")
    return worst


def rewritten(source, out):
    """The file as other programs write it: their names and files."""
    writers = {
        "qpdf": ("qpdf", "--linearize", "--object-streams=generate", "--recompress-flate", source),
        "qpdf-plain": ("qpdf", "--qdf", "--object-streams=disable", source),
        "mutool": ("mutool", "clean", "-ggg", "-z", "-a", source),
        "gs": (
            "gs", "-q", "-dNOPAUSE", "-dBATCH", "-dSAFER", "-dPrinted=true", "-sDEVICE=pdfwrite",
            f"-sOutputFile={out}.gs.pdf", source,
        ),
        "cairo": ("pdftocairo", "-pdf", source),
    }
    for writer, command in writers.items():
        target = Path(f"{out}.{writer}.pdf")
        run(*command, *([] if writer == "gs" else [target]))
        yield writer, target


def compare_rewritten(folder, samples, program):
    """Imports each sample from files that others wrote; returns the largest difference."""
    worst = 0
    for name, page in samples:
        for writer, source in rewritten(Path(folder, f"{name}.source.pdf"), Path(folder, name)):
            placed = Path(folder, f"{name}.{writer}.placed.pdf")
            run(program, "page", source, page, placed)
            check(placed)
            out = Path(folder, f"{name}.{writer}")
            original = mupdf(source, page, f"{out}.source", 1)
            mean = difference(original, mupdf(placed, "1", f"{out}.placed", 1))
            worst = max(worst, mean)
            if mean > TOLERANCE:
                sys.exit(f"{name} by {writer} is drawn differently when imported: {mean:.3f}")
    return worst


def refuse_encrypted(folder, name, program):
    """Has encrypted copies of a sample refused, whatever the method and password."""
    for length in ("40", "128", "256"):
        for password in ("", "secret"):
            locked = Path(folder, f"locked.{length}.pdf")
            weak = [] if length == "256" else ["--allow-weak-crypto"]
            source = Path(folder, f"{name}.source.pdf")
            run("qpdf", *weak, "--encrypt", password, "owner", length, "--", source, locked)
            done = subprocess.run(
                [program, "page", locked, "1", Path(folder, "none.pdf")],
                capture_output=True, check=False, text=True,
            )
            if done.returncode != 1 or "protected with a password" not in done.stderr:
                sys.exit(f"{locked} is not refused: {done}")


def main():
    """Makes the files, checks and compares them, and says how much they differ."""
    program, command = programs()
    with tempfile.TemporaryDirectory() as folder:
        lines = run(program, "samples", folder).splitlines()
        samples = [tuple(line.split()[:2]) for line in lines]
        worst = compare_samples(folder, samples)
        print(f"all alike; the largest mean difference is {worst:.3f} of 255")
        sized = [(name, page, float(across), float(down))
                 for name, page, across, down in (line.split() for line in lines)]
        worst = compare_blocks(folder, sized, command)
        print(f"alike through the block too; the largest mean difference is {worst:.3f} of 255")
        worst = compare_rewritten(folder, samples, program)
        print(f"alike from other writers' files too; the largest difference is {worst:.3f}")
        refuse_encrypted(folder, "marks", program)
        print("encrypted copies are refused")


if __name__ == "__main__":
    main()
