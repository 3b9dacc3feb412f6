"""Trade words that differ between American and British workrooms, in the person's own.

The words stand in the pages as an American workroom has them. Whoever prefers the British ones
reads those; spelling, and whatever a person typed, stay as they are.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from contextvars import ContextVar
from typing import TYPE_CHECKING

from django.http import HttpRequest, HttpResponseBase
from django.utils.functional import lazystr

from stash.models import Preferences

if TYPE_CHECKING:
    from django.utils.functional import _StrPromise

__all__ = ["BRITISH", "TradeWordsMiddleware", "in_trade_words", "trade", "trade_lazy"]

#: Common practice, no source: each pair is what the trade's books of either side print.
BRITISH = {
    "selvage": "selvedge",
    "selvages": "selvedges",
    "batting": "wadding",
    "basting": "tacking",
    "baste": "tack",
    "muslin": "calico",
}

_WORDS = re.compile(rf"\b({'|'.join(BRITISH)})\b", re.IGNORECASE)
_is_british: ContextVar[Callable[[], bool] | None] = ContextVar("is_british", default=None)


def trade(text: str) -> str:
    """Return the text with the trade words of whoever looks at the page."""
    asked = _is_british.get()
    if asked is None or not _WORDS.search(text) or not asked():
        return text
    return in_trade_words(text)


def in_trade_words(text: str) -> str:
    """Return the text with British trade words, capitals kept."""
    return _WORDS.sub(_british, text)


def _british(found: re.Match[str]) -> str:
    word = found.group()
    other = BRITISH[word.lower()]
    return other.capitalize() if word[0].isupper() else other


class _Lazy:
    """A text whose words are chosen each time it is read."""

    def __init__(self, text: str) -> None:
        self.text = text

    def __str__(self) -> str:
        return trade(self.text)


def trade_lazy(text: str) -> _StrPromise:
    """Return a label made before anybody asks, whose words are chosen when it is read."""
    return lazystr(_Lazy(text))


class TradeWordsMiddleware:
    """Says during a request whose words are meant; nobody is asked before a word is due."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        token = _is_british.set(lambda: _prefers_british(request))
        try:
            return self.get_response(request)
        finally:
            _is_british.reset(token)


def _prefers_british(request: HttpRequest) -> bool:
    chosen: Preferences | None = getattr(request.user, "preferences", None)
    return chosen is not None and chosen.words == "uk"
