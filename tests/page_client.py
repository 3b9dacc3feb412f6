"""Pages as a browser reads them: how a template is broken into lines means nothing."""

import re
from typing import Any

from django.test import Client

_KEPT = re.compile(r"(<(?:textarea|pre)\b.*?</(?:textarea|pre)>)", re.DOTALL)


def folded(html: str) -> str:
    """Return the page with single blanks, and none between tags, but in what is kept as typed."""
    parts = _KEPT.split(html)
    parts[::2] = [
        re.sub(r"> (?=<)", ">", re.sub(r"[ \t\r\n\f]+", " ", part)) for part in parts[::2]
    ]
    return "".join(parts).strip()


class PageClient(Client):
    """A client whose pages are folded."""

    def request(self, **request: Any) -> Any:
        response = super().request(**request)
        if not response.streaming and response.headers.get("Content-Type", "").startswith(
            "text/html"
        ):
            response.content = folded(response.content.decode()).encode()
        return response


def text_of(response: Any) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", response.content.decode()).split())
