#!/usr/bin/env python3
"""Reads our PWG Raster with the reader of CUPS; its dots must be those of our PNG.

CUPS's library is what a print queue itself reads such files with. The shipped layouts are made from the
sample orders at 203.2 and 300 dots an inch; of every page size, resolution and kind of pixels are looked
at, and every dot.

    python3 tests/outside/pwg.py
"""

import ctypes
import os
import subprocess
import sys
import tempfile
from pathlib import Path

from PIL import Image

ROOT = Path(__file__).resolve().parent.parent.parent
READ = 0  # CUPS_RASTER_READ
LAYOUTS = {
    "label-4x6in": (288, 432),
    "label-100x150mm": (283, 425),
    "letter-label-62x100mm": (283, 176),
    "bench-card": (283, 176),
    "slip-a4": (595, 842),
}


class Header(ctypes.Structure):
    """cups_page_header2_t of cups/raster.h: the page header in the order of its octets."""

    _fields_ = [
        ("MediaClass", ctypes.c_char * 64),
        ("MediaColor", ctypes.c_char * 64),
        ("MediaType", ctypes.c_char * 64),
        ("OutputType", ctypes.c_char * 64),
        ("AdvanceDistance", ctypes.c_uint),
        ("AdvanceMedia", ctypes.c_uint),
        ("Collate", ctypes.c_uint),
        ("CutMedia", ctypes.c_uint),
        ("Duplex", ctypes.c_uint),
        ("HWResolution", ctypes.c_uint * 2),
        ("ImagingBoundingBox", ctypes.c_uint * 4),
        ("InsertSheet", ctypes.c_uint),
        ("Jog", ctypes.c_uint),
        ("LeadingEdge", ctypes.c_uint),
        ("Margins", ctypes.c_uint * 2),
        ("ManualFeed", ctypes.c_uint),
        ("MediaPosition", ctypes.c_uint),
        ("MediaWeight", ctypes.c_uint),
        ("MirrorPrint", ctypes.c_uint),
        ("NegativePrint", ctypes.c_uint),
        ("NumCopies", ctypes.c_uint),
        ("Orientation", ctypes.c_uint),
        ("OutputFaceUp", ctypes.c_uint),
        ("PageSize", ctypes.c_uint * 2),
        ("Separations", ctypes.c_uint),
        ("TraySwitch", ctypes.c_uint),
        ("Tumble", ctypes.c_uint),
        ("cupsWidth", ctypes.c_uint),
        ("cupsHeight", ctypes.c_uint),
        ("cupsMediaType", ctypes.c_uint),
        ("cupsBitsPerColor", ctypes.c_uint),
        ("cupsBitsPerPixel", ctypes.c_uint),
        ("cupsBytesPerLine", ctypes.c_uint),
        ("cupsColorOrder", ctypes.c_uint),
        ("cupsColorSpace", ctypes.c_uint),
        ("cupsCompression", ctypes.c_uint),
        ("cupsRowCount", ctypes.c_uint),
        ("cupsRowFeed", ctypes.c_uint),
        ("cupsRowStep", ctypes.c_uint),
        ("cupsNumColors", ctypes.c_uint),
        ("rest", ctypes.c_char * (1796 - 424)),
    ]


def load():
    """The functions of CUPS's library."""
    cups = ctypes.CDLL("libcups.so.2")
    cups.cupsRasterOpen.restype = ctypes.c_void_p
    cups.cupsRasterOpen.argtypes = [ctypes.c_int, ctypes.c_int]
    cups.cupsRasterReadHeader2.argtypes = [ctypes.c_void_p, ctypes.POINTER(Header)]
    cups.cupsRasterReadPixels.argtypes = [ctypes.c_void_p, ctypes.c_char_p, ctypes.c_uint]
    cups.cupsRasterClose.argtypes = [ctypes.c_void_p]
    return cups


def read_pages(cups, path):
    """Every page of a file: its header and its rows."""
    file = os.open(path, os.O_RDONLY)
    raster = cups.cupsRasterOpen(file, READ)
    assert raster, f"{path}: CUPS does not open it"
    header = Header()
    while cups.cupsRasterReadHeader2(raster, header):
        size = header.cupsBytesPerLine * header.cupsHeight
        rows = ctypes.create_string_buffer(size)
        assert cups.cupsRasterReadPixels(raster, rows, size) == size, f"{path}: cut off"
        yield header, rows.raw
    cups.cupsRasterClose(raster)
    os.close(file)


def render(folder, layout, dpi, name):
    """The sample orders in a layout."""
    command = [ROOT / "target/debug/slipwright", "render", ROOT / "samples/evening.json", "--combine"]
    command += ["--shop", folder / "shop.yaml", "--layout", layout, "--dpi", str(dpi), "-o", folder / name]
    subprocess.run(command, check=True, capture_output=True)


def compare(cups, folder, layout, dpi):
    """Compares all pages of a layout with our PNG; how many there are."""
    render(folder, layout, dpi, "made.pwg")
    render(folder, layout, dpi, "made.png")
    pictures = sorted(folder.glob("made*.png"))
    count = 0
    for picture, (header, rows) in zip(pictures, read_pages(cups, folder / "made.pwg"), strict=True):
        with Image.open(picture) as image:
            size = (header.cupsWidth, header.cupsHeight)
            assert size == image.size, f"{layout}: {size}, and the PNG has {image.size}"
            # Both pack eight dots a byte; 1 is black here and white there.
            black = image.convert("1").point(lambda value: 255 - value)
            assert black.tobytes() == rows, f"{layout}: dots of page {count + 1} differ"
        kind = (header.cupsColorSpace, header.cupsBitsPerPixel, header.cupsBitsPerColor)
        assert kind == (3, 1, 1), f"{layout}: {kind}"
        assert tuple(header.HWResolution) == (round(dpi), round(dpi)), f"{layout}: resolution"
        assert tuple(header.PageSize) == LAYOUTS[layout], f"{layout}: {tuple(header.PageSize)}"
        count += 1
    for picture in pictures:
        picture.unlink()
    return count


def main():
    """Compares everything."""
    # With an example beside it, so that the same dependencies serve as in the tests.
    build = ["cargo", "build", "--locked", "--quiet", "--bins", "--example", "outside"]
    subprocess.run(build, cwd=ROOT, check=True)
    cups = load()
    pages = 0
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        # The samples' own printers have corrections of their own, which both formats would share.
        (folder / "shop.yaml").write_text((ROOT / "samples/shop.yaml").read_text())
        for layout in LAYOUTS:
            for dpi in (203.2, 300):
                pages += compare(cups, folder, layout, dpi)
    print(f"{pages} pages: CUPS reads the dots of our PNG")
    return 0


if __name__ == "__main__":
    sys.exit(main())
