"""The grey that stands for a cloth that is not chosen yet: light, medium or dark, as wanted."""

from __future__ import annotations

from projects.models import Part, Role

__all__ = ["usual_grey", "wanted_grey"]

# L* of what stands for a light, a medium and a dark cloth: the middles of thirds of the scale.
_LIGHT, _MEDIUM, _DARK = 100 * 5 / 6, 50.0, 100 / 6

# Common practice, no source: a light background, a dark feature.
_USUAL = {Role.BACKGROUND: _LIGHT, Role.FEATURE: _DARK, Role.BINDING: _DARK}
_WORDS = {
    _LIGHT: {"light", "pale", "white", "cream", "ivory", "off-white", "pastel"},
    _MEDIUM: {"medium", "middle", "mid"},
    _DARK: {"dark", "deep", "black", "navy"},
}


def usual_grey(role: str) -> float:
    """L* of the grey of a part that says nothing of its cloth."""
    return _USUAL.get(Role(role), _MEDIUM)


def wanted_grey(part: Part) -> float:
    """L* of the grey that stands for the cloth that a part wants.

    The middle of the values it wants, else the lightness of the colour that was picked, else what
    its words say, else what such a part usually is.
    """
    low, high = part.value_low, part.value_high
    if low is not None or high is not None:
        return 5 * ((0.0 if low is None else low) + (10.0 if high is None else high))
    if part.want_lab is not None:
        return part.want_lab[0]
    words = set(part.want_words.lower().replace(",", " ").split())
    for grey, named in _WORDS.items():
        if words & named:
            return grey
    return usual_grey(part.role)
