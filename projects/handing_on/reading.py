"""Reading a whole question: from a JSON document to typed values, or one sentence of refusal."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from projects.cutting.runs import Join
from projects.handing_on.question import (
    AllowGiven,
    CutGiven,
    PartGiven,
    PieceGiven,
    ProjectGiven,
    RunGiven,
    WholeQuestion,
)
from projects.models import Aim, CutKind, DirectionRule, Increment, Project, Role, Ruler
from projects.needs.usual import usual as usually
from projects.planning.projects.acts import blank_project
from stash.fields import LONGEST
from stash.json_fields import DocumentError, Fields
from stash.lengths import METRE, Unit, inches_or_cm, parse_length
from stash.models.fabric import Direction
from stash.models.piece import Edge, Form

__all__ = ["read_question"]

MOST_PIECES, MOST_PROJECTS, MOST_PARTS, MOST_CUTS = 2_000, 50, 60, 500
_LONGEST_NAME = 120
_LONGEST_TEXT = 60_000
_MOST_OF_ONE = 500
_MOST_CORNERS = 40
_TOP = ("units", "allow", "pieces", "projects")
_ALLOW = ("squaring_up", "shrink", "reserve", "width", "increment", "seam", "ruler")
_PIECE = (
    "fabric form width length count width_measured length_measured washed keep_back direction"
    " repeat phase edge lot bleeds fibre value favourite"
).split()
_PROJECT = ("name", "finished", "note", "aim", "parts")
_PART = (
    "name role fabrics split text cuts want value centred one_lot turning not_needed note"
).split()
_CUT = (
    "count width length kind turn centred label technique unit unit_role text finished run"
).split()
_RUN = ("length", "least", "join", "from_corner", "slide", "corners")
_JOINS: tuple[Join, ...] = ("diagonal", "straight")


def read_question(given: object) -> WholeQuestion:
    """Return what a JSON document asks for.

    Raises
    ------
    DocumentError
        A field is missing, unknown, of the wrong kind or out of range; one sentence that quotes it.
    """
    units: Unit = Fields("the document", given, _TOP, "in").choice("units", ("in", "cm"), "in")
    top = Fields("the document", given, _TOP, units)
    question = WholeQuestion(
        units=units,
        allow=_allow(top.inside("allow", _ALLOW), blank_project(units)),
        pieces=tuple(
            _piece(fields) for fields in top.objects("pieces", "piece", _PIECE, most=MOST_PIECES)
        ),
        projects=tuple(
            _project(fields)
            for fields in top.objects("projects", "project", _PROJECT, most=MOST_PROJECTS)
        ),
    )
    if not question.projects:
        raise DocumentError("The document has no “projects”; at least one project is needed.")
    _check_names([project.name for project in question.projects], "Two projects are")
    _check_fabrics(question.pieces)
    return question


def _allow(fields: Fields, usual: Project) -> AllowGiven:
    allow = AllowGiven(
        squaring_up=fields.length("squaring_up", usual.squaring_up, zero=True),
        shrink=_per_cent(fields, "shrink", usual.shrink, most=30),
        reserve=_per_cent(fields, "reserve", usual.reserve, most=100),
        width=fields.length("width", usual.assumed_width),
        increment=fields.choice("increment", Increment.values, usual.increment),
        seam=fields.length("seam", usual.seam),
        ruler=_ruler(fields, usual.ruler),
    )
    if allow.squaring_up >= allow.width:
        raise DocumentError("“squaring_up” takes the whole “width” of “allow”; give less.")
    return allow


def _ruler(fields: Fields, usual: str) -> str:
    """The ruler by its mark; a bare number is in the units of the document."""
    given = fields.length("ruler") if "ruler" in fields else None
    marks = {parse_length(value): value for value in Ruler.values}
    if given is not None and given not in marks:
        listed = ", ".join(Ruler.values)
        raise DocumentError(f"“ruler” of {fields.what} is none of {listed}.")
    return usual if given is None else marks[given]


def _per_cent(fields: Fields, field: str, usual: Decimal, *, most: int) -> Decimal:
    share = fields.share(field, Fraction(usual) / 100, below=2)
    tenths = share * 1000
    if tenths.denominator != 1 or share > Fraction(most, 100):
        raise DocumentError(
            f"“{field}” of {fields.what} is {float(100 * share):g} %; up to {most} % in steps of"
            " 0.1 % are accepted."
        )
    return Decimal(tenths.numerator) / 10


def _piece(fields: Fields) -> PieceGiven:
    piece = PieceGiven(
        fabric=fields.text("fabric", most=_LONGEST_NAME),
        form=fields.choice("form", Form.values, Form.YARDAGE),
        width=fields.length("width"),
        length=fields.length("length"),
        count=fields.count("count", 1, most=_MOST_OF_ONE),
        width_measured=fields.flag("width_measured", default=False),
        length_measured=fields.flag("length_measured", default=False),
        washed=fields.flag_or_none("washed"),
        keep_back=fields.length("keep_back", 0, zero=True),
        direction=fields.choice("direction", Direction.values, Direction.NONE),
        repeat=fields.two_lengths("repeat", zero=True),
        phase=fields.two_lengths("phase", zero=True),
        edge=fields.choice("edge", Edge.values, Edge.STRAIGHT),
        lot=fields.text("lot", "", most=60),
        bleeds=fields.flag_or_none("bleeds"),
        fibre=fields.text("fibre", "", most=_LONGEST_NAME),
        value=fields.number("value", least=0, most=10),
        favourite=fields.flag("favourite", default=False),
    )
    if piece.keep_back > piece.length:
        raise DocumentError(f"“keep_back” of {fields.what} is more than its length.")
    return piece


def _project(fields: Fields) -> ProjectGiven:
    name = fields.text("name", most=_LONGEST_NAME)
    parts = [
        _part(part_fields)
        for part_fields in fields.objects(
            "parts", f"part of “{name}”, number", _PART, most=MOST_PARTS
        )
    ]
    if not parts:
        raise DocumentError(f"Project “{name}” has no “parts”; at least one part is needed.")
    _check_names([part.name for part in parts], f"Two parts of “{name}” are")
    return ProjectGiven(
        name=name,
        finished=fields.two_lengths("finished"),
        note=fields.text("note", "", most=4_000),
        aim=fields.choice("aim", Aim.values, Aim.LEAST_CLOTH),
        parts=tuple(parts),
    )


def _part(fields: Fields) -> PartGiven:
    name = fields.text("name", most=80)
    low, high = _values(fields)
    part = PartGiven(
        name=name,
        role=fields.choice("role", Role.values, _role_by(name)),
        fabrics=fields.texts("fabrics"),
        split=fields.counts_by_name("split", most=10_000),
        text=fields.text("text", "", most=_LONGEST_TEXT),
        cuts=tuple(
            _cut(cut_fields)
            for cut_fields in fields.objects(
                "cuts", f"cut of “{name}”, number", _CUT, most=MOST_CUTS
            )
        ),
        want=fields.text("want", "", most=80),
        value=(low, high),
        centred=fields.flag("centred", default=False),
        one_lot=fields.flag("one_lot", default=False),
        turning=fields.choice("turning", DirectionRule.values, DirectionRule.FOLLOW_FABRIC),
        not_needed=fields.flag("not_needed", default=False),
        note=fields.text("note", "", most=2_000),
    )
    _check_names(part.fabrics, f"Two fabrics of part “{name}” are")
    for fabric in part.split:
        if fabric not in part.fabrics:
            raise DocumentError(
                f"“split” of part “{name}” names “{fabric}”, which is none of its fabrics."
            )
    return part


def _values(fields: Fields) -> tuple[float | None, float | None]:
    inside = fields.inside("value", ("from", "to"))
    low = inside.number("from", least=0, most=10)
    high = inside.number("to", least=0, most=10)
    if low is not None and high is not None and low > high:
        raise DocumentError(f"“value” of {fields.what} goes from {low:g} down to {high:g}.")
    return low, high


def _role_by(name: str) -> str:
    """The role that a name says, such as *binding*; else *other*."""
    words = name.casefold().split()
    return next((role for role in Role.values if role in words), Role.OTHER)


def _cut(fields: Fields) -> CutGiven:
    is_run = "run" in fields
    usual_kind = CutKind.STRIP_ACROSS if is_run else CutKind.RECTANGLE
    kind = fields.choice("kind", CutKind.values, usual_kind)
    if is_run and kind != CutKind.STRIP_ACROSS:
        raise DocumentError(f"{fields.what} is no strip across; only such strips make a “run”.")
    width = fields.length("width") if "width" in fields else None
    if width is None and kind != CutKind.STRIP_ACROSS:
        raise fields.lacks("width", "only strips across the width have none")
    return CutGiven(
        count=fields.count("count", 0 if is_run else 1, most=100_000),
        width=width,
        length=fields.length("length"),
        kind=kind,
        turn=fields.flag("turn", default=kind in (CutKind.SQUARE, CutKind.RECTANGLE)),
        centred=fields.flag("centred", default=False),
        label=fields.text("label", "", most=120),
        technique=fields.text("technique", "", most=200),
        unit=fields.text("unit", "", most=60),
        unit_role=fields.text("unit_role", "", most=40),
        text=fields.text("text", "", most=200),
        finished=fields.two_lengths("finished"),
        run=_run(fields.inside("run", _RUN)) if is_run else None,
    )


def _run(fields: Fields) -> RunGiven:
    habit = usually(inches_or_cm(fields.units))
    total = fields.length("length")
    if total > LONGEST:
        raise DocumentError(f"“length” of {fields.what} is more than {LONGEST // METRE} m.")
    return RunGiven(
        total=total,
        least=fields.length("least", habit.least_strip),
        join=fields.choice("join", _JOINS, "diagonal"),
        margin=fields.length("from_corner", habit.from_corner, zero=True),
        slide=fields.length("slide", zero=True) if "slide" in fields else 0,
        corners=fields.lengths("corners", most=_MOST_CORNERS),
    )


def _check_names(names: Sequence[str], text: str) -> None:
    for place, name in enumerate(names):
        if name in names[:place]:
            raise DocumentError(f"{text} called “{name}”; give each a name of its own.")


def _check_fabrics(pieces: Sequence[PieceGiven]) -> None:
    """What belongs to the fabric must be the same on each of its pieces."""
    first: dict[str, PieceGiven] = {}
    for piece in pieces:
        known = first.setdefault(piece.fabric, piece)
        for field in ("direction", "repeat", "bleeds", "fibre", "value"):
            if getattr(known, field) != getattr(piece, field):
                raise DocumentError(
                    f"Two pieces of fabric “{piece.fabric}” differ in “{field}”; it belongs to the"
                    " fabric, so give it alike or name two fabrics."
                )
