#!/usr/bin/env python3
"""Prints on a real print system (CUPS) and a simulated printer (ippeveprinter of cups-ipp-utils).

What arrives at the printer is read with the reader of CUPS and compared with our PNG, dot for dot: sent to
the printer itself, and through a driverless queue; on 4×6 in, 100×150 mm and a 62 mm roll, at 203 and 300
dots an inch. Then PDFs through the filters of a queue: composed on the queue's own dots every bar arrives as
wide as it was drawn; composed on 203.2 it does not, which is what `sends: pdf` is for. Last, what a paused, refusing,
missing, switched off or empty printer makes of a job, and what we say of it.

    python3 tests/outside/printing.py

Nothing of the machine's own print system is touched: both servers have their own folders and ports.
"""

import json
import os
import shutil
import socket
import subprocess
import sys
import tempfile
import time
from contextlib import contextmanager
from pathlib import Path

from PIL import Image, ImageChops

sys.path.insert(0, str(Path(__file__).parent))
import pwg  # noqa: E402

ROOT = Path(__file__).resolve().parent.parent.parent
PROGRAM = ROOT / "target" / "debug" / "slipwright"
# Layouts with the paper that they are printed on, width and length in hundredths of a millimetre.
PAPERS = {
    "label-4x6in": (10160, 15240),
    "label-100x150mm": (10000, 15000),
    "letter-label-62x100mm": (6200, 10000),
}
BUS = """<!DOCTYPE busconfig PUBLIC "-//freedesktop//DTD D-Bus Bus Configuration 1.0//EN"
 "http://www.freedesktop.org/standards/dbus/1.0/busconfig.dtd">
<busconfig><type>system</type><listen>unix:path={folder}/bus</listen><auth>EXTERNAL</auth>
<policy context="default"><allow user="*"/><allow own="*"/><allow send_destination="*"/>
<allow receive_type="method_call"/><allow receive_type="method_return"/><allow receive_type="signal"/>
<allow receive_type="error"/></policy></busconfig>
"""
# What a printed document goes through: it is kept, and while there is a file `empty` the printer is out
# of paper.
KEEP = """#!/bin/sh
if [ -e "{folder}/empty" ]; then
    echo "STATE: +media-empty" >&2
    while [ -e "{folder}/empty" ]; do sleep 0.2; done
    echo "STATE: -media-empty" >&2
fi
cp "$1" "{folder}/arrived.part"
echo "$IPP_MEDIA_COL" > "{folder}/media"
echo "$IPP_SIDES" > "{folder}/sides"
mv "{folder}/arrived.part" "{folder}/arrived"
"""
CUPSD = """LogLevel debug
Listen 127.0.0.1:{port}
Listen {folder}/cups/run/sock
Browsing Off
DefaultAuthType None
WebInterface No
PreserveJobHistory Yes
<Location />
Order allow,deny
Allow localhost
</Location>
<Location /admin>
Order allow,deny
Allow localhost
</Location>
<Policy default>
JobPrivateAccess all
JobPrivateValues none
<Limit All>
Order deny,allow
</Limit>
</Policy>
"""
FILES = """ServerRoot {folder}/cups
RequestRoot {folder}/cups/spool
CacheDir {folder}/cups/cache
StateDir {folder}/cups/state
TempDir {folder}/cups/tmp
AccessLog {folder}/cups/log/access
ErrorLog {folder}/cups/log/error
PageLog {folder}/cups/log/page
SystemGroup root
User {user}
Group {group}
"""
SHOP = """name: Tern Hollow Pens
address: {company: Tern Hollow Pens, lines: [7 Saltings Lane], city: Ternmouth, postcode: TR77 4NH, country: GB}
currency: GBP
kit: {bench_cards: none, slips: none, inserts: none, handover_list: none, overview: none}
"""


