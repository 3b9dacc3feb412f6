"""Access to the words, for everybody with an account; to the look, for who looks after the site."""

from tests.access.matrix import Row

ROWS = [Row("stash:words"), Row("stash:look", owner=(404,))]
