"""Our own generator of odd, malformed and hostile photo files, with the outcome each must have.

`corpus()` returns the files as rows. expected is "accept" or "reject"; where `strict` is false
the other outcome would be a fair policy too, but a crash never is. probes (accept only) are
(x, y, (r, g, b), tolerance) with x and y as fractions of the upright picture; size is upright;
must_vanish are strings that no stored or served byte may carry. Deterministic apart from
encoder versions.
"""

import io
import struct
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

import pillow_heif
from PIL import Image, ImageDraw, PngImagePlugin

from tests.colour.gain_map_files import iso_segment, photo_with_map, xmp_segment

Colour = tuple[int, int, int]
Probe = tuple[float, float, Colour, int]

RED, GREEN, BLUE, GREY = (200, 30, 30), (30, 160, 60), (30, 60, 190), (128, 128, 128)
QUAD = [(0.25, 0.25, RED), (0.75, 0.25, GREEN), (0.25, 0.75, BLUE), (0.75, 0.75, GREY)]

SIZE = (480, 320)


@dataclass(frozen=True, kw_only=True)
class Row:
    """One file of the corpus."""

    name: str
    data: bytes
    what: str
    expected: str
    strict: bool = True
    probes: tuple[Probe, ...] = ()
    size: tuple[int, int] | None = None
    must_vanish: tuple[str, ...] = ()


