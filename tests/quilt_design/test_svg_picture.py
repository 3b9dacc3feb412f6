"""The drawing as SVG: to scale, steady, escaped, readable without colour."""

import re
from xml.etree import ElementTree

import pytest

from projects.quilt_design.drawing.render import Cloth
from projects.quilt_design.drawing.svg_picture import letters_for, svg
from projects.quilt_design.layouts.layout import Border, exact_size, patches
from stash.lengths import INCH, MM
from tests.quilt_design.builders import layout_of, plain

SVG = "{http://www.w3.org/2000/svg}"
CLOTHS = {
    "night": Cloth(key="night", far=(20.0, 10.0, -40.0), value=2.0, uncertainty=0.2),
    "chalk": Cloth(key="chalk", far=(90.0, 0.0, 5.0), value=9.0, uncertainty=0.2),
}


def drawn(parts: dict[str, str | None], **more: object) -> ElementTree.Element:
    layout = layout_of("nine-patch", 2, 3, 6, borders=(Border(width=INCH, part='<b> & "c"\x07'),))
    width, height = exact_size(layout)
    text = svg(patches(layout, parts), CLOTHS, width=width, height=height, **more)  # type: ignore[arg-type]
    assert text == svg(patches(layout, parts), CLOTHS, width=width, height=height, **more)  # type: ignore[arg-type]
    return ElementTree.fromstring(text)


def test_drawing_is_to_scale_in_millimetres() -> None:
    root = drawn({})
    box = [float(number) for number in root.attrib["viewBox"].split()]
    assert box == pytest.approx([0, 0, 14 * 25.4, 20 * 25.4])
    first = next(path for path in root.iter(f"{SVG}path") if path.get("data-part") == "first")
    corners = re.findall(r"[\d.]+", first.attrib["d"])[:8]
    x = [float(number) for number in corners[::2]]
    assert max(x) - min(x) == pytest.approx(2 * INCH / MM, abs=0.01)


def test_paper_size_keeps_the_shape() -> None:
    root = drawn({}, paper_width_mm=140)
    assert (root.attrib["width"], root.attrib["height"]) == ("140.00mm", "200.00mm")


def test_text_is_escaped_and_control_characters_are_dropped() -> None:
    root = drawn({}, title='Anna & "Bo" <3')
    assert root.attrib["aria-label"] == 'Anna & "Bo" <3'
    assert '<b> & "c"' in {path.get("data-part") for path in root.iter(f"{SVG}path")}


def test_every_part_has_its_letter_and_dark_cloth_a_light_one() -> None:
    root = drawn({"first": "night", "second": "chalk"})
    letters = {(text.text, text.get("fill")) for text in root.iter(f"{SVG}text")}
    assert letters == {("A", "#ffffff"), ("B", "#1a1a1a"), ("C", "#1a1a1a")}


def test_grey_drawing_has_no_colour() -> None:
    fills = {
        path.attrib["fill"] for path in drawn({"first": "night"}, grey=True).iter(f"{SVG}path")
    }
    assert all(fill[1:3] == fill[3:5] == fill[5:7] for fill in fills)
    assert fills == {"#303030", "#ffffff"}  # L* 20 is 8-bit grey 48 (IEC 61966-2-1, CIE 1976)


def test_drawing_in_lines_needs_no_grey() -> None:
    root = drawn({"first": "night"}, ink="lines")
    fills = [path.attrib["fill"] for path in root.iter(f"{SVG}path") if path.get("data-part")]
    assert len(set(fills)) == 3  # one for each part
    patterns = {pattern.get("id") for pattern in root.iter(f"{SVG}pattern")}
    assert {fill[5:-1] for fill in fills if fill.startswith("url")} <= patterns


def test_patch_of_no_size_for_a_letter_has_none() -> None:
    layout = plain(80, 80, 1)
    width, height = exact_size(layout)
    text = svg(patches(layout), {}, width=width, height=height)
    assert "<text" not in text


def test_letters_go_on_after_z() -> None:
    letters = letters_for(str(number) for number in range(54))
    assert [letters[str(at)] for at in (0, 25, 26, 51, 52)] == ["A", "Z", "AA", "AZ", "BA"]
