"""What every page may ask about the demo."""

from django.conf import settings
from django.http import HttpRequest


def demo(request: HttpRequest) -> dict[str, bool]:
    return {"is_demo": settings.DEMO}
