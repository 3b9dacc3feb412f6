"""What the cloth is for: projects, their parts and cuts, promises, coverage and cutting."""

from projects.models.coverage import Coverage, Verdict
from projects.models.cut import Cut, CutKind
from projects.models.cutting_done import ActKind, CuttingDone
from projects.models.part import DirectionRule, Part, Role
from projects.models.project import Increment, Project, Status
from projects.models.promise import Promise
from projects.models.purchase import Purchase
from projects.models.quilt_drawing import DrawnRole, QuiltDrawing

__all__ = [
    "ActKind",
    "Coverage",
    "Cut",
    "CutKind",
    "CuttingDone",
    "DirectionRule",
    "DrawnRole",
    "Increment",
    "Part",
    "Project",
    "Promise",
    "Purchase",
    "QuiltDrawing",
    "Role",
    "Status",
    "Verdict",
]
