"""A part that is cut from several fabrics by shares, planned as a part for each of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from copy import copy
from dataclasses import dataclass, replace

from projects.coverage.answers.part_answers import PartAnswer, PartQuestion
from projects.coverage.answers.saved_answer import ToBuy
from projects.models import Verdict
from stash.lengths import Unit, format_length

__all__ = ["Apart", "apart", "as_parts"]


@dataclass(frozen=True, kw_only=True)
class Apart:
    """Questions with one for each fabric of a part that has shares.

    ``parts`` lead from the number of each to the number of its part and the fabric's name.
    """

    questions: tuple[PartQuestion, ...]
    parts: dict[int, tuple[int, str]]


def apart(questions: Sequence[PartQuestion]) -> Apart:
    """Take parts with shares apart; the questions in their place have numbers below zero."""
    found: list[PartQuestion] = []
    parts: dict[int, tuple[int, str]] = {}
    for question in questions:
        fabrics = sorted({line.fabric for line in question.wanted if line.fabric is not None})
        if not fabrics:
            found.append(question)
            continue
        names = {fabric.pk: fabric.name for fabric in question.part.fabrics.all()}
        for fabric in fabrics:
            part = copy(question.part)
            part.pk = -1 - len(parts)
            parts[part.pk] = (question.part.pk, names[fabric])
            found.append(
                PartQuestion(
                    part=part,
                    wanted=tuple(line for line in question.wanted if line.fabric == fabric),
                    supplies={
                        number: supply
                        for number, supply in question.supplies.items()
                        if supply.piece.fabric_id == fabric
                    },
                )
            )
    return Apart(questions=tuple(found), parts=parts)


def as_parts(answers: Mapping[int, PartAnswer], taken: Apart, units: Unit) -> dict[int, PartAnswer]:
    """The answers by part again: *covered* where each fabric covers its share, *short* where one
    does not."""
    shares: dict[int, list[tuple[str, PartAnswer]]] = {}
    found: dict[int, PartAnswer] = {}
    for number, answer in answers.items():
        answer = replace(
            answer,
            together=_real(answer.together, taken),
            buy_also_for=_real(answer.buy_also_for, taken),
        )
        if number in taken.parts:
            part, name = taken.parts[number]
            shares.setdefault(part, []).append((name, answer))
        else:
            found[number] = answer
    for part, named in shares.items():
        found[part] = _joined(part, named, units)
    return found


def _real(numbers: Sequence[int], taken: Apart) -> tuple[int, ...]:
    return tuple(dict.fromkeys(taken.parts.get(number, (number, ""))[0] for number in numbers))


def _joined(part: int, named: Sequence[tuple[str, PartAnswer]], units: Unit) -> PartAnswer:
    answers = [answer for _, answer in named]
    lacking = [(name, answer) for name, answer in named if answer.verdict != Verdict.COVERED]
    first = answers[0]
    joined = replace(
        first,
        tried=tuple(dict.fromkeys(way for answer in answers for way in answer.tried)),
        plans=tuple(dict.fromkeys(plan for answer in answers for plan in answer.plans)),
        short=_short(answers),
        together=tuple(dict.fromkeys(n for answer in answers for n in answer.together)),
        buy_also_for=tuple(
            dict.fromkeys(n for answer in answers for n in answer.buy_also_for if n != part)
        ),
        buy=_buy(answers),
        stopped_by_clock=any(answer.stopped_by_clock for answer in answers),
        hangs=tuple(hang for answer in answers for hang in answer.hangs),
    )
    if not lacking:
        return joined
    short = [pair for pair in lacking if pair[1].verdict == Verdict.SHORT]
    worst = (short or lacking)[0][1]
    sentences = [f"Of {name}: {answer.sentence}" for name, answer in short or lacking]
    bought = [
        f"{format_length(answer.buy.rounded, units=units, rounding='up')} of {name}"
        for name, answer in lacking
        if answer.buy is not None
    ]
    if len(bought) > 1:
        sentences.append(f"Buy {' and '.join(bought)}.")
    return replace(joined, verdict=worst.verdict, proof=worst.proof, sentence=" ".join(sentences))


def _short(answers: Sequence[PartAnswer]) -> tuple[tuple[int, int], ...]:
    missing: dict[int, int] = {}
    for answer in answers:
        for cut, count in answer.short:
            missing[cut] = missing.get(cut, 0) + count
    return tuple(missing.items())


def _buy(answers: Sequence[PartAnswer]) -> ToBuy | None:
    """All of it together: each fabric is cut from its own length."""
    bought = [answer.buy for answer in answers if answer.buy is not None]
    if not bought:
        return None
    return ToBuy(
        width=min(purchase.width for purchase in bought),
        to_buy=sum(purchase.to_buy for purchase in bought),
        rounded=sum(purchase.rounded for purchase in bought),
        is_least=all(purchase.is_least for purchase in bought),
        is_least_sold=all(not purchase.may_be_less for purchase in bought),
    )
