"""Which tests run on which database, and in which order."""

from pathlib import Path

import pytest
from django.test import SimpleTestCase

#: Who asks for none of these, nor for `django_db`, and is no test case of Django's, is kept from
#: every database by pytest-django.
DATABASE_FIXTURES = {"db", "transactional_db", "live_server", "elsewhere"}

#: Begun first, the longest before the others, so that no worker is left with one of them when all
#: else is done. The order is by processor time, and a wrong one costs time only.
LONG_FILES = """
    walk/test_walk.py
    reliability/test_odd_values.py
    reliability/test_kills.py
    colour/test_faults.py
    demo/test_scenario.py
    quilt/test_in_browser.py
    audition/test_in_browser.py
    keeping/test_restore.py
    reliability/test_races.py
    reliability/test_photo_files.py
    setup/test_commands.py
    setup/test_serving.py
    squares/test_in_browser.py
    photos/test_looking_in_browser.py
    reliability/test_kills_keeping.py
    colour/test_card.py
    cut_sheet/test_stages_at_random.py
    reliability/test_life.py
    colour/test_cloth.py
    photos/test_reading_apart.py
""".split()

_TESTS = Path(__file__).parent


def arrange(items: list[pytest.Item]) -> None:
    """Mark who needs a browser and who may ask a database, and put the long files first.

    Browser tests change rows through the live server, so they need real transactions.
    """
    for item in items:
        fixtures = set(getattr(item, "fixturenames", ()))
        if "browser_page" in fixtures:
            item.add_marker(pytest.mark.browser)
            item.add_marker(pytest.mark.django_db(transaction=True))
        asks = fixtures & DATABASE_FIXTURES or item.get_closest_marker("django_db")
        if asks or issubclass(getattr(item, "cls", None) or object, SimpleTestCase):
            item.add_marker(pytest.mark.database)
    places = {_TESTS / name: place for place, name in enumerate(LONG_FILES)}
    items.sort(key=lambda item: places.get(item.path, len(places)))
