"""The photo card: what is printed where, as pure numbers, and as a page to print.

Lengths are millimetres from the top left corner of the card. Greys are fine black lines, so that
light mixes before the camera's tone curve; each grey comes in two pitches. A printer widens every
line by the same amount, so the finer screen gains twice as much: comparing the two tells the
printer's gain from the camera's curve. Line widths are whole dots of a 600 dpi printer.
"""

from dataclasses import dataclass

Box = tuple[float, float, float, float]  # x0, y0, x1, y1

WIDTH, HEIGHT = 180.0, 120.0
MARKER_SIDE = 26.0
MARKER_IDS = (7, 18, 29, 41)  # top left, top right, bottom right, bottom left
FINE, COARSE = 25.4 / 150, 25.4 / 75  # pitch of the line screens
RULER = (40.0, 92.0, 140.0, 98.0)  # 100 mm

_FAR_X, _FAR_Y = WIDTH - 6 - MARKER_SIDE, HEIGHT - 6 - MARKER_SIDE
MARKER_CORNERS = ((6.0, 6.0), (_FAR_X, 6.0), (_FAR_X, _FAR_Y), (6.0, _FAR_Y))

PAGES = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}


class PageError(ValueError):
    """There is no such paper; the message quotes it."""


@dataclass(frozen=True, kw_only=True)
class Patch:
    """One printed field: nominal coverage with black 0..1 and, for greys, the pitch in mm."""

    box: Box
    coverage: float
    pitch: float | None = None


def _patch(column: int, row: int, coverage: float, pitch: float | None = None) -> Patch:
    x, y = 40 + 25.5 * column, 32 + 29.0 * row
    return Patch(box=(x, y, x + 23.5, y + 26), coverage=coverage, pitch=pitch)


# Turned by half, light and dark change places: an uneven light cannot pass for a tone curve.
PATCHES = (
    _patch(0, 0, 1.0),
    _patch(1, 0, 0.75, FINE),
    _patch(2, 0, 0.5, FINE),
    _patch(3, 0, 0.25, FINE),
    _patch(0, 1, 0.25, COARSE),
    _patch(1, 1, 0.5, COARSE),
    _patch(2, 1, 0.75, COARSE),
    _patch(3, 1, 1.0),
)

# Bare paper on all four sides and between the rows of greys.
PAPER = (
    (38.0, 4.0, 70.0, 18.0),
    (74.0, 4.0, 106.0, 18.0),
    (110.0, 4.0, 142.0, 18.0),
    (4.0, 37.0, 34.0, 58.0),
    (4.0, 62.0, 34.0, 83.0),
    (146.0, 37.0, 176.0, 58.0),
    (146.0, 62.0, 176.0, 83.0),
    (38.0, 104.0, 70.0, 116.0),
    (74.0, 104.0, 106.0, 116.0),
    (110.0, 104.0, 142.0, 116.0),
)


def marker_points(index: int) -> tuple[tuple[float, float], ...]:
    """Return the corners of one of the card's four markers.

    Parameters
    ----------
    index : which marker, from 0

    Returns
    -------
    Clockwise from its top left, in mm from the card's top left.

    Raises
    ------
    IndexError
        There is no such marker.
    """
    x, y = MARKER_CORNERS[index]
    side = MARKER_SIDE
    return (x, y), (x + side, y), (x + side, y + side), (x, y + side)


def black_boxes() -> tuple[Box, ...]:
    """Return every black rectangle of the card: markers, greys, ruler.

    Returns
    -------
    (x0, y0, x1, y1) in mm from the card's top left.
    """
    boxes: list[Box] = []
    for index in range(4):
        boxes += _marker_boxes(index)
    for patch in PATCHES:
        boxes += _patch_boxes(patch)
    x0, y0, x1, _ = RULER
    boxes.append((x0, y0, x1, y0 + 0.3))
    for millimetre in range(101):
        long = 5 if millimetre % 10 == 0 else 3.5 if millimetre % 5 == 0 else 2
        boxes.append((x0 + millimetre - 0.1, y0, x0 + millimetre + 0.1, y0 + long))
    return tuple(boxes)


