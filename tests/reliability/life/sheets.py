"""Answers asked for, and the cut sheet as it is printed."""

from __future__ import annotations

from projects.coverage.answering import ask_coverage
from projects.coverage.groups import groups_of
from projects.cut_sheet.plans import SheetPlan, sheet_plans
from projects.models import Project
from tests.reliability.kept_by_hand import Printed
from tests.reliability.life.living import Living
from tests.reliability.sewing_room import all_rows


class Sheets(Living):
    def ask(self, project: Project) -> None:
        """Answers change, cloth does not."""
        ask_coverage(project=project)
        self.version += 1
        self.before = [*self.before[: self.version], []]
        self.rows = all_rows()

    def sheet(self, project: Project) -> tuple[list[SheetPlan], list[str]]:
        groups = groups_of(project, project.parts.whole(), units="in")
        return sheet_plans(project, groups), [group.fingerprint for group in groups]

    def printed(self, sheet_plan: SheetPlan) -> Printed:
        """Only what is drawn and written on the sheet."""
        plan = sheet_plan.plan
        numbers = {part.pk: number for number, part in enumerate(self.room.parts)}
        strip_of = {cut: s for s, strip in enumerate(plan.strips) for cut in strip.placements}
        project = sheet_plan.parts[0].project
        piece = self.pieces.index(plan.piece)
        there = self.book.pieces[piece]
        is_squared = plan.assumed.squared or plan.assumed.precut
        assert plan.assumed.precut == there.is_pack
        return Printed(
            piece=piece,
            placements=[(numbers[cut.part], cut.cut, strip_of[cut]) for cut in plan.placements],
            strips=[(strip.start, strip.size) for strip in plan.strips],
            begins=[numbers[strip.placements[0].part] for strip in plan.strips],
            remnants=[(left.x, left.y, left.width, left.length) for left in plan.remnants],
            width=plan.width,
            used=plan.used,
            squaring_up=0 if is_squared else project.squaring_up,
            keeps=(plan.assumed.keeps_width, plan.assumed.keeps_length),
            copies=sheet_plan.copies,
            is_pack=there.is_pack or there.count > 1,
            is_across=plan.first == "across",
        )
