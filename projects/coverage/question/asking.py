"""One question to the cutting package: these cuts from these pieces, by the project's rules.

What a direction forbids, where motifs are centred and which lots may meet is decided here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, MutableMapping, Sequence
from dataclasses import dataclass, field, replace

from projects.coverage.question.joined import ask_with_runs
from projects.coverage.question.supply import Supply, Wanted
from projects.cutting import aims as cutting_aims
from projects.cutting import shapes
from projects.cutting.shapes import Answer, Limits, Plan
from projects.models import Aim, CutKind, DirectionRule, Project
from projects.planning.allowances import planning_width, purchase_allowance, shelf_allowance
from stash.lengths import Unit, inches_or_cm

__all__ = ["Asking", "aims_of", "ask", "upright_on"]

_AIMS = {
    Aim.LEAST_CLOTH: cutting_aims.Aim.LEAST_CLOTH,
    Aim.SCRAPS: cutting_aims.Aim.SMALL_FIRST,
    Aim.FEW_PIECES: cutting_aims.Aim.FEWEST_PIECES,
    Aim.FAVOURITES: cutting_aims.Aim.FAVOURITES_SPARED,
    Aim.LARGE_REST: cutting_aims.Aim.LARGEST_LEFT,
    Aim.FEW_SETTINGS: cutting_aims.Aim.FEWEST_SETTINGS,
    Aim.FEW_CUTS: cutting_aims.Aim.FEWEST_CUTS,
}

_Ask = Callable[[Sequence[Wanted], Sequence[Supply]], Answer]


@dataclass(frozen=True, kw_only=True)
class Asking:
    """Whose allowances apply, how much work one question may take, and whether buying is asked.

    ``verdict_only``: whether the cloth does, and not how it is cut best nor what to buy.
    ``before`` are plans to be changed no more than needed. ``earlier`` keeps answers of this
    process, so that longer looking goes on where it stopped. ``stopped`` collects the questions
    that the clock ended before their work was done.
    """

    project: Project
    units: Unit
    work: int
    buy: bool = True
    verdict_only: bool = False
    before: tuple[Plan, ...] = ()
    earlier: MutableMapping[str, Answer] = field(default_factory=dict)
    stopped: list[str] = field(default_factory=list)

    @property
    def limits(self) -> Limits:
        return Limits(
            work=self.work,
            buy_width=planning_width(self.project),
            buy_step=self.project.buy_step,
            units=inches_or_cm(self.units),
            buy_sold=purchase_allowance(self.project),
            verdict_only=self.verdict_only,
        )


def aims_of(project: Project) -> tuple[cutting_aims.Aim, ...]:
    """The project's first aim; the cutting package adds the others in their written order."""
    return (_AIMS[Aim(project.first_aim)],)