def card_pdf(paper: str) -> bytes:
    """Return a one-page PDF with the card in the middle.

    Only black ink is used. The card is drawn at true size; the ruler shows whether the printer kept
    it.

    Parameters
    ----------
    paper : "a4" or "letter"

    Returns
    -------
    The bytes of the file.

    Raises
    ------
    PageError
        There is no such paper; the message quotes it.

    Examples
    --------
    >>> card_pdf("a4")[:5]
    b'%PDF-'
    """
    if paper.lower() not in PAGES:
        raise PageError(f"There is no page for “{paper}”; choose a4 or letter.")
    page_width, page_height = PAGES[paper.lower()]
    left, top = (page_width - WIDTH) / 2, 30.0
    mm = 72 / 25.4
    draw = ["0 g"]
    for x0, y0, x1, y1 in black_boxes():
        x, y = (left + x0) * mm, (page_height - top - y1) * mm
        draw.append(f"{x:.4f} {y:.4f} {(x1 - x0) * mm:.4f} {(y1 - y0) * mm:.4f} re")
    draw.append("f")
    for x, y, size, text in _texts():
        at_x, at_y = (left + x) * mm, (page_height - top - y) * mm
        draw.append(f"BT /F1 {size} Tf {at_x:.3f} {at_y:.3f} Td ({text}) Tj ET")
    x, y = left * mm, (page_height - top - HEIGHT) * mm
    outline = f"0.6 G 0.3 w {x:.3f} {y:.3f} {WIDTH * mm:.3f} {HEIGHT * mm:.3f} re S"
    return _pdf("\n".join([*draw, outline]).encode("ascii"), page_width * mm, page_height * mm)


def _texts() -> tuple[tuple[float, float, int, str], ...]:
    """Return x, y (baseline), size in points and words."""
    return (
        (40, 27, 9, "Photo card. Lay it flat on the cloth, in the same even light, no flash."),
        (40, 102.5, 7, "This line is 100 mm long. If it is not, print again at 100 %, not fitted."),
        (0, HEIGHT + 8, 9, "Print with black ink on plain white paper at 100 % (actual size)."),
        (0, HEIGHT + 13, 9, "Cut along the thin line. Keep it clean and flat; print a new one"),
        (0, HEIGHT + 18, 9, "when it yellows."),
    )


def _marker_boxes(index: int) -> list[Box]:
    """Return the black modules of a marker, joined along rows."""
    import cv2

    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    modules = cv2.aruco.generateImageMarker(dictionary, MARKER_IDS[index], 6)
    x, y = MARKER_CORNERS[index]
    step = MARKER_SIDE / 6
    boxes = []
    for row in range(6):
        start = None
        for column in range(7):
            black = column < 6 and modules[row, column] == 0
            if black and start is None:
                start = column
            elif not black and start is not None:
                boxes.append(
                    (x + start * step, y + row * step, x + column * step, y + (row + 1) * step)
                )
                start = None
    return boxes


def _patch_boxes(patch: Patch) -> list[Box]:
    x0, y0, x1, y1 = patch.box
    if patch.pitch is None:
        return [patch.box]
    count = int((y1 - y0) / patch.pitch)
    thick = patch.pitch * patch.coverage
    return [
        (x0, y0 + line * patch.pitch, x1, y0 + line * patch.pitch + thick) for line in range(count)
    ]


def _pdf(content: bytes, width: float, height: float) -> bytes:
    objects = [
        b"<< /Type /Catalog /Pages 2 0 R /ViewerPreferences << /PrintScaling /None >> >>",
        b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        (
            f"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 {width:.2f} {height:.2f}]"
            " /Contents 4 0 R /Resources << /Font << /F1 5 0 R >> >> >>"
        ).encode("ascii"),
        b"<< /Length %d >>\nstream\n%b\nendstream" % (len(content), content),
        b"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica >>",
    ]
    out = b"%PDF-1.4\n"
    places = []
    for number, body in enumerate(objects, 1):
        places.append(len(out))
        out += b"%d 0 obj\n%b\nendobj\n" % (number, body)
    table = b"".join(b"%010d 00000 n \n" % place for place in places)
    size = len(objects) + 1
    head = b"xref\n0 %d\n0000000000 65535 f \n%b" % (size, table)
    tail = b"trailer\n<< /Size %d /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n" % (size, len(out))
    return out + head + tail
