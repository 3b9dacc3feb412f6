"""How a colour's name and a value are written, so that an estimate says that it is one.

Whatever came of a bare photo has *about* before it, on every page and in every sentence. It is
written here and nowhere else; where there is no room for the word, `MARK` stands for it and the
page says what it means.
"""

ABOUT = "about"
MARK = "≈"


def stated(text: str, *, is_estimate: bool) -> str:
    """Return a name or a number as it may be written.

    Parameters
    ----------
    text : what a colour is called or what was read, without unit; empty where nothing is known
    is_estimate : whether it comes of a photo without a reference

    Returns
    -------
    The text, after “about” where it is an estimate; nothing of nothing.

    Source
    ------
    Our words, no source.

    Examples
    --------
    >>> stated("light blue", is_estimate=True)
    'about light blue'
    >>> stated("light blue", is_estimate=False)
    'light blue'
    """
    return f"{ABOUT} {text}" if text and is_estimate else text


def stated_short(value: float, *, is_estimate: bool) -> str:
    """Return a value for a place without room for a word.

    Parameters
    ----------
    value : 0 to 10 (L*/10)
    is_estimate : whether it comes of a photo without a reference

    Returns
    -------
    One decimal, after the mark where it is an estimate; the page says what the mark means.

    Source
    ------
    Our words, no source.

    Examples
    --------
    >>> stated_short(5, is_estimate=True)
    '≈ 5.0'
    """
    return f"{MARK} {value:.1f}" if is_estimate else f"{value:.1f}"


def stated_value(value: float, uncertainty: float | None = None, *, is_estimate: bool) -> str:
    """Return a value in one decimal, with half its 90 % interval where that is known.

    Parameters
    ----------
    value : 0 to 10 (L*/10)
    uncertainty : half width of its 90 % interval, on the 0 to 10 scale
    is_estimate : whether it comes of a photo without a reference

    Returns
    -------
    Such as “about 5.0 ± 1.4”, both on the 0 to 10 scale.

    Source
    ------
    Our words, no source.

    Examples
    --------
    >>> stated_value(5, 1.44, is_estimate=True)
    'about 5.0 ± 1.4'
    >>> stated_value(5, is_estimate=False)
    '5.0'
    """
    spread = "" if uncertainty is None else f" ± {uncertainty:.1f}"
    return stated(f"{value:.1f}{spread}", is_estimate=is_estimate)
