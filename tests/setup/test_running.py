"""The rule by which tests are left out on PostgreSQL can be trusted."""

from pathlib import Path

import pytest
from django.contrib.auth.models import User
from django.test import TestCase

from tests.running import LONG_FILES

TESTS = Path(__file__).resolve().parent.parent


def test_who_asks_for_no_database_is_kept_from_it(request: pytest.FixtureRequest) -> None:
    assert request.node.get_closest_marker("database") is None
    with pytest.raises(RuntimeError, match="Database access not allowed"):
        User.objects.exists()


def test_who_asks_for_a_database_by_a_fixture_is_marked(
    request: pytest.FixtureRequest, owner: User
) -> None:
    assert request.node.get_closest_marker("database") is not None


@pytest.mark.django_db
def test_who_asks_for_a_database_by_a_mark_is_marked(request: pytest.FixtureRequest) -> None:
    assert request.node.get_closest_marker("database") is not None


class TestCaseOfDjango(TestCase):
    def test_is_marked(self) -> None:
        assert User.objects.count() == 0
        assert self.request.node.get_closest_marker("database") is not None

    @pytest.fixture(autouse=True)
    def keep_request(self, request: pytest.FixtureRequest) -> None:
        self.request = request


def test_long_files_are_there_and_named_once() -> None:
    assert [name for name in LONG_FILES if not (TESTS / name).is_file()] == []
    assert len(set(LONG_FILES)) == len(LONG_FILES)
