#!/usr/bin/env python3
"""Judges colour in our PDFs by programs that are not ours.

The engine (the example `outside`) writes a page of patches in the inks of a layout, and a page without
ink. Then:

- poppler, mupdf, ghostscript and pdf.js draw the patches, and each is the ink that the layout says, to
  one of 255 steps;
- qpdf and mutool find one output intent in each file, of the subtype that PDF/A asks for
  (ISO 19005-2, 6.2.3), with as many components as its profile has;
- littlecms (by Pillow) takes the profiles as they are: what the colours' profile makes of every patch is
  what littlecms' own sRGB makes of it, and what the grey's makes of a grey is gamma 2.2, both to one step.

    python3 tests/outside/colour.py

Needs poppler-utils, mupdf-tools, ghostscript, qpdf, nodejs; Python's pillow and numpy; pdfjs-dist and
@napi-rs/canvas of npm in target/node.
"""

import io
import json
import re
import subprocess
import sys
from pathlib import Path

import numpy
from PIL import Image, ImageCms

ROOT = Path(__file__).resolve().parent.parent.parent
FOLDER = ROOT / "target" / "outside" / "colours"
NODE = [ROOT / "tests" / "outside" / "pdfjs.mjs", ROOT / "target" / "node"]
DPI = 300

# Programs that draw the first page in colour: the command for a file and the drawing's name.
RASTERISERS = {
    "poppler": lambda pdf, out: ["pdftoppm", "-r", DPI, "-png", "-singlefile", pdf, out.with_suffix("")],
    "mupdf": lambda pdf, out: ["mutool", "draw", "-q", "-r", DPI, "-c", "rgb", "-o", out, pdf, "1"],
    "ghostscript": lambda pdf, out: ["gs", "-q", "-dNOPAUSE", "-dBATCH", "-dSAFER", "-sDEVICE=png16m",
                                     f"-r{DPI}", f"-sOutputFile={out}", pdf],
    "pdf.js": lambda pdf, out: ["node", *NODE, pdf, DPI, out.parent],
}


def run(command):
    """What a program prints, as bytes."""
    return subprocess.run([str(part) for part in command], check=True, capture_output=True).stdout


def near(one, other):
    """Whether two colours are the same to one step of 255."""
    return all(abs(a - b) <= 1 for a, b in zip(one, other, strict=True))


def list_pixels(image):
    """The pixels of a picture in colour, row by row."""
    return numpy.asarray(image).reshape(-1, 3).tolist()


def check_patches(wrong):
    """Draws the patches with every program and looks at the middle of each."""
    patches = json.loads((FOLDER / "colours.json").read_text())["patches"]
    passed = 0
    for name, command in RASTERISERS.items():
        out = FOLDER / name.replace(".", "") / ("p-000001.png" if name == "pdf.js" else "page.png")
        out.parent.mkdir(exist_ok=True)
        run(command(FOLDER / "colours.pdf", out))
        page = Image.open(out).convert("RGB")
        for patch in patches:
            x, y, width, height = patch["mm"]
            spot = [round(mm / 25.4 * DPI) for mm in (x + width / 2, y + height / 2)]
            wanted = tuple(bytes.fromhex(patch["ink"][1:]))
            found = page.getpixel(tuple(spot))
            passed += 1
            if not near(found, wanted):
                wrong.append(f"{name}: {patch['ink']} is drawn as {found}")
    return passed


def read_profile(file, components, wrong):
    """The profile of the one output intent of a file, as PDF/A has it."""
    run(["qpdf", "--check", file])
    intents = run(["mutool", "show", file, "trailer/Root/OutputIntents"]).decode()
    if intents.count("/DestOutputProfile") != 1 or not re.search(r"/S\s*/GTS_PDFA1\b", intents):
        wrong.append(f"{file.name}: expected one intent of GTS_PDFA1, found {intents}")
    place = "trailer/Root/OutputIntents/1/DestOutputProfile"
    if f"/N {components}" not in run(["mutool", "show", file, place]).decode():
        wrong.append(f"{file.name}: the profile is not said to have {components} components")
    return run(["mutool", "show", "-b", file, place])


def check_srgb(profile, wrong):
    """Everything that the colours' profile means is what littlecms' own sRGB means."""
    ours = ImageCms.ImageCmsProfile(io.BytesIO(profile))
    if (ours.profile.xcolor_space.strip(), ours.profile.device_class) != ("RGB", "mntr"):
        wrong.append(f"the profile is for {ours.profile.xcolor_space}, {ours.profile.device_class}")
    steps = range(0, 256, 15)
    colours = [(red, green, blue) for red in steps for green in steps for blue in steps]
    image = Image.new("RGB", (len(colours), 1))
    image.putdata(colours)
    theirs = ImageCms.createProfile("sRGB")
    intent = ImageCms.Intent.RELATIVE_COLORIMETRIC
    made = ImageCms.profileToProfile(image, ours, theirs, renderingIntent=intent, outputMode="RGB")
    for colour, found in zip(colours, list_pixels(made), strict=True):
        if not near(colour, found):
            wrong.append(f"{colour} of our profile is {found} of littlecms' sRGB")
    return len(colours)


def check_grey(profile, wrong):
    """Every grey means gamma 2.2, which is another curve than that of sRGB."""
    ours = ImageCms.ImageCmsProfile(io.BytesIO(profile))
    greys = list(range(256))
    image = Image.new("L", (256, 1))
    image.putdata(greys)
    theirs = ImageCms.createProfile("sRGB")
    intent = ImageCms.Intent.RELATIVE_COLORIMETRIC
    made = ImageCms.profileToProfile(image, ours, theirs, renderingIntent=intent, outputMode="RGB")
    for grey, found in zip(greys, list_pixels(made), strict=True):
        light = (grey / 255) ** (0x0233 / 256)
        # The formula of IEC 61966-2-1.
        curved = 12.92 * light if light <= 0.0031308 else 1.055 * light ** (1 / 2.4) - 0.055
        if not near(found, [round(curved * 255)] * 3):
            wrong.append(f"grey {grey} is {found}, expected {curved * 255:.1f}")
    return len(greys)


def main():
    """Draws and compares everything."""
    command = ["cargo", "run", "--locked", "--quiet", "--example", "outside", "--", "colours", FOLDER]
    subprocess.run(command, cwd=ROOT, check=True)
    wrong = []
    patches = check_patches(wrong)
    colours = check_srgb(read_profile(FOLDER / "colours.pdf", 3, wrong), wrong)
    greys = check_grey(read_profile(FOLDER / "grey.pdf", 1, wrong), wrong)
    if wrong:
        sys.exit("\n".join([f"{len(wrong)} differences", *wrong[:40]]))
    print(f"{patches} patches are drawn in their inks, {colours} colours and {greys} greys mean what they say")


if __name__ == "__main__":
    main()
