"""Access to the addresses that programs ask which watch the site."""

from tests.access.matrix import Row

ROWS = [
    Row("health", anonymous="public"),
    Row("ready", owner=(200, 503), anonymous="public"),
    # Nobody gets it where no token and no address is set.
    Row("metrics", owner=(404,), anonymous=404),
]