def quad(w: int = 480, h: int = 320, mode: str = "RGB") -> Image.Image:
    """Four coloured quarters: red, green / blue, grey."""
    im = Image.new("RGB", (w, h))
    d = ImageDraw.Draw(im)
    for i, c in enumerate((RED, GREEN, BLUE, GREY)):
        x, y = (i % 2 * w // 2, i // 2 * h // 2)
        d.rectangle([x, y, x + w // 2, y + h // 2], fill=c)
    return im if mode == "RGB" else im.convert(mode)


def enc(im: Image.Image, fmt: str, **kw: Any) -> bytes:
    b = io.BytesIO()
    im.save(b, fmt, **kw)
    return b.getvalue()


def probes(tol: int = 25, table: list[tuple[float, float, Colour]] = QUAD) -> tuple[Probe, ...]:
    return tuple((x, y, c, tol) for x, y, c in table)


def chunk(kind: bytes, body: bytes) -> bytes:
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))


SIG = b"\x89PNG\r\n\x1a\n"


def png(w: int, h: int, depth: int, ctype: int, raw: bytes, interlace: int = 0) -> bytes:
    ihdr = struct.pack(">IIBBBBB", w, h, depth, ctype, 0, 0, interlace)
    return SIG + chunk(b"IHDR", ihdr) + chunk(b"IDAT", zlib.compress(raw, 9)) + chunk(b"IEND", b"")


def zeros_png(w: int, h: int, depth: int = 1) -> bytes:
    """A huge blank picture in very few bytes."""
    line = b"\x00" * (1 + (w * depth + 7) // 8)
    z = zlib.compressobj(9)
    parts = [z.compress(line * 256) for _ in range(h // 256)] + [
        z.compress(line * (h % 256)),
        z.flush(),
    ]
    return (
        SIG
        + chunk(b"IHDR", struct.pack(">IIBBBBB", w, h, depth, 0, 0, 0, 0))
        + chunk(b"IDAT", b"".join(parts))
        + chunk(b"IEND", b"")
    )


def adam7(im: Image.Image) -> bytes:
    """The interlaced pixel stream of an RGB image."""
    w, h = im.size
    px, raw = im.load(), bytearray()
    assert px is not None
    for x0, y0, dx, dy in (
        (0, 0, 8, 8),
        (4, 0, 8, 8),
        (0, 4, 4, 8),
        (2, 0, 4, 4),
        (0, 2, 2, 4),
        (1, 0, 2, 2),
        (0, 1, 1, 2),
    ):
        xs = range(x0, w, dx)
        for y in range(y0, h, dy):
            if len(xs):
                raw.append(0)
                for x in xs:
                    raw += bytes(px[x, y])  # type: ignore[arg-type]
    return bytes(raw)


def segment(marker: int, body: bytes) -> bytes:
    return b"\xff" + bytes([marker]) + struct.pack(">H", len(body) + 2) + body


def after_soi(jpeg: bytes, *segments: bytes) -> bytes:
    return jpeg[:2] + b"".join(segments) + jpeg[2:]


def tiff_orientation(orientation: int) -> bytes:
    """A minimal big-endian TIFF block with the orientation tag only."""
    return (
        b"Exif\x00\x00MM\x00*\x00\x00\x00\x08"
        + struct.pack(">H", 1)
        + struct.pack(">HHIHH", 274, 3, 1, orientation, 0)
        + struct.pack(">I", 0)
    )


def sof_size(jpeg: bytes, w: int, h: int) -> bytes:
    """Patch the declared size in the frame header."""
    b, i = (bytearray(jpeg), 2)
    while b[i] == 255:
        if b[i + 1] in (192, 193, 194):
            b[i + 5 : i + 9] = struct.pack(">HH", h, w)
            return bytes(b)
        i += 2 + struct.unpack(">H", b[i + 2 : i + 4])[0]
    raise ValueError("no frame header")


def heic(im: Image.Image) -> bytes:
    pillow_heif.register_heif_opener()
    return enc(im, "HEIF", quality=80)


def good_and_odd() -> Iterator[Row]:
    q = quad()
    base = enc(q, "JPEG", quality=90)
    yield _row("jpeg_plain.jpg", base, "plain baseline JPEG", "accept", probes=probes(), size=SIZE)
    yield _row(
        "jpeg_progressive.jpg",
        enc(q, "JPEG", quality=90, progressive=True),
        "progressive JPEG",
        "accept",
        probes=probes(),
        size=SIZE,
    )
    yield _row(
        "jpeg_grey.jpg", enc(quad(mode="L"), "JPEG"), "one-channel JPEG", "accept", size=SIZE
    )
    yield _row(
        "jpeg_cmyk.jpg",
        enc(quad(mode="CMYK"), "JPEG", quality=95),
        "four-channel (CMYK) JPEG; must not come out inverted",
        "accept",
        probes=probes(70),
        size=SIZE,
    )
    for o, turn in ((6, Image.Transpose.ROTATE_90), (3, Image.Transpose.ROTATE_180)):
        yield _row(
            f"jpeg_turned_{o}.jpg",
            after_soi(
                enc(q.transpose(turn), "JPEG", quality=90), segment(225, tiff_orientation(o))
            ),
            f"camera held turned, EXIF orientation {o}",
            "accept",
            probes=probes(),
            size=SIZE,
        )
    gps = Image.Exif()
    gps[271] = "GPSMARKER-7731"
    gps.get_ifd(34853)[1] = "N"
    gps.get_ifd(34853)[2] = (52.0, 22.0, 13.0)
    yield _row(
        "jpeg_gps.jpg",
        enc(q, "JPEG", exif=gps, quality=90),
        "EXIF with a place and a maker",
        "accept",
        probes=probes(),
        size=SIZE,
        must_vanish=("GPSMARKER-7731",),
    )
    yield _row(
        "jpeg_exif_garbage.jpg",
        after_soi(base, segment(225, b"Exif\x00\x00MM\x00*\xff\xff\xff\xf0" + b"\xaa" * 40)),
        "EXIF block whose first pointer leaves the block",
        "accept",
        probes=probes(),
        size=SIZE,
    )
    yield _row(
        "jpeg_icc_garbage.jpg",
        after_soi(base, segment(226, b"ICC_PROFILE\x00\x01\x01" + b"not a profile" * 9)),
        "colour profile that is not one",
        "accept",
        probes=probes(),
        size=SIZE,
    )
    yield _row(
        "jpeg_comment_script.jpg",
        after_soi(base, segment(254, b"<script>alert('CMARK-11')</script>")),
        "JPEG comment holding a script",
        "accept",
        probes=probes(),
        size=SIZE,
        must_vanish=("CMARK-11",),
    )
    z = io.BytesIO()
    with zipfile.ZipFile(z, "w") as zf:
        zf.writestr(zipfile.ZipInfo("ZMARK-22.txt"), "hello")
    yield _row(
        "jpeg_plus_zip.jpg",
        base + z.getvalue(),
        "JPEG with a ZIP archive behind it (two files in one)",
        "accept",
        probes=probes(),
        size=SIZE,
        must_vanish=("ZMARK-22",),
    )
    yield _row(
        "jpeg_multi.jpg",
        enc(q, "MPO", save_all=True, append_images=[quad(120, 80)]),
        "multi-picture JPEG as phones write it; the first picture counts",
        "accept",
        probes=probes(),
        size=SIZE,
    )
    gains = q.resize((120, 80)).convert("L")
    for name, described in (
        ("upside_down", iso_segment([2], [0])),
        ("of_no_numbers", xmp_segment(GainMapMax="nan", HDRCapacityMax="inf")),
    ):
        yield _row(
            f"jpeg_gain_map_{name}.jpg",
            photo_with_map(q, gains, described),
            "gain map that makes no sense; the base picture counts",
            "accept",
            probes=probes(),
            size=SIZE,
        )
    yield _row(
        "png_alpha.png",
        enc(Image.merge("RGBA", (*q.split(), Image.new("L", q.size, 255))), "PNG"),
        "RGBA PNG",
        "accept",
        probes=probes(),
        size=SIZE,
    )
    yield _row(
        "png_palette.png",
        enc(q.quantize(8), "PNG", transparency=7),
        "palette PNG with a transparent entry",
        "accept",
        size=SIZE,
    )
    yield _row("png_1bit.png", enc(q.convert("1"), "PNG"), "one-bit PNG", "accept", size=SIZE)
    raw = b"".join(
        b"\x00"
        + b"".join(
            struct.pack(">H", (4096, 20480, 40960, 61440)[(x > 79) + 2 * (y > 59)])
            for x in range(160)
        )
        for y in range(120)
    )
    grey = [(x, y, (v, v, v)) for (x, y, _), v in zip(QUAD, (16, 80, 160, 240), strict=True)]
    yield _row(
        "png_16bit_grey.png",
        png(160, 120, 16, 0, raw),
        "16-bit grey PNG; must not turn all white",
        "accept",
        probes=probes(25, grey),
        size=(160, 120),
    )
    yield _row(
        "png_interlaced.png",
        png(480, 320, 8, 2, adam7(q), interlace=1),
        "interlaced PNG",
        "accept",
        probes=probes(),
        size=SIZE,
    )
    info = PngImagePlugin.PngInfo()
    info.add_text("Comment", "<script>alert('TMARK-33')</script>")
    yield _row(
        "png_text_script.png",
        enc(q, "PNG", pnginfo=info),
        "PNG text holding a script",
        "accept",
        probes=probes(),
        size=SIZE,
        must_vanish=("TMARK-33",),
    )
    yield _row(
        "png_animated.png",
        enc(q, "PNG", save_all=True, append_images=[quad(480, 320).rotate(180)], duration=200),
        "animated PNG; first frame only, or refused",
        "accept",
        strict=False,
        probes=probes(),
        size=SIZE,
    )
    yield _row(
        "webp_lossy.webp",
        enc(q, "WEBP", quality=90),
        "lossy WebP",
        "accept",
        probes=probes(),
        size=SIZE,
    )
    yield _row(
        "webp_animated.webp",
        enc(q, "WEBP", save_all=True, append_images=[q.rotate(180)], duration=200, quality=90),
        "animated WebP; first frame only, or refused",
        "accept",
        strict=False,
        probes=probes(),
        size=SIZE,
    )
    yield _row("heic_plain.heic", heic(q), "plain HEIC", "accept", probes=probes(), size=SIZE)
    yield _row(
        "avif_plain.avif", enc(q, "AVIF"), "plain AVIF", "accept", probes=probes(), size=SIZE
    )
    turned = Image.Exif()
    turned[274] = 6
    yield _row(
        "avif_turned.avif",
        enc(q.transpose(Image.Transpose.ROTATE_90), "AVIF", exif=turned),
        "AVIF turned by its own boxes",
        "accept",
        probes=probes(),
        size=SIZE,
    )
    held = q.transpose(Image.Transpose.ROTATE_90)
    held.getexif()[274] = 6
    yield _row(
        "heic_turned.heic",
        heic(held),
        "HEIC turned by its own boxes",
        "accept",
        probes=probes(),
        size=SIZE,
    )


def broken_and_hostile() -> Iterator[Row]:
    q = quad()
    base = enc(q, "JPEG", quality=90)
    p = enc(q, "PNG")
    yield _row("zero.jpg", b"", "zero bytes", "reject")
    yield _row(
        "jpeg_half.jpg",
        base[: len(base) // 2],
        "JPEG cut off in the middle (broken upload)",
        "reject",
    )
    yield _row("jpeg_head_only.jpg", base[:20], "first 20 bytes of a JPEG", "reject")
    yield _row(
        "jpeg_huge_size.jpg",
        sof_size(base, 65500, 65500),
        "header claims 65500 x 65500 (4.29 gigapixels)",
        "reject",
    )
    yield _row(
        "png_bomb.png",
        zeros_png(30000, 30000),
        "900-megapixel blank PNG in few bytes (decompression bomb)",
        "reject",
    )
    yield _row(
        "png_max_size.png",
        SIG + chunk(b"IHDR", struct.pack(">IIBBBBB", 2**31 - 1, 2**31 - 1, 8, 2, 0, 0, 0)) + p[33:],
        "header claims 2147483647 squared",
        "reject",
    )
    yield _row(
        "png_bad_crc.png",
        p[:29] + b"\x00\x00\x00\x00" + p[33:],
        "wrong checksum in the header chunk",
        "reject",
    )
    yield _row("png_cut.png", p[: int(len(p) * 0.6)], "PNG cut off inside the pixels", "reject")
    text = chunk(b"zTXt", b"Comment\x00\x00" + zlib.compress(b"a" * (80 << 20), 9))
    yield _row(
        "png_text_bomb.png",
        p[:33] + text + p[33:],
        "compressed text chunk that unpacks to 80 MiB",
        "reject",
        strict=False,
    )
    svg = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert("SMARK-44")</script></svg>'
    yield _row("svg_script.svg", svg, "SVG with a script", "reject", must_vanish=("SMARK-44",))
    yield _row(
        "svg_named_png.png",
        svg,
        "SVG with a script named .png",
        "reject",
        must_vanish=("SMARK-44",),
    )
    yield _row(
        "html_named_jpg.jpg",
        b"<!doctype html><script>alert('HMARK-55')</script>",
        "HTML named .jpg",
        "reject",
        must_vanish=("HMARK-55",),
    )
    yield _row(
        "png_magic_html.png",
        SIG + b"<html><script>alert('PMARK-66')</script>",
        "PNG signature, then HTML",
        "reject",
        must_vanish=("PMARK-66",),
    )
    yield _row(
        "gif_animated.gif",
        enc(q.quantize(16), "GIF", save_all=True, append_images=[q.rotate(180).quantize(16)]),
        "animated GIF (format not offered)",
        "reject",
        strict=False,
    )
    yield _row(
        "tiff_named_jpg.jpg",
        enc(q, "TIFF"),
        "TIFF named .jpg (a different decoder would run)",
        "reject",
    )
    yield _row(
        "eps_named_png.png",
        b"%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 50 50\n0 0 moveto 50 50 lineto\n%%EOF\n",
        "EPS named .png (would start an external program)",
        "reject",
    )
    z = io.BytesIO()
    with zipfile.ZipFile(z, "w") as zf:
        zf.writestr(zipfile.ZipInfo("a.txt"), "hello")
    yield _row("zip_named_jpg.jpg", z.getvalue(), "ZIP named .jpg", "reject")
    w = enc(quad(640, 480), "WEBP", quality=80)
    yield _row("webp_cut.webp", w[: len(w) // 2], "WebP cut off in the middle", "reject")
    vp8x = bytearray(
        enc(Image.merge("RGBA", (*q.split(), Image.new("L", q.size, 120))), "WEBP", quality=80)
    )
    if vp8x[12:16] == b"VP8X":
        vp8x[24:27] = vp8x[27:30] = struct.pack("<I", 16383)[:3]
        yield _row("webp_huge_size.webp", bytes(vp8x), "WebP canvas claims 16384 x 16384", "reject")
    h = heic(q)
    yield _row("heic_half.heic", h[: len(h) // 2], "HEIC cut off in the middle", "reject")
    yield _row("heic_head_only.heic", h[:24], "only the first box of a HEIC", "reject")
    a = enc(q, "AVIF")
    yield _row("avif_half.avif", a[: len(a) // 2], "AVIF cut off in the middle", "reject")
    yield _row(
        "jpeg_60mb.jpg",
        after_soi(base, *[segment(254, bytes(range(256)) * 250) for _ in range(940)]),
        "60 MB file around a small picture (over the size limit)",
        "reject",
    )


@cache
def corpus() -> tuple[Row, ...]:
    """Return all rows, made once per process."""
    return (*good_and_odd(), *broken_and_hostile())


def _row(name: str, data: bytes, what: str, expected: str, **extra: Any) -> Row:
    return Row(name=name, data=data, what=what, expected=expected, **extra)