def free_port():
    """A port that nobody listens at."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def wait_for(what, is_there, seconds=20):
    """Waits until something is there."""
    until = time.monotonic() + seconds
    while not is_there():
        assert time.monotonic() < until, f"{what} did not come"
        time.sleep(0.05)


def listens(port):
    """Whether somebody listens at a port."""
    with socket.socket() as probe:
        return probe.connect_ex(("127.0.0.1", port)) == 0


def printer_attributes(dpi, pixels, sides, back):
    """The attribute file of a label printer of so many dots an inch, which takes some kinds of pixels, prints on
    one side and in what other ways are named, and takes backs in one way."""
    sizes = [f"{{\nMEMBER integer x-dimension {w}\nMEMBER integer y-dimension {h}\n}}" for w, h in PAPERS.values()]
    margins = "".join(f"MEMBER integer media-{side}-margin 0\n" for side in ("left", "right", "top", "bottom"))
    columns = [f"{{\nMEMBER collection media-size {size}\n{margins}}}" for size in sizes]
    lines = [
        "ATTR keyword media-supported na_index-4x6_4x6in,custom_100x150mm_100x150mm,custom_62x100mm_62x100mm",
        "ATTR keyword media-default na_index-4x6_4x6in",
        "ATTR keyword media-ready na_index-4x6_4x6in",
        "ATTR collection media-size-supported " + ",".join(sizes),
        f"ATTR collection media-col-default {columns[0]}",
        "ATTR collection media-col-database " + ",".join(columns),
        "ATTR keyword media-col-supported media-bottom-margin,media-left-margin,media-right-margin,"
        "media-size,media-size-name,media-top-margin",
        *(f"ATTR integer media-{side}-margin-supported 0" for side in ("left", "right", "top", "bottom")),
        "ATTR mimeMediaType document-format-supported image/pwg-raster,application/octet-stream",
        "ATTR mimeMediaType document-format-default image/pwg-raster",
        f"ATTR resolution pwg-raster-document-resolution-supported {dpi}dpi",
        f"ATTR keyword pwg-raster-document-type-supported {pixels}",
        f"ATTR resolution printer-resolution-supported {dpi}dpi",
        f"ATTR resolution printer-resolution-default {dpi}dpi",
        "ATTR keyword sides-supported " + ",".join(["one-sided", *filter(None, sides.split(","))]),
        "ATTR keyword sides-default one-sided",
        f"ATTR keyword pwg-raster-document-sheet-back {back}",
        "ATTR keyword print-color-mode-supported monochrome",
        "ATTR keyword print-color-mode-default monochrome",
    ]
    return "\n".join(lines) + "\n"


class Printer:
    """A simulated label printer."""

    def __init__(self, lab, dpi, pixels="black_1,sgray_8", sides="", back="normal"):
        self.lab, self.dpi, self.port = lab, dpi, free_port()
        self.folder = lab.folder / f"printer-{dpi}-{pixels}-{sides}-{back}"
        self.folder.mkdir()
        (self.folder / "attributes").write_text(printer_attributes(dpi, pixels, sides, back))
        keep = self.folder / "keep"
        keep.write_text(KEEP.format(folder=self.folder))
        keep.chmod(0o755)
        (self.folder / "spool").mkdir()
        self.on()

    def on(self):
        """Switches it on."""
        command = ["ippeveprinter", "-r", "off", "-n", "localhost", "-p", str(self.port)]
        command += ["-d", self.folder / "spool", "-c", self.folder / "keep", "-a", self.folder / "attributes"]
        environment = {**os.environ, "DBUS_SYSTEM_BUS_ADDRESS": f"unix:path={self.lab.folder}/bus"}
        self.process = self.lab.start([*command, f"Label {self.dpi}"], environment)
        wait_for("the printer", lambda: listens(self.port))

    def off(self):
        """Switches it off."""
        self.process.kill()
        self.process.wait()

    def address(self):
        """Its address."""
        return f"ipp://localhost:{self.port}/ipp/print"

    def arrived(self):
        """What arrived last, taken away; and the media that was asked for."""
        wait_for("the document", (self.folder / "arrived").exists)
        place = self.folder / "arrived.pwg"
        (self.folder / "arrived").rename(place)
        return place, (self.folder / "media").read_text()


class Lab:
    """Servers of our own, in a folder of their own."""

    def __init__(self, folder):
        self.folder, self.processes, self.port = folder, [], free_port()
        os.chmod(folder, 0o755)

    def start(self, command, environment=None):
        """Starts a server."""
        log = open(self.folder / f"{Path(command[0]).name}.log", "ab")
        process = subprocess.Popen(
            [str(part) for part in command], stdout=log, stderr=log, stdin=subprocess.DEVNULL, env=environment
        )
        self.processes.append(process)
        return process

    def start_bus(self):
        """Starts a bus: ippeveprinter asks for one, although it announces nothing."""
        (self.folder / "bus.conf").write_text(BUS.format(folder=self.folder))
        self.start(["dbus-daemon", f"--config-file={self.folder}/bus.conf", "--nofork"])
        wait_for("the bus", (self.folder / "bus").exists)

    def start_cups(self):
        """Starts the print system; its filters never run as root."""
        for name in ("spool", "cache", "state", "tmp", "log", "ppd", "run"):
            (self.folder / "cups" / name).mkdir(parents=True)
        # Filters write what they work on there, as the user that they run as.
        (self.folder / "cups" / "tmp").chmod(0o777)
        is_root = os.getuid() == 0
        user, group = ("lp", "lp") if is_root else (os.environ.get("USER", "nobody"), "nogroup")
        (self.folder / "cupsd.conf").write_text(CUPSD.format(folder=self.folder, port=self.port))
        files = FILES.format(folder=self.folder, user=user, group=group)
        (self.folder / "cups-files.conf").write_text(files)
        self.start(["cupsd", "-f", "-c", self.folder / "cupsd.conf", "-s", self.folder / "cups-files.conf"])
        wait_for("the print system", lambda: listens(self.port))

    def admin(self, *command):
        """Runs a command of the print system."""
        environment = {**os.environ, "CUPS_SERVER": f"127.0.0.1:{self.port}"}
        subprocess.run(command, env=environment, check=True, capture_output=True)

    def is_idle(self):
        """Whether no job waits in any queue."""
        environment = {**os.environ, "CUPS_SERVER": f"127.0.0.1:{self.port}"}
        return not subprocess.run(["lpstat", "-o"], env=environment, check=True, capture_output=True).stdout

    def add_queue(self, name, printer):
        """Sets up a driverless queue; its description is made from what the printer says, a moment later."""
        self.admin("lpadmin", "-p", name, "-E", "-v", printer.address(), "-m", "everywhere")
        description = self.folder / "cups" / "ppd" / f"{name}.ppd"
        wait_for("the queue's description", lambda: description.exists() and description.stat().st_size > 0)

    def tell_logs(self):
        """Tells the last that the servers wrote down."""
        for log in [*self.folder.glob("*.log"), *self.folder.glob("cups/log/error")]:
            lines = log.read_text(errors="replace").splitlines()[-60:]
            print(f"-- {log.name}", *lines, sep="\n", file=sys.stderr)

    def stop(self):
        """Stops all of them."""
        for process in self.processes:
            process.kill()
            process.wait()


class Bench:
    """A folder with orders, a shop file and documents."""

    def __init__(self, lab, printers):
        self.lab, self.folder = lab, lab.folder / "bench"
        self.folder.mkdir()
        shutil.copy(ROOT / "samples/evening.json", self.folder / "orders.json")
        lines = ["printers:"]
        for printer in printers:
            dpi = printer.dpi
            lines.append(f'  direct-{dpi}: {{queue: "{printer.address()}", dpi: {dpi}}}')
            lines.append(f"  queue-{dpi}: {{queue: queue-{dpi}, dpi: {dpi}}}")
            lines.append(f"  filters-{dpi}: {{queue: queue-{dpi}, dpi: {dpi}, sends: pdf}}")
        lines.append("  missing: {queue: nobody-set-it-up, dpi: 203}")
        self.shop = SHOP + "\n".join(lines) + "\n"
        (self.folder / "shop.yaml").write_text(self.shop)

    def run(self, *arguments, code=0):
        """Runs our command; what it says, and its errors."""
        environment = {**os.environ, "CUPS_SERVER": f"127.0.0.1:{self.lab.port}"}
        done = subprocess.run(
            [str(PROGRAM), *arguments], cwd=self.folder, env=environment, capture_output=True, text=True, check=False
        )
        assert done.returncode == code, f"{arguments} ended with {done.returncode}: {done.stdout}{done.stderr}"
        return done.stdout, done.stderr

    def print(self, document, printer, *more):
        """Prints, and sees that it is printed; the answer."""
        answer = json.loads(self.run("print", document, "--printer", printer, "--json", *more)[0])
        assert answer["printed"] is True and answer["state"] == "completed", answer
        return answer

    def make(self, layout, printer):
        """A kit with labels in a layout, and the same labels as pictures, for a printer."""
        chosen = f"defaults: {{layout: {layout}}}\n"
        # Labels go to the first printer of the file: it is put first.
        name = f"  {printer}:"
        lines = [line for line in self.shop.splitlines() if line.startswith("  ")]
        lines.sort(key=lambda line: not line.startswith(name))
        head = self.shop.split("printers:")[0]
        (self.folder / "shop.yaml").write_text(head + "printers:\n" + "\n".join(lines) + "\n" + chosen)
        shutil.rmtree(self.folder / "kit", ignore_errors=True)
        self.run("kit", "orders.json", "--combine", "--no-proof", "--to", "kit")
        for picture in self.folder.glob("page*.png"):
            picture.unlink()
        self.run("render", "orders.json", "--combine", "--printer", printer, "-o", "page.png")
        return sorted(self.folder.glob("page*.png"))


def bits(header, rows):
    """A page that arrived as black and white, whatever pixels it has."""
    size = (header.cupsWidth, header.cupsHeight)
    if header.cupsBitsPerPixel == 1:
        # 1 is black there and white in a picture.
        return Image.frombytes("1", size, bytes(255 - byte for byte in rows), "raw", "1", header.cupsBytesPerLine)
    assert header.cupsBitsPerPixel == 8 and header.cupsColorSpace == 18, "neither bits nor grey"
    gray = Image.frombytes("L", size, rows, "raw", "L", header.cupsBytesPerLine)
    return gray.point(lambda value: 255 if value > 127 else 0).convert("1")


def ours(picture, size):
    """Our picture as it lies on the printer's paper."""
    with Image.open(picture) as image:
        image = image.convert("1")
        if image.width > image.height and size[0] < size[1]:
            image = image.transpose(Image.Transpose.ROTATE_270)
        return image


