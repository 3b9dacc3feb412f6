"""What the cloth is for: projects, their parts and cuts, promises, coverage and cutting."""

from projects.models.audition import Audition, LaidFabric, PatchShape
from projects.models.coverage import Coverage, Verdict
from projects.models.cut import Cut, CutKind, JoinKind
from projects.models.cutting_done import ActKind, CuttingDone
from projects.models.laid_sheet import LaidSheet
from projects.models.open_question import OpenQuestion
from projects.models.part import (
    FINISHING,
    DirectionRule,
    DirectionWant,
    Firmness,
    Part,
    Role,
)
from projects.models.pattern import PastedPattern
from projects.models.project import Aim, Increment, Project, Ruler, Status
from projects.models.promise import Promise
from projects.models.purchase import Purchase
from projects.models.quilt_drawing import DrawnRole, QuiltDrawing
from projects.models.sewing import BlocksTold, MeasuredBlock, MeasuredTop, SewnStep
from projects.models.squares import LaidSquare, PileName, SquareSet
from projects.models.unread_line import UnreadLine, unread_sentence

__all__ = [
    "FINISHING",
    "ActKind",
    "Aim",
    "Audition",
    "BlocksTold",
    "Coverage",
    "Cut",
    "CutKind",
    "CuttingDone",
    "DirectionRule",
    "DirectionWant",
    "DrawnRole",
    "Firmness",
    "Increment",
    "JoinKind",
    "LaidFabric",
    "LaidSheet",
    "LaidSquare",
    "MeasuredBlock",
    "MeasuredTop",
    "OpenQuestion",
    "Part",
    "PastedPattern",
    "PatchShape",
    "PileName",
    "Project",
    "Promise",
    "Purchase",
    "QuiltDrawing",
    "Role",
    "Ruler",
    "SewnStep",
    "SquareSet",
    "Status",
    "UnreadLine",
    "Verdict",
    "unread_sentence",
]
