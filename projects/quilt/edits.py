"""What pressing something on the drawing changes in what is filled in; nothing is saved by it."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from projects.quilt.layout_form import BORDERS, lying_in
from projects.quilt.lying import REACHES, Lying, Reach
from projects.quilt_design.layouts.layout import MAX_ACROSS, LayoutError
from stash.lengths import Unit, inches_or_cm

__all__ = ["block_at", "edited", "reach_of"]

#: Of a border and of sashing that is added: common practice, no source.
_BORDER = {"in": "3", "cm": "8"}
_SASH = {"in": "1 1/2", "cm": "4"}
_COUNTS = {
    "wider": ("columns", 1),
    "narrower": ("columns", -1),
    "longer": ("rows", 1),
    "shorter": ("rows", -1),
}


def reach_of(given: Mapping[str, str]) -> Reach:
    """How far a change of a block reaches: this one, unless told."""
    reach = given.get("reach", "")
    return reach if reach in REACHES else "this"


def block_at(given: Mapping[str, str]) -> tuple[int, int] | None:
    """Row and place, from 0, of the block that is picked, if one is."""
    row, _, place = given.get("at", "").partition(".")
    if not (row.isdecimal() and place.isdecimal() and len(row) < 4 and len(place) < 4):
        return None
    return (int(row) - 1, int(place) - 1) if int(row) and int(place) else None


def edited(given: Mapping[str, str], units: Unit) -> dict[str, str]:
    """What is filled in after the deed that ``do`` names; unknown deeds change nothing."""
    deed, _, what = given.get("do", "").partition(" ")
    answers = {name: text for name, text in given.items() if name != "do"}
    if deed in _COUNTS:
        name, step = _COUNTS[deed]
        answers[name] = _counted(answers.get(name, ""), step)
    elif deed == "sash":
        answers["sash"] = _SASH[inches_or_cm(units)]
        answers["at"] = "between"
    elif deed == "unsash":
        for name in ("sash", "cornerstones", "outer"):
            answers.pop(name, None)
    elif deed == "border":
        _add_border(answers, units)
    elif deed == "unborder" and what in BORDERS:
        _take_border(answers, what)
    elif deed in ("make", "turn", "own", "round", "straighten"):
        _change_blocks(answers, deed, what)
    return answers


def _counted(text: str, step: int) -> str:
    """One more or one less, within what can be laid out; what is no number stays."""
    if not text.strip().isdecimal() or len(text) > 4:
        return text
    return str(min(MAX_ACROSS, max(1, int(text) + step)))


def _is_none(text: str) -> bool:
    return text.strip() in ("", "0")


def _add_border(answers: dict[str, str], units: Unit) -> None:
    """Outside those there are."""
    free = [name for name in BORDERS if _is_none(answers.get(name, ""))]
    if not free:
        return
    # Gaps are closed first, so that the new one is the outermost.
    widths = [answers[name] for name in BORDERS if name not in free]
    corners = [answers.get(_corners(name), "") for name in BORDERS if name not in free]
    _write_borders(answers, [*widths, _BORDER[inches_or_cm(units)]], [*corners, ""])
    answers["at"] = BORDERS[len(widths)]


def _take_border(answers: dict[str, str], taken: str) -> None:
    kept = [name for name in BORDERS if name != taken and not _is_none(answers.get(name, ""))]
    widths = [answers[name] for name in kept]
    # What is left keeps its cloth.
    ties = [answers.get(f"part_{name}", "") for name in kept]
    _write_borders(answers, widths, [answers.get(_corners(name), "") for name in kept])
    for name in BORDERS:
        answers.pop(f"part_{name}", None)
    answers.update({f"part_{name}": tie for name, tie in zip(BORDERS, ties, strict=False) if tie})
    answers.pop("at", None)


def _write_borders(answers: dict[str, str], widths: list[str], corners: list[str]) -> None:
    for name in BORDERS:
        answers.pop(name, None)
        answers.pop(_corners(name), None)
    for name, width, corner in zip(BORDERS, widths, corners, strict=False):
        answers[name] = width
        answers[_corners(name)] = corner


def _corners(border: str) -> str:
    return border.replace("border", "corners")


def _change_blocks(answers: dict[str, str], deed: str, what: str) -> None:
    at, reach = block_at(answers), reach_of(answers)
    if at is None:
        return
    changes: dict[str, Callable[[Lying], Lying | None]] = {
        "make": lambda lying: lying.made(*at, reach, what),
        "own": lambda lying: lying.in_own_cloth(*at, reach),
        "turn": lambda lying: lying.turned(*at, reach),
        "round": lambda lying: lying.in_fours(),
        "straighten": lambda lying: lying.all_one_way(),
    }
    try:
        changed = changes[deed](lying_in(answers))
    except (LayoutError, IndexError):
        return  # the form says what is wrong
    if changed is not None:
        answers.update(changed.fields)
