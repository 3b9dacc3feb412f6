"""Phrases about the palette, another fabric, places, shops, projects; and the order asked for."""

from __future__ import annotations

import re
from fractions import Fraction

from stash.finding import conditions as c
from stash.finding.words.scanning import longest_colour
from stash.finding.words.taking import Taker

__all__ = ["Relations"]

_COUNTS = {"one": 1, "two": 2, "three": 3, "a": 1, "half a": 0.5}
_ORDERS = {
    "dark": (r"(?:the )?darkest(?: first)?|(?:from )?dark to light", "darkest first"),
    "light": (r"(?:the )?lightest(?: first)?|(?:from )?light to dark", "lightest first"),
    "newest": (r"(?:the )?newest(?: first)?", "newest first"),
    "amount": (
        r"(?:the )?(?:biggest|largest)(?: first)?|(?<!at )most (?:cloth )?first"
        r"|(?<!at )most cloth|(?<!at )\bmost(?: of)?",
        "most cloth first",
    ),
}


class Relations(Taker):
    """What is said beside colours and lengths, in phrases of several words."""

    def patterns(self) -> tuple[tuple[str, str], ...]:
        return (
            (
                r"\b(?:(one|two|three|a|half a|\d(?:\.\d)?) steps? )?(darker|lighter) than (.+)",
                "_relation",
            ),
            (r"\b(same) value as (.+)", "_same_value"),
            (r"\bas (dark|light) as (.+)", "_same_value"),
            (
                r"\bunused (?:for|since) (\d{1,2}|an?|one|two|three) (year|month)s?\b",
                "_unused",
            ),
            (r"\bwith (?:at least )?(?:(\d{1,2}) ?% )?(.+)", "_with_colour"),
            (r"\bin (?:the )?(.+)", "_in_place"),
            (r"\bfrom (?:the )?(.+)", "_from_shop"),
            (r"\bfor (.+)", "_for_project"),
            *((rf"\b(?:{pattern})\b", f"_{order}") for order, (pattern, _) in _ORDERS.items()),
        )

    def _named_fabric(self, text: str) -> tuple[int, str] | None:
        """The fabric whose name the text begins with (longest first), and that name."""
        words = text.split()
        for taken in range(min(len(words), 12), 0, -1):
            name = " ".join(words[:taken])
            key = self.known.fabric_key(name)
            if key is not None:
                return key, name
        return None

    def _relation(self, match: re.Match[str]) -> int | None:
        named = self._named_fabric(match[3])
        if named is None:
            return None
        key, name = named
        steps = _COUNTS.get(match[1]) if match[1] else 0.0
        steps = float(match[1]) if steps is None else float(steps)
        distance = f"{steps:g} step{'s' if steps != 1 else ''} " if steps else ""
        label = f"{distance}{match[2]} than {name}"
        return self.add(
            match,
            match.start(3) + len(name),
            c.NearValue,
            label=label,
            key=key,
            relation=match[2],
            steps=steps,
        )

    def _same_value(self, match: re.Match[str]) -> int | None:
        named = self._named_fabric(match[2])
        if named is None:
            return None
        key, name = named
        label = f"same value as {name}, within {c.SAME_VALUE:g}"
        return self.add(
            match, match.start(2) + len(name), c.NearValue, label=label, key=key, relation="same"
        )

    def _unused(self, match: re.Match[str]) -> int:
        number = _COUNTS.get(match[1]) or (1 if match[1] in ("a", "an") else int(match[1]))
        days = Fraction(number) * (365 if match[2] == "year" else 30)
        plural = "" if number == 1 else "s"
        label = f"unused for {number} {match[2]}{plural}"
        since = self.known.today - int(days)
        return self.add(match, match.end(), c.Unused, label=label, since=since)

    def _with_colour(self, match: re.Match[str]) -> int | None:
        words, end = self._colour_run(match[2])
        if not words:
            return None
        share = int(match[1]) / 100 if match[1] else c.LEAST_SHARE
        label = f"with at least {100 * share:.0f} % {' '.join(words)} in it"
        return self.add(
            match,
            match.start(2) + end,
            c.WithColour,
            label=label,
            words=words,
            least_share=share,
        )

    def _colour_run(self, text: str) -> tuple[tuple[str, ...], int]:
        """The colour words that the text begins with, and where they end."""
        words = text.split()
        found: list[str] = []
        position = 0
        while position < len(words):
            taken, word = longest_colour(words, position)
            if word is None:
                break
            found.append(word)
            position += taken
        end = len(" ".join(words[:position])) if position else 0
        return tuple(found), end

    def _in_place(self, match: re.Match[str]) -> int | None:
        for name in sorted(self.known.places, key=len, reverse=True):
            if match[1] == name or match[1].startswith(f"{name} "):
                places = self.known.places[name]
                return self.add(
                    match, match.start(1) + len(name), c.InPlace, label=f"in {name}", places=places
                )
        return None

    def _from_shop(self, match: re.Match[str]) -> int | None:
        for shop in sorted(self.known.shops, key=len, reverse=True):
            if shop and (match[1] == shop or match[1].startswith(f"{shop} ")):
                return self.add(
                    match, match.start(1) + len(shop), c.FromShop, label=f"from {shop}", shop=shop
                )
        return None

    def _for_project(self, match: re.Match[str]) -> int | None:
        projects = self.known.projects()
        for name in sorted(projects, key=len, reverse=True):
            if match[1] == name or match[1].startswith(f"{name} "):
                label = f"for {name}"
                end = match.start(1) + len(name)
                return self.add(match, end, c.ForProject, label=label, keys=projects[name])
        return None

    def _dark(self, match: re.Match[str]) -> int:
        return self._ordered(match, "dark")

    def _light(self, match: re.Match[str]) -> int:
        return self._ordered(match, "light")

    def _newest(self, match: re.Match[str]) -> int:
        return self._ordered(match, "newest")

    def _amount(self, match: re.Match[str]) -> int:
        return self._ordered(match, "amount")

    def _ordered(self, match: re.Match[str], order: str) -> int:
        return self.add(match, match.end(), c.Ordered, label=_ORDERS[order][1], asked=order)
