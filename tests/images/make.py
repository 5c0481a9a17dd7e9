"""Makes the small JPEG and PNG files beside this script, and what they must decode to.

Run `python3 make.py` in this folder; it needs Pillow (made with 13.0.0, libjpeg-turbo).
For every picture NAME.jpg or NAME.png a NAME.pgm holds the grey pixels: Pillow's decoder gives
red, green and blue, which are weighed here after Rec. 709 in exact fractions. So the expectation
shares no code with the engine. All pictures are drawn here by arithmetic.
"""

import io
import pathlib
from fractions import Fraction

from PIL import Image, ImageOps

FOLDER = pathlib.Path(__file__).parent
WEIGHTS = (Fraction(2126, 10000), Fraction(7152, 10000), Fraction(722, 10000))


def draw(width, height):
    """A soft picture of no symmetry: ramps in each channel and a dark corner at the top left."""
    image = Image.new("RGB", (width, height))
    for y in range(height):
        for x in range(width):
            red = 255 * x // (width - 1)
            green = 255 * y // (height - 1)
            blue = 255 - (red + green) // 2
            dark = max(0, 120 - 12 * (x + 2 * y))
            image.putpixel((x, y), tuple(max(0, c - dark) for c in (red, green, blue)))
    return image


def gray(image):
    """The grey pixels of a decoded picture."""
    if image.mode == "L":
        return image.tobytes()
    data = image.convert("RGB").tobytes()
    pixels = zip(data[::3], data[1::3], data[2::3])
    return bytes(int(sum(w * c for w, c in zip(WEIGHTS, p)) + Fraction(1, 2)) for p in pixels)


def inks(data):
    """The grey pixels of a picture in printing inks: what paper white is left by each ink.

    Pillow takes the stored values for opposites, with and without the Adobe segment.
    """
    image = Image.open(io.BytesIO(data))
    raw = image.tobytes()
    out = bytearray()
    for at in range(0, len(raw), 4):
        *colours, black = raw[at : at + 4]
        left = [Fraction((255 - ink) * (255 - black), 255) for ink in colours]
        out.append(int(sum(w * c for w, c in zip(WEIGHTS, left)) + Fraction(1, 2)))
    return bytes(out)


def write_pgm(name, size, pixels):
    """Writes grey pixels as a binary PGM file."""
    (FOLDER / f"{name}.pgm").write_bytes(b"P5\n%d %d\n255\n" % size + pixels)


def put(name, data, pixels=None):
    """Writes a JPEG file and its expectation."""
    (FOLDER / f"{name}.jpg").write_bytes(data)
    image = Image.open(io.BytesIO(data))
    write_pgm(name, image.size, gray(image) if pixels is None else pixels)


def jpeg(image, **options):
    """A JPEG file of a picture."""
    out = io.BytesIO()
    image.save(out, "JPEG", quality=90, **options)
    return out.getvalue()


def without_app14(data):
    """The file without its Adobe segment."""
    at = data.index(b"\xff\xee")
    return data[:at] + data[at + 2 + int.from_bytes(data[at + 2 : at + 4], "big") :]


def main():
    """Makes all files."""
    picture = draw(29, 21)
    put("gray", jpeg(picture.convert("L")))
    put("gray-progressive", jpeg(picture.convert("L"), progressive=True))
    put("colour-444", jpeg(picture, subsampling=0))
    put("colour-422", jpeg(picture, subsampling=1))
    put("colour-420", jpeg(picture, subsampling=2))
    put("progressive", jpeg(picture, progressive=True, subsampling=2))
    put("restarts", jpeg(picture, subsampling=0, restart_marker_blocks=2))
    rgb = jpeg(picture, keep_rgb=True)
    put("rgb-adobe", rgb)
    put("rgb-by-names", without_app14(rgb))
    cmyk = jpeg(picture.convert("CMYK"))
    put("inks-adobe", cmyk, inks(cmyk))
    put("inks-plain", without_app14(cmyk), inks(without_app14(cmyk)))
    at = cmyk.index(b"Adobe") + 11
    ycck = cmyk[:at] + b"\x02" + cmyk[at + 1 :]
    put("inks-ycck", ycck, inks(ycck))
    for turn in range(1, 9):
        exif = Image.Exif()
        exif[0x0112] = turn
        turned = jpeg(draw(19, 11), subsampling=0, exif=exif)
        upright = ImageOps.exif_transpose(Image.open(io.BytesIO(turned)))
        (FOLDER / f"turned-{turn}.jpg").write_bytes(turned)
        write_pgm(f"turned-{turn}", upright.size, gray(upright))
    picture.save(FOLDER / "colour.png", optimize=True)
    write_pgm("colour-png", picture.size, gray(picture))


main()