def check_dots(cups, bench, printers):
    """Every dot arrives, straight and through a queue; how many pages."""
    count = 0
    for layout, paper in PAPERS.items():
        for printer in printers:
            for way in ("direct", "queue"):
                pictures = bench.make(layout, f"{way}-{printer.dpi}")
                answer = bench.print("kit/labels.pdf", f"{way}-{printer.dpi}")
                assert answer["sends"] == "dots" and answer["dpi"] == printer.dpi, answer
                place, media = printer.arrived()
                size = f"x-dimension={paper[0]} y-dimension={paper[1]}"
                assert size in media, f"{layout}: {media} was asked for"
                pages = pwg.read_pages(cups, place)
                for picture, (header, rows) in zip(pictures, pages, strict=True):
                    assert header.cupsBitsPerPixel == 1, f"{layout}: its dots were drawn anew"
                    there = bits(header, rows)
                    here = ours(picture, there.size)
                    assert there.size == here.size, f"{layout}: {there.size} and {here.size}"
                    differs = ImageChops.logical_xor(there, here).getbbox()
                    assert differs is None, f"{layout} at {printer.dpi}, {way}: dots differ in {differs}"
                    count += 1
    return count


def check_grey(cups, bench, lab):
    """A printer that takes no single bits gets the same dots a byte each."""
    pictures = bench.make("label-4x6in", "queue-203")
    printer = Printer(lab, 203, "sgray_8")
    bench.run("print", "kit/labels.pwg", "--queue", printer.address())
    place, _ = printer.arrived()
    pages = pwg.read_pages(cups, place)
    for picture, (header, rows) in zip(pictures, pages, strict=True):
        assert header.cupsBitsPerPixel == 8, "bits for a printer that takes none"
        there = bits(header, rows)
        here = ours(picture, there.size)
        assert there.size == here.size and ImageChops.logical_xor(there, here).getbbox() is None
    printer.off()


