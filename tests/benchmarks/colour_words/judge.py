"""Print how often the words agree with published names, by set, half and measure.

Run from the top folder: python -m tests.benchmarks.colour_words.judge
The measures are defined in tests/colour_words/judging.py. The last lines fit the hue words to the
tuning half of one set alone and judge them on the judging half of the other.
"""

import sys

import numpy as np

from stash.colour.words import HUE_WORDS, describe_many
from stash.colour.words.hues import hue_features
from tests.benchmarks.colour_words.fit_hues import fitted_table
from tests.colour_words.judging import (
    ISCC_NBS,
    XKCD,
    Named,
    balanced_tone,
    hue_agreement,
    labs_of,
    read_names,
)


def report(title: str, colours: list[Named]) -> None:
    words = describe_many(labs_of(colours))
    best = [word.hues[0][0] for word in words]
    line = f"{title:34} {len(colours):4} names  {_agreement(colours, best)}"
    modifiers = [word.modifiers for word in words]
    for title, wide in (("light/dark", False), ("wide", True)):
        toned = sum(bool(c.wide_tone if wide else c.tone) for c in colours)
        line += f"  {title} {balanced_tone(colours, modifiers, wide=wide):.3f} of {toned}"
    sys.stdout.write(line + "\n")


def report_cross(title: str, tuned: list[Named], judged: list[Named], *, system: bool) -> None:
    table = fitted_table([], tuned) if system else fitted_table(tuned, [])
    columns = (hue_features(labs_of(judged)) @ table).argmax(axis=1)
    best = [HUE_WORDS[int(column)] for column in np.asarray(columns)]
    sys.stdout.write(f"{title:34} {len(judged):4} names  {_agreement(judged, best)}\n")


def main() -> None:
    survey, system = read_names(XKCD), read_names(ISCC_NBS)
    halves = {
        (title, tunes): [colour for colour in colours if colour.tunes == tunes]
        for title, colours in (("xkcd survey", survey), ("ISCC-NBS", system))
        for tunes in (True, False)
    }
    for (title, tunes), colours in halves.items():
        report(f"{title}, {'tuning' if tunes else 'judging'} half", colours)
    xkcd, iscc = "xkcd survey", "ISCC-NBS"
    report_cross(
        "ISCC-NBS tuned by xkcd alone", halves[xkcd, True], halves[iscc, False], system=False
    )
    report_cross(
        "xkcd tuned by ISCC-NBS alone", halves[iscc, True], halves[xkcd, False], system=True
    )


def _agreement(colours: list[Named], best: list[str]) -> str:
    head = float(np.mean([c.head == hue for c, hue in zip(colours, best, strict=True)]))
    strict = hue_agreement(colours, best, strict=True)
    either = hue_agreement(colours, best, strict=False)
    return f"head {head:.3f}  strict {strict:.3f}  either {either:.3f}"


if __name__ == "__main__":
    main()
