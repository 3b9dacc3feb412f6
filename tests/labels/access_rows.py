"""Access to the page of labels; whose numbers it takes is tried in test_labels.py."""

from tests.access.matrix import Row

ROWS = [Row("stash:labels")]
