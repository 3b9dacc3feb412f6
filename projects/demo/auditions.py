"""The demo's auditions, laid the way a person lays them."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.contrib.auth.models import User

from projects.audition import acts as auditions
from projects.models import Audition, LaidFabric, PatchShape, Project
from stash.lengths import MM, parse_length
from stash.models import Fabric


@dataclass(frozen=True, kw_only=True)
class AuditionPlan:
    """Fabrics in order; `folded` shows a quarter, `beside` is the order of a second arrangement."""

    name: str
    fabrics: tuple[str, ...]
    shape: PatchShape = PatchShape.SQUARE
    block: str = ""
    width: str = "3 in"
    project: str = ""
    folded: str = ""
    beside: tuple[str, ...] = ()


AUDITIONS = (
    AuditionPlan(
        name="A sliver of coral at night",
        fabrics=("Midnight Pond", "Coral Glasshouse", "Deep Harbour", "Snowed In", "Foxglove Haze"),
        folded="Coral Glasshouse",
    ),
    AuditionPlan(
        name="Frost star: light points or dark ones",
        fabrics=("Rain Barrel", "Slate Roof", "Snowed In"),
        shape=PatchShape.BLOCK,
        block="sawtooth star",
        width="12 in",
        project="First Frost",
        beside=("Rain Barrel", "Snowed In", "Slate Roof"),
    ),
)


def load_auditions(owner: User, report: Callable[[str], Any]) -> None:
    """Lay the tables; their fabrics and projects are there already."""
    report("Laying fabrics side by side ...")
    # The first of the story comes last, so that it is found first.
    for plan in reversed(AUDITIONS):
        load_audition(owner, plan)


def load_audition(owner: User, plan: AuditionPlan) -> Audition:
    by_name = {fabric.name: fabric for fabric in Fabric.objects.owned_by(owner)}
    audition = auditions.start(
        owner=owner,
        name=plan.name,
        fabrics=[by_name[name] for name in plan.fabrics],
        project=Project.objects.owned_by(owner).filter(name=plan.project).first(),
    )
    audition.shape, audition.block = plan.shape, plan.block
    audition.width = parse_length(plan.width)
    audition.save()
    if plan.folded:
        laid = _laid(audition, 1, plan.folded)
        auditions.fold(laid=laid, folded=True)
        auditions.slide(laid=laid, right=12 * MM, down=0)
    if plan.beside:
        auditions.lay_beside(audition=audition)
        for place, name in enumerate(plan.beside):
            there = audition.laid.filter(arrangement=2)[place]
            auditions.swap(laid=_laid(audition, 2, name), other=there)
    return audition


def _laid(audition: Audition, arrangement: int, name: str) -> LaidFabric:
    return audition.laid.get(arrangement=arrangement, fabric__name=name)
