"""The whole sewing order of a project: every step in the order of the trade."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from projects.models import BlocksTold, MeasuredTop, Part, Project, Role, SewnStep
from projects.needs.sewing_rules import NeedsError
from projects.planning.cut_lists.lines import sewing_of
from projects.quilt.drawing import drawn_of
from projects.sewing.heaps import Heap, heaps_of
from projects.sewing.patchwork import (
    Grid,
    grid_of,
    steps_of_drawing,
    steps_of_parts,
    steps_of_squares,
)
from projects.sewing.rounds import Round, rounds_of
from projects.sewing.steps import CUTTING, MEASURING, Step, with_counts
from projects.sewing.tops import last_top
from projects.sewing.true_size import true_size
from stash.lengths import Unit

__all__ = ["Order", "order_of"]


@dataclass(frozen=True, kw_only=True)
class Order:
    """The steps, the heaps, and how the blocks lie; ``asks_blocks`` where nobody told of them."""

    steps: tuple[Step, ...]
    heaps: tuple[Heap, ...]
    grid: Grid | None
    rounds: tuple[Round, ...]
    asks_blocks: bool

    def step(self, key: str) -> Step | None:
        return next((step for step in self.steps if step.key == key), None)

    @cached_property
    def next_step(self) -> Step | None:
        """The first that is not done; cutting only until something is sewn."""
        is_sewing = any(step.made for step in self.steps if step.is_counted)
        for step in self.steps:
            if not step.is_done and not (step.is_cutting and is_sewing):
                return step
        return None

    @property
    def is_drawn_from_lists(self) -> bool:
        """Whether blocks and rows may be told by hand: nothing draws or lays them."""
        return self.asks_blocks or any(step.key == "block" for step in self.steps)


def order_of(project: Project, units: Unit) -> Order:
    """Every step with what was counted of it, from what the project knows."""
    parts = list(project.parts.whole())
    for part in parts:
        part.project = project
    heaps = heaps_of(parts, units)
    drawn = drawn_of(project, parts)
    told = BlocksTold.objects.filter(project=project).first()
    squares = project.square_sets.kept().first()  # type: ignore[attr-defined]
    sewing = sewing_of(project, units)
    if drawn is not None:
        patchwork = steps_of_drawing(drawn, heaps, units)
    elif squares is not None:
        patchwork = steps_of_squares(squares)
    else:
        patchwork = steps_of_parts(heaps, told, sewing)
    rounds = rounds_of(parts, drawn)
    steps = [
        *_cutting(heaps),
        *patchwork,
        _one("top", "The top", "Join the rows, match the seams, press."),
        *_borders(project, parts, rounds, heaps, units),
        *_finishing(parts, heaps),
    ]
    counts = dict(SewnStep.objects.filter(project=project).values_list("step", "made"))
    return Order(
        steps=tuple(with_counts(steps, counts)),
        heaps=heaps,
        grid=None if drawn is None and squares is not None else grid_of(drawn, told),
        rounds=rounds,
        asks_blocks=drawn is None and squares is None and told is None,
    )


def _one(key: str, name: str, *how: str, heaps: Sequence[Heap] = ()) -> Step:
    """A step that is done at once."""
    lower = name.lower()
    return Step(key=key, name=name, noun=lower, nouns=lower, total=1, how=how, heaps=tuple(heaps))


def _cutting(heaps: Sequence[Heap]) -> list[Step]:
    """Cutting the patches; what is cut for the finished top waits for its true size."""
    patches = [heap for heap in heaps if not heap.is_whole_cloth and heap.part.role != Role.BORDER]
    total = sum(heap.cut.count for heap in patches)
    if not total:
        return []
    return [
        Step(
            key=CUTTING,
            name="Cut patches, in heaps",
            noun="patch or strip",
            nouns="patches and strips",
            total=total,
            made=sum(heap.cut.done for heap in patches),
            how=(
                "Label each heap with its letter. Borders, backing and binding wait for the "
                "measured top; long borders that are cut first, from one length, are trimmed then.",
            ),
            heaps=tuple(patches),
        )
    ]


def _borders(
    project: Project,
    parts: Sequence[Part],
    rounds: Sequence[Round],
    heaps: Sequence[Heap],
    units: Unit,
) -> list[Step]:
    """Measuring the top, and each border with the lengths that follow from what was measured."""
    top = last_top(project)
    lengths = _lengths(top, parts, rounds, project, units)
    before = "before borders are cut" if rounds else "so that backing and binding follow it"
    found = [
        replace(
            _one(
                MEASURING,
                "Measure the top",
                f"Measure it {before}: through the middle and beside both edges, each way.",
            ),
            made=0 if top is None else 1,
        )
    ]
    for border in rounds:
        number = None if border.part is None else border.part.pk
        how = lengths.get(border.number) or ("Its length follows from the measured top.",)
        found.append(
            _one(
                f"border-{border.number}",
                f"{border.name}, sewn on",
                *how,
                heaps=[heap for heap in heaps if heap.part.pk == number and border.is_alone],
            )
        )
    return found


def _lengths(
    top: MeasuredTop | None,
    parts: Sequence[Part],
    rounds: Sequence[Round],
    project: Project,
    units: Unit,
) -> dict[int, tuple[str, ...]]:
    """By its number how long the strips of each border are cut, as far as that is known."""
    if top is None:
        return {}
    try:
        answer = true_size(top, parts, rounds, project, units)
    except NeedsError:
        return {}
    sewing = sewing_of(project, units)
    found: dict[int, tuple[str, ...]] = {}
    for border in answer.rounds:
        need = border.need
        sides, ends = sewing.show(need.side), sewing.show(need.end)
        order = "Sew the sides on first" if need.style == "butted" else "Sew the sides on"
        found[border.round.number] = (
            f"Cut both sides {sides}, and both ends {ends}; strips {sewing.show(need.strip)} wide.",
            f"{order}: pin middle and ends, and ease what is between.",
        )
    return found


def _finishing(parts: Sequence[Part], heaps: Sequence[Heap]) -> list[Step]:
    """Layers, quilting and binding, as far as the quilt has them."""
    wanted = {part.role for part in parts if not part.not_needed}

    def of(role: str) -> list[Heap]:
        return [heap for heap in heaps if heap.part.role == role]

    found = []
    backing, batting = Role.BACKING in wanted, Role.BATTING in wanted
    panels = sum(heap.cut.count for heap in of(Role.BACKING))
    if backing and panels > 1:
        found.append(
            _one(
                "backing",
                "Join the backing",
                f"{panels} panels, {panels - 1} seam{'s' if panels > 2 else ''}; press them flat.",
                heaps=of(Role.BACKING),
            )
        )
    if backing or batting:
        layers = " and ".join(
            name for name, is_there in (("backing", backing), ("batting", batting)) if is_there
        )
        found.append(
            _one(
                "layers",
                f"Layer {layers} and top",
                "Backing face down and smooth, batting on it, the top face up in the middle.",
                "Baste them together.",
                heaps=[*([] if panels > 1 else of(Role.BACKING)), *of(Role.BATTING)],
            )
        )
        found.append(
            _one("quilting", "Quilting", "From the middle outwards; then square the edges.")
        )
    if Role.BINDING in wanted:
        found.append(
            _one(
                "binding",
                "Binding",
                "Join the strips, sew them round, turn them over the edge.",
                heaps=of(Role.BINDING),
            )
        )
    return found
