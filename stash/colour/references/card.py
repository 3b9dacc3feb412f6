"""The photo card as a page to print."""

from stash.colour.references.editions import FIRST, Edition

PAGES = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}


class PageError(ValueError):
    """There is no such paper; the message quotes it."""


def card_pdf(paper: str, edition: Edition = FIRST) -> bytes:
    """Return a one-page PDF with the card in the middle.

    Only black ink is used. The card is drawn at true size; the ruler shows whether the printer kept
    it.

    Parameters
    ----------
    paper : "a4" or "letter"
    edition : which drawing of the card

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
    wide, high = edition.size
    left, top = (page_width - wide) / 2, min(30.0, (page_height - high) / 2)
    mm = 72 / 25.4
    draw = ["0 g"]
    for x0, y0, x1, y1 in edition.black_boxes():
        x, y = (left + x0) * mm, (page_height - top - y1) * mm
        draw.append(f"{x:.4f} {y:.4f} {(x1 - x0) * mm:.4f} {(y1 - y0) * mm:.4f} re")
    draw.append("f")
    for x, y, size, text in edition.words:
        at_x, at_y = (left + x) * mm, (page_height - top - y) * mm
        draw.append(f"BT /F1 {size} Tf {at_x:.3f} {at_y:.3f} Td ({text}) Tj ET")
    draw.append("0.6 G 0.3 w")
    for x0, y0, x1, y1 in edition.cuts():
        x, y = (left + x0) * mm, (page_height - top - y1) * mm
        draw.append(f"{x:.3f} {y:.3f} {(x1 - x0) * mm:.3f} {(y1 - y0) * mm:.3f} re S")
    return _pdf("\n".join(draw).encode("ascii"), page_width * mm, page_height * mm)


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
