"""Pasted text in many hands: each line and whole list of the corpus gives exactly what it must.

The corpus and what it means: tests/data/pasted, common practice, no source, but for the units.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from projects.needs.lines.reading import ReadLine
from projects.needs.patterns.reading import read_pattern
from projects.needs.patterns.values import Pattern
from projects.needs.sewing_rules import NeededCut
from stash.lengths import CM, INCH, parse_length

DATA = Path(__file__).resolve().parent.parent / "data" / "pasted"
KINDS = {"square", "rectangle", "across", "along", "yardage", "form"}
FORMS = {
    "fat quarter": (21 * INCH, 18 * INCH),
    "fat eighth": (21 * INCH, 9 * INCH),
    "long quarter": (42 * INCH, 9 * INCH),
}
METRIC_FORMS = {
    "fat quarter": (53 * CM, 50 * CM),
    "fat eighth": (53 * CM, 25 * CM),
    "long quarter": (42 * INCH, 25 * CM),
}
DIAGONAL = {
    "once": "then cut once on the diagonal",
    "twice": "then cut twice on the diagonal",
    "diagonal": "then cut on the diagonal",
}
#: A need as both sides are compared: count, kind, width, length, may turn, diagonal, fabric.
Need = tuple[int, str, int, int, bool, str, str]


def expected(text: str, *, centre: bool = False, units: str = "in") -> Need:
    """One need as the corpus writes it."""
    role = re.search(r'"([^"]+)"', text)
    words = re.sub(r'"[^"]+"', "", text).split()
    count, kind = int(words[0]), words[1]
    assert kind in KINDS, text
    flags = {word for word in words[2:] if word in {*DIAGONAL, "upright", "centre"}}
    size = " ".join(word for word in words[2:] if word not in flags)
    how = next((DIAGONAL[flag] for flag in flags if flag in DIAGONAL), "")
    fabric = role[1] if role else "fabric"
    if kind == "form":
        width, length = (METRIC_FORMS if units == "cm" else FORMS)[size]
        return count, "rectangle", width, length, False, how, fabric
    sizes = [parse_length(part, default_unit=units) for part in size.split(" x ")]  # type: ignore[arg-type]
    if kind == "square":
        return count, "square", sizes[0], sizes[0], "upright" not in flags, how, fabric
    if kind == "across":
        return count, "strip across", 42 * INCH, sizes[0], False, how, fabric
    if kind == "along":
        return count, "strip along", sizes[0], sizes[1], False, how, fabric
    if kind == "yardage":
        return count, "rectangle", sizes[1], sizes[0], False, how, fabric
    return count, "rectangle", sizes[0], sizes[1], "upright" not in flags, how, fabric


def got(cut: NeededCut) -> Need:
    how = next((words for words in DIAGONAL.values() if words in cut.technique), "")
    return cut.count, cut.kind, cut.width, cut.length, cut.turn, how, cut.role


def needs_of(pattern: Pattern) -> list[Need]:
    lines = [line for line in pattern.lines if isinstance(line, ReadLine)]
    return [got(cut) for line in lines for cut in line.needed]


def corpus_lines() -> list[tuple[str, str]]:
    rows = [
        line.partition(" => ")
        for line in (DATA / "lines.txt").read_text().splitlines()
        if " => " in line and not line.startswith(("# T", "# A"))
    ]
    return [(text, expected) for text, _, expected in rows]


def test_the_corpus_is_large_enough() -> None:
    assert len(corpus_lines()) >= 150
    assert len(list(DATA.glob("list_*.txt"))) >= 12


@pytest.mark.parametrize(("text", "words"), corpus_lines())
def test_each_line_gives_exactly_what_it_must(text: str, words: str) -> None:
    pattern = read_pattern("\n".join(text.split(" | ")))
    found = needs_of(pattern)
    if words == "refused":
        assert pattern.unread, found
        if " | " not in text:
            assert found == []
        return
    assert not pattern.unread, pattern.unread
    if words == "nothing":
        assert found == []
        return
    wanted = words.split(" + ")
    assert found == [expected(need) for need in wanted]
    assert any(part.centre for part in pattern.parts) == ("centre" in words)
    assert [line.number for line in pattern.lines] == list(range(1, text.count(" | ") + 2))


def whole_lists() -> list[str]:
    return sorted(path.name for path in DATA.glob("list_*.txt"))


@pytest.mark.parametrize("name", whole_lists())
def test_each_whole_list_gives_exactly_its_parts(name: str) -> None:
    text, _, answer = (DATA / name).read_text().partition("\n=====\n")
    wanted: dict[str, list[str]] = {}
    for line in answer.splitlines():
        if line.startswith("== ") or line == "==":
            wanted[line[3:].strip()] = rows = []
        else:
            rows.append(line)
    refused = wanted.pop("refused", [])
    pattern = read_pattern(text)
    assert [line.text for line in pattern.unread] == refused
    found = {
        f"{part.title} centre" if part.centre else part.title: [got(cut) for cut in part.cuts]
        for part in pattern.parts
        if part.cuts
    }
    assert found == {title: [expected(need) for need in needs] for title, needs in wanted.items()}
    written = [number for number, line in enumerate(text.splitlines(), 1) if line.strip()]
    assert [line.number for line in pattern.lines] == written
