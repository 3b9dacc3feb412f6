"""A table of fabrics, shown as it would be read, and put on the shelf when agreed."""

from __future__ import annotations

import json
import sys
import uuid
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from stash.catalogue.ledger import LedgerError
from stash.context import default_unit
from stash.intake.lists import acts
from stash.intake.lists.reading import Read, read_listing
from stash.intake.written.columns import FIELDS
from stash.intake.written.tables import TableError, decode, read_table, refuse_size
from stash.management.people import person_named
from stash.management.stash_command import StashCommand
from stash.models import Listing
from stash.models.listing import ListingKind

_MOST_TOLD = 100


class Command(StashCommand):
    help = (
        "Read a table of fabrics (CSV); nothing is stored without --agree: import_fabrics FILE.csv"
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file")
        parser.add_argument("--owner", help="whose stash; needed where there are several people")
        parser.add_argument("--agree", action="store_true", help="put the rows on the shelf")
        parser.add_argument(
            "--leave-out",
            action="store_true",
            help="agree although rows that are not right stay out",
        )
        parser.add_argument(
            "--column",
            action="append",
            default=[],
            metavar="HEADING=MEANING",
            help=f"what a column means: {', '.join(FIELDS)}",
        )
        parser.add_argument(
            "--unit", action="append", default=[], metavar="length=yd", help="unit of bare numbers"
        )
        parser.add_argument("--days", choices=["day first", "month first"], default="")
        parser.add_argument(
            "--json", action="store_true", help="what every row becomes, or why not"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        owner = person_named(options["owner"])
        path = Path(options["file"])
        try:
            refuse_size(path.stat().st_size)
            decoded = decode(path.read_bytes())
            headings = read_table(decoded.text).headings
        except OSError as error:
            self._refuse(f"{path} cannot be read: {error.strerror}.")
        except TableError as error:
            self._refuse(str(error))
        found = Listing(
            owner=owner,
            kind=ListingKind.TABLE,
            title=path.name[:120],
            text=decoded.text,
            encoding=decoded.encoding,
            reading={"units": default_unit(owner), "notice": decoded.notice},
        )
        self._tell_columns(found, headings, options)
        read = read_listing(found)
        act = None
        if options["agree"] and not read.refusal:
            act = self._put_on_shelf(found, read, options["leave_out"])
        self._tell(read, decoded.notice, act, as_json=options["json"])
        if read.refusal or (options["agree"] and act is None):
            sys.exit(2)

    def _tell_columns(self, found: Listing, headings: tuple[str, ...], options: Any) -> None:
        read = read_listing(found)
        facts = list(read.columns.facts) if read.columns else []
        for told in options["column"]:
            heading, _, fact = told.rpartition("=")
            if heading not in headings or (fact and fact not in FIELDS):
                self._refuse(
                    f"“{told}” is not understood; write HEADING=MEANING with a heading of the "
                    f"table and one of {', '.join(FIELDS)}."
                )
            facts[headings.index(heading)] = fact
        units = dict(told.split("=", 1) for told in options["unit"] if "=" in told)
        wrong = [told for told in options["unit"] if told.split("=")[-1] not in _UNITS]
        if wrong:
            self._refuse(
                f"“{wrong[0]}” is no unit; write length=yd, or one of {', '.join(_UNITS)}."
            )
        columns = facts if options["column"] else []
        found.reading |= {"columns": columns, "units_of": units, "days": options["days"]}

    def _put_on_shelf(self, found: Listing, read: Read, leaves_out: bool) -> uuid.UUID | None:
        if read.waiting and not leaves_out:
            self.stderr.write(
                f"{len(read.waiting)} rows are not right; nothing was stored. Put them right, or "
                "leave them out with --leave-out."
            )
            return None
        act = uuid.uuid4()
        try:
            made = acts.start_listing(
                owner=found.owner,
                kind=found.kind,
                title=found.title,
                text=found.text,
                encoding=found.encoding,
                reading=found.reading,
            )
            acts.put_on_shelf(listing=made, act=act)
        except (acts.ListingError, LedgerError) as error:
            self._refuse(str(error))
        return act

    def _tell(self, read: Read, notice: str, act: uuid.UUID | None, *, as_json: bool) -> None:
        if as_json:
            self.stdout.write(
                json.dumps(_document(read, notice, act), ensure_ascii=False, default=str)
            )
            return
        if notice:
            self.stdout.write(notice)
        if read.refusal:
            self.stderr.write(read.refusal)
            return
        assert read.table is not None
        assert read.columns is not None
        for heading, fact in zip(read.table.headings, read.columns.facts, strict=True):
            unit = f" in {read.columns.units[fact]}" if fact in read.columns.units else ""
            guess = " (a guess)" if fact in read.columns.guessed_units else ""
            self.stdout.write(
                f"{heading or 'no heading'}: {FIELDS.get(fact, 'left out')}{unit}{guess}"
            )
        for written in read.waiting[:_MOST_TOLD]:
            why = " ".join(written.problems) or f"needs {written.lacks}"
            self.stdout.write(f"line {written.at}: {why}")
        if len(read.waiting) > _MOST_TOLD:
            self.stdout.write(f"and {len(read.waiting) - _MOST_TOLD} more")
        self.stdout.write(f"{len(read.ready)} rows are ready, {len(read.waiting)} are not.")
        if act is not None:
            self.stdout.write(
                f"{len(read.ready)} fabrics are on the shelf; the page Add takes them back."
            )
        else:
            self.stdout.write("Nothing was stored; agree with --agree.")

    def _refuse(self, why: str) -> Any:
        self.stderr.write(why)
        sys.exit(2)


_UNITS = ("in", "yd", "cm", "m", "mm", "ft")


def _document(read: Read, notice: str, act: uuid.UUID | None) -> dict[str, Any]:
    columns = read.columns
    return {
        "refusal": read.refusal,
        "notice": notice,
        "act": act,
        "columns": dict(zip(read.table.headings, columns.facts, strict=True))
        if read.table and columns
        else {},
        "units": dict(columns.units) if columns else {},
        "guessed_units": sorted(columns.guessed_units) if columns else [],
        "ready": len(read.ready),
        "rows": [
            {
                "line": written.at,
                "is_ready": written.is_ready,
                "facts": written.facts,
                "problems": written.problems,
                "lacks": written.lacks,
            }
            for written in read.lines
        ],
    }
