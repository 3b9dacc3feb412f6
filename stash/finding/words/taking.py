"""Taking whole phrases out of a text: each leaves one mark where it stood."""

from __future__ import annotations

import re
from typing import Any

from stash.finding import conditions as c
from stash.finding.words.items import Item
from stash.finding.words.known import Known

__all__ = ["MOST_CONDITIONS", "Marked", "Taker"]

MOST_CONDITIONS = 24
_FIRST_MARK = 0xE000


class Marked:
    """A text in which what was taken out has left its marks: characters that nobody types."""

    def __init__(self, text: str, known: Known) -> None:
        self.text = text
        self.known = known
        self.items: dict[str, Item] = {}

    def mark(self, item: Item) -> str:
        """A new mark that stands for the item."""
        mark = chr(_FIRST_MARK + len(self.items))
        self.items[mark] = item
        return mark

    def plain(self, text: str) -> str:
        """The text with what the marks stand for in words again."""
        for mark, item in self.items.items():
            text = text.replace(mark, item.source)
        return text


class Taker:
    """Phrases by pattern. A method says where its phrase ends, or that it means nothing."""

    def __init__(self, marked: Marked) -> None:
        self.marked = marked
        self.known = marked.known
        self._taken: Item | None = None

    def patterns(self) -> tuple[tuple[str, str], ...]:
        """Each pattern with the name of the method that reads it, in the order of taking."""
        raise NotImplementedError

    def take(self) -> None:
        """Take out every phrase."""
        for pattern, method in self.patterns():
            self._take(re.compile(pattern), method)

    def _take(self, pattern: re.Pattern[str], method: str) -> None:
        start = 0
        for _ in range(MOST_CONDITIONS):
            match = pattern.search(self.marked.text, start)
            if match is None:
                return
            end = getattr(self, method)(match)
            if end is None:
                start = match.start() + 1
                continue
            assert self._taken is not None
            mark = self.marked.mark(self._taken)
            text = self.marked.text
            self.marked.text = f"{text[: match.start()]} {mark} {text[end:]}"

    def add(self, match: re.Match[str], end: int, kind: type[c.Condition], **facts: Any) -> int:
        """Note what the text from the match to this place asks for."""
        source = self.marked.plain(self.marked.text[match.start() : end]).strip()
        self._taken = Item(kind.__name__, source, kind(source=source, **facts))
        return end
