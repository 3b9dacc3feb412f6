"""Values and hues in numbers, and thirds of the stash."""

from __future__ import annotations

import re

from stash.finding import conditions as c
from stash.finding.words.taking import Taker

__all__ = ["Values"]

_NUMBER = r"(\d{1,2}(?:\.\d+)?)"
_FROM = "over|above|more than|at least|from"
_TO = "under|below|less than|at most|up to"


class Values(Taker):
    """What is said in numbers without a unit; taken before lengths, which look alike."""

    def patterns(self) -> tuple[tuple[str, str], ...]:
        return (
            (
                rf"\bvalue (?:of )?({_FROM}|{_TO}) {_NUMBER}(?! ?(?:to|-|–) ?\d)(?![\d.])",
                "_open_value",
            ),
            (
                rf"\bvalue (?:from |about |around |of )?{_NUMBER}"
                rf"(?: ?(?:to|-|–) ?{_NUMBER})?(?![\d.])",
                "_value",
            ),
            (r"\bhue (\d{1,3})(?:°| )?(?: ?(?:to|-|–) ?)(\d{1,3})\b°?", "_hue"),
            (r"\b(dark|medium|light)(?:est)? third\b", "_third"),
        )

    def _open_value(self, match: re.Match[str]) -> int:
        number = float(match[2])
        low, high = (number, 10.0) if match[1] in _FROM.split("|") else (0.0, number)
        label = f"value {match[1]} {number:g}"
        return self.add(match, match.end(), c.ValueBetween, label=label, low=low, high=high)

    def _value(self, match: re.Match[str]) -> int:
        low = float(match[1])
        high = float(match[2]) if match[2] else low
        # One number asks for its neighbourhood: half a step either way.
        spread = 0.0 if match[2] else c.SAME_VALUE
        low, high = min(low, high) - spread, max(low, high) + spread
        label = f"value {max(low, 0):g} to {min(high, 10):g}"
        return self.add(match, match.end(), c.ValueBetween, label=label, low=low, high=high)

    def _hue(self, match: re.Match[str]) -> int | None:
        low, high = int(match[1]), int(match[2])
        if max(low, high) > 360:
            return None
        label = f"hue {low}° to {high}°"
        return self.add(match, match.end(), c.HueBetween, label=label, low=low, high=high)

    def _third(self, match: re.Match[str]) -> int:
        label = f"{match[1]} third of the stash"
        return self.add(match, match.end(), c.Third, label=label, band=match[1])
