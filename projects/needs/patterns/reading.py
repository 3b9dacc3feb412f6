"""A whole pattern, pasted: headings name parts, the lines below belong to them.

Every line that is not blank comes back, understood or wrong, with its number; a line that could
mean less than was wanted is wrong, with the question that would settle it. Strips that others are
cut from are how, not what: they count only where nothing is cut from them.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace

from projects.needs.lines.cuts import UnreadableError, shown
from projects.needs.lines.reading import ReadLine, Understood, WrongLine
from projects.needs.lines.text import NUMBER, in_digits, plain_text, without_bullet
from projects.needs.patterns.counts import (
    Counted,
    Times,
    counted,
    without_equivalents,
)
from projects.needs.patterns.headings import (
    Heading,
    Names,
    heading_of,
    is_block_count,
    is_remark,
    is_title,
)
from projects.needs.patterns.lines import OpenLine, answer_of, joined, sum_of
from projects.needs.patterns.steps import (
    Strips,
    Subcut,
    check_subcuts,
    clauses_of,
    cuts_of,
    diagonal_of,
    strips_of,
    subcut_of,
)
from projects.needs.patterns.table import Table, table_of
from projects.needs.patterns.values import Pattern, PatternPart
from projects.needs.patterns.words import is_no_cloth, name_key, role_of, unknown_words
from projects.needs.sewing_rules import (
    USABLE_WIDTH,
    NeededCut,
    NeedsError,
    Sewing,
)
from stash.lengths import LengthError

__all__ = ["MAX_LINES", "read_lines", "read_pattern"]

MAX_LINES = 500
_LONGEST = 1000
_SEWING = Sewing()
_ONE_SIZE = re.compile(
    rf"^{NUMBER.pattern}\s*(?:x|by)\s*{NUMBER.pattern}[^\d]*$".replace("?P<number>", "")
    .replace("?P<named>", "")
    .replace("?P<unit>", ""),
    re.VERBOSE | re.ASCII,
)
_CLOTH_BEHIND = re.compile(r",?\s*\bfrom (?:the |your )?(?P<name>[a-z][a-z '-]*?)\.?$")
_NOT_PER_BLOCK = frozenset({"border", "binding", "backing", "batting"})


@dataclass
class _Cutting:
    """Strips whose cuts are being read: the line they stand on, which cut of it, what is cut."""

    line: OpenLine
    place: int
    strips: Strips
    each: bool = False
    total: bool = False
    is_open: bool = False
    subs: list[tuple[OpenLine, int]] = field(default_factory=list)


def read_pattern(
    text: str,
    *,
    names: Collection[str] = (),
    cloth: Collection[str] = (),
    usable_width: int = USABLE_WIDTH,
    sewing: Sewing = _SEWING,
) -> Pattern:
    """Return a whole pattern as its lines and parts.

    Parameters
    ----------
    text : any text; after 500 lines one wrong line says that the rest was left out
    names : of parts that are there already, so that a line can name them
    cloth : names of fabrics, which a line may name beside its cut
    usable_width : assumed for strips across the width and for yardage without a width, in length
        units
    sewing : its units are those of bare numbers

    Returns
    -------
    Cuts at cut size, in length units. Every line that is not blank is there, in order.

    Promise
    -------
    Never raises on any text.

    Examples
    --------
    >>> found = read_pattern("Sky:\\nCut 4 strips 2 1/2 x WOF. Subcut each into 16 squares 2 1/2.")
    >>> [(part.title, [(cut.count, cut.kind) for cut in part.cuts]) for part in found.parts]
    [('Sky', [(64, 'square')])]
    """
    reader = _Reader(names, cloth, usable_width, sewing)
    lines = text.splitlines()
    reader.names.learn(lines)
    read = 0
    for number, line in enumerate(lines, start=1):
        if not line.strip():
            reader.blank()
            continue
        if read == MAX_LINES:
            message = (
                f"Line {number} and all after it were left out; paste at most {MAX_LINES} lines."
            )
            reader.leave_out(number, "\n".join(lines[number - 1 :]), message)
            break
        reader.read(number, line.strip())
        read += 1
    return reader.pattern()


def read_lines(
    text: str, *, usable_width: int = USABLE_WIDTH, sewing: Sewing = _SEWING
) -> list[ReadLine | WrongLine]:
    r"""Return every line of a pattern that is not blank, in order, whatever part it belongs to.

    Parameters
    ----------
    text : any text
    usable_width : assumed for strips across the width and for yardage without a width, in length
        units
    sewing : its units are those of bare numbers

    Returns
    -------
    Cuts at cut size, in length units; a wrong line quotes itself and says what is accepted.

    Promise
    -------
    Never raises on any text.

    Examples
    --------
    >>> [type(line).__name__ for line in read_lines("12 squares 5 in\n\nsome blue")]
    ['ReadLine', 'WrongLine']
    """
    return list(read_pattern(text, usable_width=usable_width, sewing=sewing).lines)


class _Reader:
    def __init__(
        self, names: Collection[str], cloth: Collection[str], usable_width: int, sewing: Sewing
    ) -> None:
        self.names = Names(names)
        self.cloth = [name_key(name) for name in cloth]
        self.usable_width = usable_width
        self.sewing = sewing
        self.lines: list[OpenLine] = []
        self.titles: dict[str, str] = {}
        self.part: str | None = None
        self.has_heading = False
        self.section = ""
        self.times: Times | None = None
        self.blocks: int | None = None
        self.is_after_blank = False
        self.cutting: _Cutting | None = None
        self.table: Table | None = None

    def blank(self) -> None:
        self.is_after_blank = True
        self.table = None
        if self.cutting is not None and not self.cutting.is_open:
            self._close_cutting()

    def leave_out(self, number: int, text: str, message: str) -> None:
        self._close_cutting()
        self.lines.append(
            OpenLine(number=number, text=text, message=message, error=ValueError(), part=self.part)
        )

    def read(self, number: int, text: str) -> None:
        line = OpenLine(number=number, text=text, part=self.part)
        self.lines.append(line)
        try:
            self._read(line)
        except (UnreadableError, NeedsError, LengthError) as error:
            self._refuse(line, error)
        self.is_after_blank = False

    def _refuse(self, line: OpenLine, error: ValueError) -> None:
        """Nothing of a line counts of which a clause is not understood."""
        line.error, line.cuts, line.says = error, [], []
        cutting = self.cutting
        if cutting is not None and (
            cutting.line is line or any(sub_line is line for sub_line, _ in cutting.subs)
        ):
            if cutting.line is not line:
                cutting.subs = [sub for sub in cutting.subs if sub[0] is not line]
                cutting.is_open = False
                self._close_cutting()
            self.cutting = None

    def _read(self, line: OpenLine) -> None:
        if len(line.text) > _LONGEST:
            raise UnreadableError(f"is longer than {_LONGEST} characters")
        table = table_of(line.text, self.table)
        if table is not None:
            self.table = table
            if not table.cells:
                self._close_cutting()
                self._note(line, "The head of a table.")
                return
            if table.fabric:
                self._go_to(line, table.fabric)
            plain = in_digits(plain_text(table.text))
        else:
            self.table = None
            shown_text = " ".join(line.text.split())
            if re.match(r"(?:#(?!\d)|//)", shown_text) and not self._names_part(shown_text):
                self._note(line, "A heading or comment; nothing to cut.")
                return
            found = heading_of(
                shown_text, self.names, has_heading=self.has_heading, section=self.section
            )
            if found is not None and self._take_heading(line, found):
                return
            plain = in_digits(plain_text(found.rest if found is not None else line.text))
        self._read_cuts(line, without_bullet(plain))

    def _names_part(self, text: str) -> bool:
        return name_key(text) in self.names.keys or role_of(name_key(text)) == name_key(text)

    def _note(self, line: OpenLine, echo: str) -> None:
        line.part = None if not line.cuts else line.part
        line.echo = [echo]

    def _go_to(self, line: OpenLine, title: str) -> None:
        key = name_key(title)
        self.titles.setdefault(key, title)
        self.part = line.part = key

    def _take_heading(self, line: OpenLine, found: Heading) -> bool:
        """Follow a heading or label; whether the line holds nothing else."""
        if found.label:
            line.label = found.label
            return False
        if self.cutting is not None and not (self.cutting.is_open and found.rest):
            self._close_cutting()
        if found.section:
            self.section, self.part, self.has_heading, self.times = found.section, None, False, None
            self._note(line, "A heading; nothing to cut.")
            return True
        if found.is_multiplier:
            self._take_times(line, found)
            return True
        if found.is_passing or (found.title and found.rest and self.section == "materials"):
            # A list of what to buy names each cloth on its own line; so may lines below a heading.
            above, self.part = self.part, None
            self._go_to(line, found.title)
            self.part = above
            return False
        if found.title:
            if self.times is not None and role_of(found.title) in _NOT_PER_BLOCK:
                self.times = None
            self._go_to(line, found.title)
            self.has_heading = self.has_heading or not found.rest
        elif not found.rest:
            if found.ends_times:
                self.times = None
            self._note(line, "A heading; nothing to cut.")
            return True
        if found.rest:
            return False
        self._note(line, f"A heading: what stands below it belongs to {found.title}.")
        return True

    def _take_times(self, line: OpenLine, found: Heading) -> None:
        self.times = found.times
        if found.title:
            self._go_to(line, found.title)
            self.has_heading = True
        if found.times is not None and found.times.count is not None:
            self._note(line, f"Counts below are {found.times.words}.")
            return
        raise UnreadableError(
            "does not say of how many; write “For each of 12 blocks:” above its lines"
        )

    def _read_cuts(self, line: OpenLine, plain: str) -> None:
        line.is_materials = self.section == "materials"
        if is_remark(plain, is_sewing=self.section == "sewing"):
            self._note(line, "A remark; nothing to cut.")
            return
        if re.match(r"(?:sew|stitch|join|press|trim)\b.*\d", plain):
            raise UnreadableError("tells how to sew; strike it out if it asks for no cloth")
        if len(self.lines) == 1 and is_title(line.text):
            self._note(line, "The name of the pattern; nothing to cut.")
            return
        blocks = is_block_count(plain)
        if blocks is not None:
            self.blocks = blocks
            raise UnreadableError(
                "does not say whether the counts are those of one block or of all; write "
                f"“For each of {blocks} blocks:” or “For all {blocks} blocks:” above them"
            )
        plain = self._without_cloth_behind(line, without_equivalents(plain))
        if line.part is not None and role_of(line.part) in ("batting", "backing"):
            # One piece of these serves the quilt, so that a size alone says enough.
            plain = _ONE_SIZE.sub(r"1 rectangle \g<0>", plain)
        found = counted(plain)
        line.total, line.centre, line.says = found.total, found.centre, list(found.says)
        line.times = self._times_for(found)
        clauses = clauses_of(found.rest)
        if not clauses:
            raise UnreadableError("has no count and no size")
        before = len(line.cuts)
        for clause in clauses:
            self._clause(line, clause, found)
        self._check_counts(line, found, before)

    def _without_cloth_behind(self, line: OpenLine, plain: str) -> str:
        """Follow "7 strips 2 1/2 x width from the binding fabric"."""
        match = _CLOTH_BEHIND.search(plain)
        key = name_key(match["name"]) if match else ""
        if match is None or not (key in self.names.keys or role_of(key) == key):
            return plain
        line.part = key
        self.titles.setdefault(key, self.names.title_of(key))
        return plain[: match.start()].strip(" ,")

    def _times_for(self, found: Counted) -> Times | None:
        own, above = found.times, self.times
        if own is None:
            return above
        if own.count is None:
            number = above.count if above is not None else self.blocks
            if number is None and found.total is None:
                raise UnreadableError(
                    f"says for each of the {own.noun} and not of how many; write “for each of 12 "
                    f"{own.noun}”, or the whole number"
                )
            return replace(own, count=number)
        if above is not None and above != own:
            raise UnreadableError(f"multiplies, and stands below a heading “{above.words}”")
        return own

    def _clause(self, line: OpenLine, clause: str, found: Counted) -> None:
        how = diagonal_of(clause)
        if how:
            self._cut_on(line, how, found)
            return
        sub = subcut_of(clause)
        if sub is not None:
            self._subcut(line, sub, found)
            return
        if is_no_cloth(clause) and line.cuts:
            if re.search(r"\d", clause):
                raise UnreadableError(f"has “{clause}”, which is not understood")
            line.says.append(f"Noted: {clause}.")
            return
        read = cuts_of(clause, usable_width=self.usable_width, sewing=self.sewing)
        for meaning in read:
            self._add(line, meaning, found)

    def _add(self, line: OpenLine, meaning: Understood, found: Counted) -> None:
        cuts = list(meaning.cuts)
        if meaning.yardage is not None:
            cuts.append(meaning.yardage.as_cut())
        if not cuts:
            self._note(line, meaning.echo)
            return
        if found.packs is not None:
            cuts = [_packed(cut, found.packs) for cut in cuts]
        if line.label:
            cuts = [replace(cut, label=f"{cut.label}, {line.label}") for cut in cuts]
        words = f"{meaning.label} {meaning.words}"
        self._find_part(line, words, meaning.yardage.form if meaning.yardage else "")
        self._refuse_unknown(words)
        line.echo.append(meaning.echo)
        line.meaning = meaning if not line.cuts and found.packs is None else None
        if self.cutting is not None and self._belongs_to_cutting(line, cuts):
            self.cutting.subs += [
                (line, place) for place in range(len(line.cuts), len(line.cuts) + len(cuts))
            ]
            line.cuts += cuts
            return
        self._close_cutting()
        line.cuts += cuts
        strips = strips_of(cuts[-1]) if len(cuts) == 1 else None
        if strips is not None:
            self.cutting = _Cutting(line=line, place=len(line.cuts) - 1, strips=strips)

    def _refuse_unknown(self, words: str) -> None:
        """A word that nobody knows may ask for more."""
        unknown = unknown_words(words, [*self.names.keys, *self.cloth])
        if unknown:
            raise UnreadableError(
                f"has “{unknown}”, which is not understood; put it in brackets if it asks for "
                "nothing more"
            )

    def _find_part(self, line: OpenLine, words: str, form: str) -> None:
        """A line under no heading may name its part: "2 yd of background"."""
        if self.has_heading or (line.part is not None and line.part != self.part):
            return
        named = self.names.named_in(words)
        if form and f"{form}s" in self.names.keys:
            named = [f"{form}s"]
        if len(named) == 1 and line.part is None:
            line.part = named[0]
            self.titles.setdefault(named[0], self.names.title_of(named[0]))

    def _belongs_to_cutting(self, line: OpenLine, cuts: Sequence[NeededCut]) -> bool:
        cutting = self.cutting
        assert cutting is not None
        if not cutting.is_open or line.part != cutting.line.part:
            return False
        return all(
            strips_of(cut) is None
            and min(cut.width, cut.length) <= cutting.strips.height
            and max(cut.width, cut.length) <= cutting.strips.length
            for cut in cuts
        )

    def _cut_on(self, line: OpenLine, how: str, found: Counted) -> None:
        """Squares that stand before are cut on the diagonal: on this line, or the one above."""
        home = line if line.cuts else self._line_above(line)
        if home is None or not home.cuts:
            raise UnreadableError("cuts on the diagonal, and no squares stand before it")
        cut = home.cuts[-1]
        if cut.width != cut.length:
            raise UnreadableError("cuts on the diagonal what is no square")
        home.cuts[-1] = replace(cut, technique=f"then {how}")
        if home is line:
            line.says.append(f"Then {how}.")
        else:
            line.says.append(f"Line {home.number}: then {how}.")

    def _line_above(self, line: OpenLine) -> OpenLine | None:
        place = next(place for place, candidate in enumerate(self.lines) if candidate is line)
        above = self.lines[place - 1] if place else None
        return above if above is not None and above.error is None else None

    def _subcut(self, line: OpenLine, sub: Subcut, found: Counted) -> None:
        cutting = self.cutting
        if cutting is None or (cutting.subs and cutting.line is not line and not cutting.is_open):
            raise UnreadableError("cuts on what is no strip, or stands below no strips")
        if sub.strips is not None and sub.strips != cutting.strips.count:
            raise UnreadableError(
                f"cuts on {sub.strips} strips, and {cutting.strips.count} stand before it; give "
                "those their own line"
            )
        cutting.is_open = True
        cutting.each = sub.each
        cutting.total = found.in_all
        if not sub.rest:
            if line is not cutting.line:
                self._note(line, "What stands below is cut from these strips.")
            return
        if sub.fills_strips and not cutting.subs:
            home = cutting.line
            cut = home.cuts[cutting.place]
            home.cuts[cutting.place] = replace(cut, technique=f"then cut into {sub.rest}")
            sentence = f"Cut on into {sub.rest}; how many is not said, so whole strips are wanted."
            if line is home:
                line.says.append(sentence)
            else:
                self._note(line, sentence)
            self.cutting = None
            return
        if line.times is None:
            line.times = cutting.line.times
        read = cuts_of(_with_count(sub.rest), usable_width=self.usable_width, sewing=self.sewing)
        for meaning in read:
            if not meaning.cuts or (
                strips_of(meaning.cuts[-1]) is not None and len(meaning.cuts) > 1
            ):
                raise UnreadableError("cuts on into what is no cut")
            words = f"{meaning.label} {meaning.words}"
            self._refuse_unknown(words)
            line.echo.append(meaning.echo)
            cutting.subs += [
                (line, place) for place in range(len(line.cuts), len(line.cuts) + len(meaning.cuts))
            ]
            line.cuts += meaning.cuts
            line.meaning = None
        if line is not cutting.line:
            line.part = cutting.line.part
            line.written_with = cutting.line.text

    def _close_cutting(self) -> None:
        """Count what was cut from strips in place of the strips, where the numbers agree."""
        cutting, self.cutting = self.cutting, None
        if cutting is None or not cutting.subs:
            return
        cuts = [line.cuts[place] for line, place in cutting.subs]
        try:
            times = check_subcuts(cutting.strips, cuts, each=cutting.each, total=cutting.total)
        except UnreadableError as error:
            for line in {id(line): line for line, _ in cutting.subs}.values():
                line.error, line.cuts, line.says = error, [], []
            return
        for line, place in cutting.subs:
            cut = line.cuts[place]
            line.cuts[place] = replace(cut, count=cut.count * times)
        height = shown(cutting.strips.height, self.sewing)
        sentence = (
            f"{cutting.strips.count} strip{'s' if cutting.strips.count > 1 else ''} of {height}"
        )
        for line in {id(line): line for line, _ in cutting.subs}.values():
            line.says.insert(0, f"From {sentence}.")
            if times > 1:
                made = [
                    sub_line.cuts[place] for sub_line, place in cutting.subs if sub_line is line
                ]
                line.says.insert(1, f"So many from each: in all {sum_of(made)}.")
            line.meaning = None
            if line is not cutting.line and not line.written_with:
                line.written_with = cutting.line.text
        home = cutting.line
        if any(line is home for line, _ in cutting.subs):
            home.echo = home.echo[:0] + home.echo[1:] if len(home.echo) > 1 else home.echo
        del home.cuts[cutting.place]
        home.meaning = None
        if not home.cuts:
            home.echo = [f"{sentence}, which are cut on below."]
            home.total = None

    def _check_counts(self, line: OpenLine, found: Counted, before: int) -> None:
        counts = [cut.count for cut in line.cuts[before:]]
        if found.least > 1 and sum(counts) < found.least:
            raise UnreadableError(
                f"asks for fewer than one from each of {found.least}; write “each” or the "
                f"whole number"
            )
        if found.triangles is not None:
            self._check_triangles(line, found.triangles)
        if found.times is not None and line.cuts and not counts:
            raise UnreadableError("multiplies nothing")

    def _check_triangles(self, line: OpenLine, triangles: int) -> None:
        home = line if line.cuts else self._line_above(line)
        cut = home.cuts[-1] if home is not None and home.cuts else None
        if cut is None:
            raise UnreadableError("counts triangles, and no squares stand before it")
        gives = {"then cut once on the diagonal": 2, "then cut twice on the diagonal": 4}
        each = gives.get(cut.technique, 0)
        if triangles > each * cut.count or each == 0:
            raise UnreadableError(
                f"wants {triangles} triangles, and {cut.count} squares do not give so many"
            )

    def pattern(self) -> Pattern:
        """Return what was read, once no line can change it any more."""
        self._close_cutting()
        self._settle_materials()
        answers = [(line, answer_of(line)) for line in self.lines]
        keys = list(dict.fromkeys(line.part for line in self.lines if line.belongs_to_a_part))
        parts = tuple(
            PatternPart(
                title=self.titles.get(key, "") if key is not None else "",
                role=role_of(self.titles.get(key, "")) if key is not None else "other",
                lines=tuple(
                    answer
                    for line, answer in answers
                    if line.belongs_to_a_part and line.part == key
                ),
            )
            for key in keys
        )
        return Pattern(lines=tuple(answer for _, answer in answers), parts=parts)

    def _settle_materials(self) -> None:
        """What a pattern tells to buy is not wanted once more where its cuts are there."""
        cut = {
            line.part
            for line in self.lines
            if line.cuts and not line.is_materials and line.part is not None
        }
        for line in self.lines:
            if line.is_materials and line.cuts and line.part in cut:
                line.cuts, line.meaning, line.times = [], None, None
                line.says = ["What to buy by the pattern; not counted, because its cuts are below."]


def _with_count(rest: str) -> str:
    return re.sub(r"^\(?(\d+)\)\s*", r"\1 ", rest)


def _packed(cut: NeededCut, packs: int) -> NeededCut:
    pack = "pack" if packs == 1 else f"{packs} packs"
    return replace(cut, count=cut.count * packs, technique=joined(cut.technique, f"as a {pack}"))
