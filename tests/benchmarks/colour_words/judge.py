"""Print how often the words agree with published names, by set, half and measure.

Run from the top folder: python -m tests.benchmarks.colour_words.judge
The measures are defined in tests/colour_words/judging.py. The table of hue words is fitted to the
tuning halves, which therefore judge nothing. The last lines fit the hue words to the tuning half of
one set alone and judge them on the judging half of the other.
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
    read_card_names,
    read_names,
    read_screen_names,
)


def report(title: str, colours: list[Named]) -> None:
    words = describe_many(labs_of(colours))
    best = [word.hues[0][0] for word in words]
    line = f"{title:44} {len(colours):4} names  {_agreement(colours, best)}"
    modifiers = [word.modifiers for word in words]
    for measure, wide in (("light/dark", False), ("wide", True)):
        toned = sum(bool(c.wide_tone if wide else c.tone) for c in colours)
        if toned:
            shown = balanced_tone(colours, modifiers, wide=wide)
            line += f"  {measure} {shown:.3f} of {toned}"
    sys.stdout.write(line + "\n")


def report_fitted(
    title: str, survey: list[Named], system: list[Named], judged: list[Named]
) -> None:
    columns = (hue_features(labs_of(judged)) @ fitted_table(survey, system)).argmax(axis=1)
    best = [HUE_WORDS[int(column)] for column in np.asarray(columns)]
    sys.stdout.write(f"{title:44} {len(judged):4} names  {_agreement(judged, best)}\n")


def main() -> None:
    survey, survey_judges = _halves(read_names(XKCD))
    system, system_judges = _halves(read_names(ISCC_NBS))
    report("xkcd survey, tuning half (fitted, no judge)", survey)
    report("xkcd survey, judging half", survey_judges)
    report("ISCC-NBS, tuning half (fitted, no judge)", system)
    report("ISCC-NBS, judging half", system_judges)
    report("CSS and X11, held out in whole", read_screen_names())
    report("Standard Color Card, held out in whole", read_card_names())
    report_fitted("ISCC-NBS tuned by xkcd alone", survey, [], system_judges)
    report_fitted("xkcd tuned by ISCC-NBS alone", [], system, survey_judges)


def _halves(colours: list[Named]) -> tuple[list[Named], list[Named]]:
    return [c for c in colours if c.tunes], [c for c in colours if not c.tunes]


def _agreement(colours: list[Named], best: list[str]) -> str:
    head = float(np.mean([c.head == hue for c, hue in zip(colours, best, strict=True)]))
    strict = hue_agreement(colours, best, strict=True)
    either = hue_agreement(colours, best, strict=False)
    return f"head {head:.3f}  strict {strict:.3f}  either {either:.3f}"


if __name__ == "__main__":
    main()
