"""Text in scripts that the built-in fonts do not have, with Debian's fonts.

Each sample is printed by the command on a page of its own, rasterised by poppler, and compared dot
by dot with the same text set by HarfBuzz through Pillow (its Raqm layout) in the same font at the
same size: two shapers and two rasterisers that are not ours. Its text must come back from the PDF
as it went in, and every font must be embedded. Then whole labels and slips to those countries are
printed and read back.
"""

import json
import subprocess
import sys
import tempfile
import unicodedata
from pathlib import Path

import numpy
from PIL import Image, ImageDraw, ImageFont, features

ROOT = Path(__file__).resolve().parents[2]
BINARY = ROOT / "target/debug/slipwright"
FONTS = Path("/usr/share/fonts")
DPI = 300
POINTS = 24

# Name, font file, face in it, family, text. The texts are invented and mean ordinary things.
SAMPLES = [
    ("japanese", "opentype/noto/NotoSansCJK-Regular.ttc", 0, "Noto Sans CJK JP", "万年筆の修理、葛飾の骨董屋"),
    ("chinese", "opentype/noto/NotoSansCJK-Regular.ttc", 2, "Noto Sans CJK SC", "钢笔修复与墨水,骨董直角"),
    ("korean", "opentype/noto/NotoSansCJK-Regular.ttc", 1, "Noto Sans CJK KR", "만년필 수리와 잉크"),
    ("thai", "truetype/noto/NotoSansThai-Regular.ttf", 0, "Noto Sans Thai", "ซ่อมปากกาหมึกซึม น้ำหมึก"),
    ("arabic", "truetype/noto/NotoSansArabic-Regular.ttf", 0, "Noto Sans Arabic", "شارع الميناء القديم"),
    ("hebrew", "truetype/noto/NotoSansHebrew-Regular.ttf", 0, "Noto Sans Hebrew", "תיקון עטים נובעים"),
    ("devanagari", "truetype/noto/NotoSansDevanagari-Regular.ttf", 0, "Noto Sans Devanagari", "कलम की मरम्मत क्षेत्र"),
]

# Orders whose addresses are in those scripts. Arabic without ligatures: poppler 22 turns the letters
# of one round when it turns the line.
ORDERS = [
    ("JP", "100-0005", "東京都", "千代田区", "丸の内九丁目9番9号", "山本 花子"),
    ("CN", "200999", "上海市", "上海市", "旧码头路88号", "李 文静"),
    ("KR", "04999", "서울특별시", "중구", "옛부두로 77", "김 하늘"),
    ("TH", "10999", "กรุงเทพมหานคร", "กรุงเทพมหานคร", "99 ถนนท่าเรือเก่า", "สมหญิง ใจดี"),
    ("EG", "11999", "القاهرة", "القاهرة", "٧ شارع الميناء القديم", "سلمان منصور"),
    ("IL", "6109999", "", "תל אביב", "רחוב הנמל 9", "נועה ברק"),
]


def run(*arguments):
    """Runs a program and gives what it says; its failure is ours."""
    done = subprocess.run([str(it) for it in arguments], capture_output=True, check=False)
    if done.returncode != 0:
        sys.exit(f"{arguments}: {done.stderr.decode()}")
    return done.stdout


def ink(image):
    """The dark dots of a grey picture, cut to their box."""
    dark = numpy.asarray(image.convert("L")) < 128
    rows, columns = numpy.where(dark.any(axis=1))[0], numpy.where(dark.any(axis=0))[0]
    return dark[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]


def overlap(one, other):
    """The share of dark dots that two pictures have in common, at their best shift."""
    best = 0.0
    height, width = (max(a, b) + 4 for a, b in zip(one.shape, other.shape))
    canvas = numpy.zeros((height, width), bool)
    canvas[2 : 2 + one.shape[0], 2 : 2 + one.shape[1]] = one
    for down in range(height - other.shape[0] + 1):
        for across in range(width - other.shape[1] + 1):
            moved = numpy.zeros_like(canvas)
            moved[down : down + other.shape[0], across : across + other.shape[1]] = other
            both, either = (canvas & moved).sum(), (canvas | moved).sum()
            best = max(best, both / either)
    return best


def bare(text):
    """Text without what extraction may change: spaces, composition, marks of direction."""
    text = unicodedata.normalize("NFKC", text)
    return "".join(c for c in text if not c.isspace() and unicodedata.category(c) != "Cf")


def check_fonts(pdf):
    """Every font of a PDF is embedded and subset, with its text."""
    for line in run("pdffonts", pdf).decode().splitlines()[2:]:
        if line.split()[-5:-2] != ["yes", "yes", "yes"]:
            sys.exit(f"{pdf}: {line}")


