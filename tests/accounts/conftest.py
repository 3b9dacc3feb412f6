"""Here nobody is signed in before the test says so."""

import pytest
from django.test import Client


@pytest.fixture
def client() -> Client:
    return Client()