def list_runs(image, row):
    """How many dots long black and white are in a row, without the white at its ends."""
    line = bytes(image.crop((0, row, image.width, row + 1)).convert("L").tobytes())
    runs, last = [], None
    for value in line.strip(b"\xff"):
        if value == last:
            runs[-1] += 1
        else:
            runs.append(1)
        last = value
    return runs


def find_bars(image):
    """The row in the middle of the bars: of the tallest stretch of equal rows with the most changes."""
    rows = [list_runs(image, row) for row in range(image.height)]
    tallest = max(range(len(rows)), key=lambda row: (len(rows[row]) if rows[row] == rows[row - 8] else 0))
    return tallest


def lay_alike(there, here):
    """A page that arrived, turned as ours lies, and how many dots differ: filters turn what lies across."""
    ways = [there]
    if (there.width > there.height) != (here.width > here.height):
        ways = [there.transpose(Image.Transpose.ROTATE_90), there.transpose(Image.Transpose.ROTATE_270)]
    counts = []
    for way in ways:
        differs = ImageChops.logical_xor(way.crop((0, 0, *here.size)), here)
        counts.append(differs.convert("L").histogram()[255])
    least = min(counts)
    return ways[counts.index(least)], least


def check_filters(cups, bench, printers):
    """PDFs through a queue's filters; what differs."""
    told = []
    for layout in PAPERS:
        for printer in printers:
            pictures = bench.make(layout, f"filters-{printer.dpi}")
            assert not (bench.folder / "kit/labels.pwg").exists(), "a printer that gets PDFs has no dots kept"
            answer = bench.print("kit/labels.pdf", f"filters-{printer.dpi}", "--pages", "2")
            assert answer["sends"] == "pdf" and answer["pages"] == [2], answer
            place, _ = printer.arrived()
            (there,) = [bits(header, rows) for header, rows in pwg.read_pages(cups, place)]
            here = ours(pictures[1], (1, 1))
            there, differ = lay_alike(there, here)
            row = find_bars(here)
            bars = list_runs(here, row)
            near = [list_runs(there, row + by) for by in range(-3, 4) if 0 <= row + by < there.height]
            what = f"{layout} at {printer.dpi} dots an inch"
            if answer["paper"]["width_mm"] < answer["paper"]["length_mm"] and here.width > here.height:
                # The filters turn it, and no edge lies on a dot any more; we say so.
                assert "a dot wider" in answer["remarks"][0], answer
                wider = [other - one for one, other in zip(bars[::2], near[3][::2])]
                assert len(bars) == len(near[3]) and set(wider) <= {0, 1}, f"{what}: {bars} became {near[3]}"
                told.append(f"{what}, turned: {sum(wider)} of {len(wider)} bars are a dot wider, as is said")
                continue
            assert bars in near and not answer["remarks"], f"{what}: {bars} became {near[3]}, {answer}"
            share = differ / (here.width * here.height)
            assert share < 0.02, f"{what}: {differ} dots differ"
            told.append(f"{what}: all {len(bars) // 2 + 1} bars as wide, {share:.2%} of the dots differ")
    # The same composed on 203.2 dots an inch, sent although our command would not.
    pictures = bench.make("label-4x6in", "queue-203")
    _, told_no = bench.run("print", "kit/labels.pdf", "--printer", "filters-203", "--dry-run")
    assert told_no == "", told_no
    bench.lab.admin("lp", "-d", "queue-203", "-o", "media=na_index-4x6_4x6in", "-o", "print-scaling=none",
                    "-P", "2", str(bench.folder / "kit/labels.pdf"))
    place, _ = printers[0].arrived()
    (there,) = [bits(header, rows) for header, rows in pwg.read_pages(cups, place)]
    here = ours(pictures[1], (1, 1))
    row = find_bars(here)
    bars, near = list_runs(here, row), [list_runs(there, row + by) for by in range(-3, 4)]
    assert bars not in near, "203.2 dots an inch came through: `sends: pdf` has lost its reason"
    wider = sum(1 for one, other in zip(bars[::2], near[3][::2]) if other > one)
    told.append(f"composed on 203.2 instead: {wider} of {len(bars[::2])} bars are wider")
    return told