def ask(asking: Asking, wanted: Sequence[Wanted], supplies: Sequence[Supply]) -> Answer:
    """One question to the planner, by all rules of the parts that want these cuts."""

    def by_direction(lines: Sequence[Wanted], cloth: Sequence[Supply]) -> Answer:
        if all(line.run is None for line in lines):
            return _by_direction(asking, lines, cloth)
        project, units = asking.project, asking.units
        return ask_with_runs(project, units, lines, cloth, plain, buy=asking.buy)

    def plain(
        lines: Sequence[Wanted], cloth: Sequence[Supply], buying: bool, sharing: int
    ) -> Answer:
        return _by_direction(replace(asking, buy=buying, work=asking.work // sharing), lines, cloth)

    if (
        len({line.part.pk for line in wanted if line.part.one_lot})
        == 1
        == len({line.part.pk for line in wanted})
    ):
        return _from_one_lot(by_direction, asking, wanted, supplies)
    return by_direction(wanted, supplies)


def _by_direction(asking: Asking, wanted: Sequence[Wanted], supplies: Sequence[Supply]) -> Answer:
    """With cloth of both kinds in one pool no cut may turn.

    When that fails and turning would do, nothing is proven about cutting each cloth by its own
    rule: *undecided*.
    """
    strict = [line.as_cut(turn=_turned(line, supplies, strict=True)) for line in wanted]
    answer = _by_repeat(asking, wanted, strict, supplies)
    relaxed = [line.as_cut(turn=_turned(line, supplies, strict=False)) for line in wanted]
    if answer.verdict != "short" or relaxed == strict:
        return answer
    freely = _by_repeat(asking, wanted, relaxed, supplies)
    if freely.verdict == "short":
        return replace(freely, buy=answer.buy, plans=answer.plans, short=answer.short)
    return _undecided(
        answer,
        "Some of the cloth has a direction; without turning any cut no plan was found.",
        proof="direction",
    )


def _turned(line: Wanted, supplies: Sequence[Supply], *, strict: bool) -> bool:
    """Whether a cut may turn: strictly, one directional piece among the supplies forbids it."""
    if line.part.direction_rule == DirectionRule.MAY_TURN or not line.turn:
        return line.turn
    directional = [supply.is_directional for supply in supplies]
    return not (any(directional) if strict else bool(directional) and all(directional))


def upright_on(line: Wanted, supplies: Iterable[Supply]) -> frozenset[str]:
    """The names of the supplies on which no cut of this one's part may turn."""
    if line.part.direction_rule == DirectionRule.MAY_TURN:
        return frozenset()
    return frozenset(supply.name for supply in supplies if supply.is_directional)


def _by_repeat(
    asking: Asking,
    wanted: Sequence[Wanted],
    cuts: Sequence[shapes.Cut],
    supplies: Sequence[Supply],
) -> Answer:
    """Where every cut has a motif in its middle, each piece's own print counts, and where it lies.

    Where only some do, or strips across the whole width are among them, their cuts take a repeat
    more each way, so that a motif can be brought to their middle wherever they lie. That such
    blocks find no place proves nothing, unless the cuts without them find none either.
    """
    centred = [line.is_centred for line in wanted]
    unknown = sorted(
        {supply.piece.fabric.name for supply in supplies if not supply.is_repeat_known}
    )
    if any(centred) and unknown:
        answer = _plan(asking, cuts, [supply.as_piece() for supply in supplies])
        if answer.verdict == "short":
            return answer
        return _undecided(
            answer,
            f"The motifs are to be centred, and the repeat of {', '.join(unknown)} is not known:"
            " measure it and enter it on the fabric’s page.",
            proof="repeat",
        )
    repeats = [supply.repeat for supply in supplies]
    across = max((repeat[0] for repeat in repeats), default=0)
    along = max((repeat[1] for repeat in repeats), default=0)
    if not any(centred) or not (across or along):
        return _plan(asking, cuts, [supply.as_piece() for supply in supplies])
    is_strip = [line.cut.kind == CutKind.STRIP_ACROSS for line in wanted]
    if all(centred) and not any(is_strip):
        limits = replace(asking.limits, buy_repeat_across=across, buy_repeat_along=along)
        pieces = [supply.as_piece(repeats=True) for supply in supplies]
        return _plan(asking, cuts, pieces, limits=limits)
    blocks = [
        replace(
            cut,
            width=cut.width if strip else cut.width + across,
            length=cut.length + along,
            turn=cut.turn and across == along,
        )
        if is_centred
        else cut
        for cut, is_centred, strip in zip(cuts, centred, is_strip, strict=True)
    ]
    pieces = [supply.as_piece() for supply in supplies]
    answer = _plan(asking, blocks, pieces)
    if answer.verdict != "short":
        return answer
    bare = _plan(asking, cuts, pieces)
    if bare.verdict == "short":
        return replace(answer, evidence=bare.evidence)
    return _undecided(
        answer, "With the motifs centred no plan was found; that there is none is not certain."
    )


def _plan(
    asking: Asking,
    cuts: Sequence[shapes.Cut],
    pieces: Sequence[shapes.Piece],
    *,
    limits: Limits | None = None,
) -> Answer:
    # The solver takes a while to load, and most pages ask nothing.
    from projects.cutting.answers.cut_list import plan_cuts

    key = repr((cuts, pieces))
    counts = {piece.name: piece.count for piece in pieces}
    answer = plan_cuts(
        pieces,
        cuts,
        allow=shelf_allowance(asking.project),
        limits=limits or asking.limits,
        aims=aims_of(asking.project),
        buy=asking.buy,
        start=asking.earlier.get(key),
        before=[plan for plan in asking.before if plan.index < counts.get(plan.piece, 0)],
    )
    if answer.resume is not None and not asking.verdict_only:
        asking.earlier[key] = answer
    if answer.evidence.stopped_by_clock:
        asking.stopped.append(key)
    return answer


def _from_one_lot(
    ask_it: _Ask, asking: Asking, wanted: Sequence[Wanted], supplies: Sequence[Supply]
) -> Answer:
    """From one fabric and one lot: covered by any of them, short where all of them are.

    Pieces whose lot is not known are each a lot of their own. What to buy is then one lot as
    well, for all of the cuts. A lot that an earlier plan is followed on comes first.
    """
    lots: dict[str, list[Supply]] = {}
    for supply in supplies:
        lots.setdefault(supply.lot, []).append(supply)
    if len(lots) < 2:
        return ask_it(wanted, supplies)
    followed = {plan.piece for plan in asking.before}
    ordered = sorted(
        lots.values(),
        key=lambda lot: (
            not any(supply.name in followed for supply in lot),
            -sum(supply.width * supply.length * supply.count for supply in lot),
            lot[0].piece.pk,
        ),
    )
    answers: list[Answer] = []
    for lot in ordered:
        answers.append(ask_it(wanted, lot))
        if answers[-1].verdict == "covered":
            return answers[-1]
    least = min(
        answers, key=lambda answer: (answer.buy is None, answer.buy.rounded if answer.buy else 0)
    )
    if all(answer.verdict == "short" for answer in answers):
        sentence = f"No single lot holds it: {least.evidence.sentence}"
        return replace(least, evidence=replace(least.evidence, sentence=sentence))
    return _undecided(least, "From one lot alone no plan was found; it is not certain.")


def _undecided(answer: Answer, note: str, *, proof: str = "none") -> Answer:
    """``proof`` names what would decide it, where that is known."""
    evidence = replace(
        answer.evidence, proof=proof, sentence=note, tried=(*answer.evidence.tried, note)
    )
    return replace(answer, verdict="undecided", evidence=evidence)
