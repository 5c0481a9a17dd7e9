#!/usr/bin/env python3
"""Prints from the desk's page, and on both sides, on a real print system and a simulated printer.

An evening is lined up, and a browser makes its papers and prints its labels (`desk_print.mjs`). What arrives is
read with the reader of CUPS: it is the kit's dots, every one, and its codes are those of the line, in its order.
Then cards with a back go to printers that turn paper over, straight and through a queue: sides, order and dots
are as the layout says.

    python3 tests/outside/printing_page.py [FOLDER FOR PICTURES]
"""

import json
import os
import re
import subprocess
import sys
from pathlib import Path

from PIL import Image, ImageChops

sys.path.insert(0, str(Path(__file__).parent))
import pwg  # noqa: E402
from printing import PROGRAM, ROOT, SHOP, Printer, bits, ours, started_lab  # noqa: E402

# A card with a back, turned over one of its edges.
CARD = """page: {stock: 100x150mm, inset: 8}
makes: insert
body:
  down:
    - text: "{{ ship_to.name }}"
    - code128: "{{ orders[0].id }}"
      height: 12
back:
  down:
    - text: "{{ shop.returns }}"
sheet: {stock: 100x150mm, duplex: EDGE, marks: false}
"""


def run(lab, folder, *arguments):
    """Runs our command in a folder; what it says."""
    environment = {**os.environ, "CUPS_SERVER": f"127.0.0.1:{lab.port}"}
    done = subprocess.run(
        [str(PROGRAM), *arguments], cwd=folder, env=environment, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, f"{arguments} ended with {done.returncode}: {done.stdout}{done.stderr}"
    return done.stdout


def line_up(lab, printer):
    """A folder with an evening that is lined up and not printed, and its shop file."""
    folder = lab.folder / "desk"
    folder.mkdir()
    printers = f'  bench: {{queue: queue-203, dpi: 203}}\n  straight: {{queue: "{printer.address()}", dpi: 203}}\n'
    (folder / "shop.yaml").write_text(f"{SHOP}printers:\n{printers}")
    orders = json.loads((ROOT / "samples/evening.json").read_text())
    orders["orders"] = orders["orders"][:6]
    (folder / "orders.json").write_text(json.dumps(orders))
    run(lab, folder, "ledger", "take-in", "orders.json")
    run(lab, folder, "ledger", "line-up", "--all")
    return folder


def dots_of(cups, place):
    """The pages of a file of dots, as black and white."""
    return [bits(header, rows) for header, rows in pwg.read_pages(cups, place)]


def check_same(there, here, what):
    """Pages that arrived are pages of ours, dot for dot."""
    assert len(there) == len(here), f"{what}: {len(there)} pages arrived of {len(here)}"
    for number, (one, other) in enumerate(zip(there, here), 1):
        assert one.size == other.size, f"{what}, page {number}: {one.size} and {other.size}"
        differs = ImageChops.logical_xor(one, other).getbbox()
        assert differs is None, f"{what}, page {number}: dots differ in {differs}"


def read_code(page, place):
    """What another reader reads on a label."""
    page.convert("L").save(place)
    said = subprocess.run(["zbarimg", "--quiet", "--raw", place], capture_output=True, text=True, check=False)
    return next((line for line in said.stdout.splitlines() if line.startswith("SW/")), "")


def check_page(cups, lab, printer, pictures):
    """The labels of an evening, printed from the page; how many."""
    folder = line_up(lab, printer)
    environment = {**os.environ, "CUPS_SERVER": f"127.0.0.1:{lab.port}"}
    script = ["node", ROOT / "tests/outside/desk_print.mjs", folder, printer.folder, "queue-203", *pictures]
    subprocess.run([str(part) for part in script], env=environment, check=True)
    kept = dots_of(cups, folder / "sitting-1/labels.pwg")
    arrived = dots_of(cups, folder / "all.pwg")
    check_same(arrived, kept, "all labels")
    check_same(dots_of(cups, folder / "part.pwg"), kept[1:3], "pages 2 and 3")
    check_same(dots_of(cups, folder / "straight.pwg"), kept[:1], "page 1")
    line = json.loads(run(lab, folder, "ledger", "list", "line", "--json"))
    parcels, key = line["parcels"], line["sitting"]["key"]
    assert len(parcels) == len(arrived)
    for parcel, page in zip(parcels, arrived):
        code = read_code(page, folder / "label.png")
        wanted = rf"SW/L/{parcel['pair']}/{parcel['number']}-\d+/{key}"
        assert re.fullmatch(wanted, code), f"label {parcel['number']} reads as {code}"
    return len(arrived)


# How printers take the backs of sheets turned over an edge (PWG 5102.4, PwgRasterDocumentSheetBack); others take
# them as they are seen.
BACKS = {
    ("rotated", "long-edge"): Image.Transpose.ROTATE_180,
    ("manual-tumble", "short-edge"): Image.Transpose.ROTATE_180,
    ("flipped", "long-edge"): Image.Transpose.FLIP_TOP_BOTTOM,
    ("flipped", "short-edge"): Image.Transpose.FLIP_LEFT_RIGHT,
}


def turn_back(image, place, back, edge):
    """A page as a printer takes it: every second one is a back."""
    turn = BACKS.get((back, edge))
    return image if turn is None or place % 2 == 0 else image.transpose(turn)


def check_sides(cups, lab, back):
    """Cards with backs on a printer that takes them in one way, turned over either edge, straight and through a
    queue; how many sheets."""
    printer = Printer(lab, 203, sides="two-sided-long-edge,two-sided-short-edge", back=back)
    lab.add_queue(f"queue-{back}", printer)
    folder = lab.folder / f"sides-{back}"
    folder.mkdir()
    queues = f'  straight: {{queue: "{printer.address()}", dpi: 203}}\n  through: {{queue: queue-{back}, dpi: 203}}\n'
    returns = "returns: Write before you send it back.\n"
    (folder / "shop.yaml").write_text(f"{SHOP}{returns}printers:\n{queues}")
    (folder / "orders.json").write_bytes((ROOT / "samples/evening.json").read_bytes())
    sheets = 0
    for edge, tumble in (("long-edge", 0), ("short-edge", 1)):
        (folder / "card.yaml").write_text(CARD.replace("EDGE", edge))
        made = ("render", "orders.json", "--only", "1-3", "--layout", "card.yaml", "--printer", "straight", "-o")
        for page in folder.glob("*.png"):
            page.unlink()
        run(lab, folder, *made, "card.pwg")
        run(lab, folder, *made, "card.png")
        drawn = sorted(folder.glob("card*.png"))
        for way in ("straight", "through"):
            answer = json.loads(run(lab, folder, "print", "card.pwg", "--printer", way, "--json"))
            assert answer["printed"] is True and answer["sides"] == f"two-sided-{edge}", answer
            place, _ = printer.arrived()
            asked = (printer.folder / "sides").read_text().strip()
            assert asked == f"two-sided-{edge}", f"{way}: {asked} was asked for"
            there = []
            for header, rows in pwg.read_pages(cups, place):
                assert (header.Duplex, header.Tumble) == (1, tumble), f"{back}, {way}, {edge}"
                there.append(bits(header, rows))
            here = [ours(it, page.size) for it, page in zip(drawn, there)]
            if way == "straight":
                # A queue does not tell how its printer takes backs.
                here = [turn_back(it, place, back, edge) for place, it in enumerate(here)]
            check_same(there, here, f"{back}, {way}, {edge}")
            sheets += len(there) // 2
    return sheets


def main():
    """Checks everything."""
    subprocess.run(["cargo", "build", "--locked", "--quiet", "--bins"], cwd=ROOT, check=True)
    cups = pwg.load()
    with started_lab() as lab:
        printer = Printer(lab, 203)
        lab.add_queue("queue-203", printer)
        labels = check_page(cups, lab, printer, sys.argv[1:2])
        print(f"{labels} labels printed from the page arrived dot for dot in the order of the line, and a part of them")
        sheets = sum(check_sides(cups, lab, back) for back in ("normal", "rotated", "flipped", "manual-tumble"))
        print(f"{sheets} sheets with backs arrived dot for dot, turned as their layout and their printer say")
    return 0


if __name__ == "__main__":
    sys.exit(main())