def check_troubles(bench, printers):
    """What is said of printers that do not print."""
    lab, printer = bench.lab, printers[0]
    bench.make("label-4x6in", "queue-203")
    wait_for("the end of all jobs", lab.is_idle)
    one = ("print", "kit/labels.pdf", "--pages", "1")
    lab.admin("cupsdisable", "queue-203")
    assert "`queue-203` is paused" in bench.run(*one, "--printer", "queue-203", code=1)[1]
    lab.admin("cupsenable", "queue-203")
    lab.admin("cupsreject", "queue-203")
    assert "`queue-203` takes no jobs" in bench.run(*one, "--printer", "queue-203", code=1)[1]
    lab.admin("cupsaccept", "queue-203")
    assert "there is no print queue `missing`" in bench.run(*one, "--printer", "missing", code=2)[1]
    # Out of paper: straight and through the queue it waits, says so, and goes on with paper in it.
    for way in ("direct", "queue"):
        (printer.folder / "empty").touch()
        _, told = bench.run(*one, "--printer", f"{way}-203", "--wait", "4", code=1)
        assert "is out of paper" in told and "is not printed after 4 seconds" in told, told
        (printer.folder / "empty").unlink()
        printer.arrived()
        wait_for("the end of all jobs", lab.is_idle)
    # Held by hand, released, and taken back.
    lab.admin("cupsdisable", "--hold", "queue-203")
    sent, _ = bench.run(*one, "--printer", "queue-203", "--no-wait", "--json")
    job = str(json.loads(sent)["job"])
    bench.run("print", "--cancel", job, "--printer", "queue-203")
    state = json.loads(bench.run("print", "--job", job, "--printer", "queue-203", "--json")[0])
    assert state["state"] == "cancelled" and state["printed"] is False, state
    lab.admin("cupsenable", "--release", "queue-203")
    # Switched off: the queue takes the job and tells that it waits; it is never called printed.
    printer.off()
    _, told = bench.run(*one, "--printer", "queue-203", "--wait", "6", code=1)
    assert "is not printed after 6 seconds" in told, told
    assert "cannot be reached" in bench.run(*one, "--printer", "direct-203", code=3)[1]
    listed = json.loads(bench.run("print", "--list", "--json")[0])["printers"]
    ready = {it["printer"]: it["ready"] for it in listed if it["printer"]}
    assert ready["direct-300"] and not ready["direct-203"] and not ready["missing"], ready


@contextmanager
def started_lab():
    """A print system in a folder of its own; what its programs wrote is told when something fails."""
    with tempfile.TemporaryDirectory() as folder:
        lab = Lab(Path(folder))
        try:
            lab.start_bus()
            lab.start_cups()
            yield lab
        except BaseException:
            lab.tell_logs()
            raise
        finally:
            lab.stop()


def main():
    """Checks everything."""
    build = ["cargo", "build", "--locked", "--quiet", "--bins", "--example", "outside"]
    subprocess.run(build, cwd=ROOT, check=True)
    cups = pwg.load()
    with started_lab() as lab:
        printers = [Printer(lab, 203), Printer(lab, 300)]
        for printer in printers:
            lab.add_queue(f"queue-{printer.dpi}", printer)
        bench = Bench(lab, printers)
        pages = check_dots(cups, bench, printers)
        check_grey(cups, bench, lab)
        print(f"{pages} pages arrived dot for dot, and in grey")
        for line in check_filters(cups, bench, printers):
            print(f"PDF through filters: {line}")
        check_troubles(bench, printers)
        print("paused, refusing, missing, empty, held and switched off printers are told apart")
    return 0


if __name__ == "__main__":
    sys.exit(main())