def check_sample(folder, sample):
    """One text in one font."""
    name, file, face, family, text = sample
    fonts = folder / f"fonts-{name}"
    fonts.mkdir()
    (fonts / Path(file).name).symlink_to(FONTS / file)
    layout = folder / f"{name}.yaml"
    layout.write_text(
        "page: {stock: 150x30mm, inset: 5}\nmakes: label\n"
        f"type:\n  sample: {{family: {family}, size: {POINTS}pt}}\n"
        f"body:\n  text: {json.dumps(text, ensure_ascii=False)}\n  type: sample\n  align: left\n"
    )
    pdf = folder / f"{name}.pdf"
    orders = folder / "one.json"
    order = {"id": "TH-1", "ship_to": {"name": "A", "lines": ["1 Quay"], "city": "Oakhaven",
             "postcode": "TR79 1QX", "country": "GB"}, "hazard": "none"}
    orders.write_text(json.dumps([order]))
    run(BINARY, "render", orders, "--layout", layout, "--fonts", fonts, "-o", pdf)
    check_fonts(pdf)
    found = run("pdftotext", "-enc", "UTF-8", pdf, "-").decode()
    if bare(found) != bare(text):
        sys.exit(f"{name}: {text} comes back as {found.strip()}")
    run("pdftoppm", "-r", DPI, "-gray", "-png", "-singlefile", pdf, folder / name)
    font = ImageFont.truetype(
        str(FONTS / file), POINTS * DPI / 72, index=face, layout_engine=ImageFont.Layout.RAQM
    )
    picture = Image.new("L", (1800, 400), 255)
    ImageDraw.Draw(picture).text((20, 100), text, fill=0, font=font)
    share = overlap(ink(Image.open(folder / f"{name}.png")), ink(picture))
    print(f"{name:>12}: {share:.3f} of the dots in common")
    if share < 0.9:
        sys.exit(f"{name}: only {share:.3f} of the dots in common")


def check_documents(folder):
    """Labels and slips to countries with other scripts."""
    fonts = folder / "fonts-all"
    fonts.mkdir()
    files = {file for _, file, _, _, _ in SAMPLES}
    for file in sorted(files):
        (fonts / Path(file).name).symlink_to(FONTS / file)
        bold = FONTS / file.replace("Regular", "Bold")
        if bold.exists():
            (fonts / bold.name).symlink_to(bold)
    made = []
    for number, (country, postcode, region, city, line, name) in enumerate(ORDERS, 1):
        ship_to = {"name": name, "lines": [line], "city": city, "region": region,
                   "postcode": postcode, "country": country}
        item = {"title": f"{line}, No. {number}", "qty": 1, "price": "12.50"}
        made.append({"id": f"TH-{number}", "tag": f"Wren{number}{number}", "ship_to": ship_to,
                     "items": [item], "currency": "GBP", "hazard": "none",
                     "parcel": {"weight_g": 200, "size_mm": [100, 100, 50]}})
    orders = folder / "scripts.json"
    orders.write_text(json.dumps(made, ensure_ascii=False))
    for layout in ["label-4x6in", "slip-a4"]:
        pdf = folder / f"{layout}.pdf"
        shop = ROOT / "samples/shop.yaml"
        run(BINARY, "render", orders, "--shop", shop, "--layout", layout, "--fonts", fonts, "-o", pdf)
        check_fonts(pdf)
        for page, (country, postcode, region, city, line, name) in enumerate(ORDERS, 1):
            found = bare(run("pdftotext", "-f", page, "-l", page, pdf, "-").decode())
            # Word by word: where a line runs from right to left, poppler guesses on which side of
            # it a number is read.
            for word in f"{postcode} {city} {line} {name}".split():
                if bare(word) not in found:
                    sys.exit(f"{layout}, {country}: {word} is not in {found}")
    print(f"{len(ORDERS)} countries on labels and slips: every part comes back from the PDF")


def main():
    """All samples, then whole documents."""
    if not features.check("raqm"):
        sys.exit("this Pillow has no Raqm layout")
    run("cargo", "build", "--locked", "--quiet", "--manifest-path", ROOT / "Cargo.toml")
    keep = Path(sys.argv[1]) if len(sys.argv) > 1 else None
    with tempfile.TemporaryDirectory() as place:
        folder = keep or Path(place)
        folder.mkdir(exist_ok=True)
        for sample in SAMPLES:
            check_sample(folder, sample)
        check_documents(folder)


main()
