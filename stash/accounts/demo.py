"""The account of the demo, which anybody who reaches the demo may use."""

from django.contrib.auth.models import User

DEMO_NAME = "quilter"
DEMO_PASSWORD = "look around the sewing room"  # noqa: S105  (printed on purpose)


def demo_quilter() -> User:
    """Return the demo's account, made on first use."""
    user, is_new = User.objects.get_or_create(username=DEMO_NAME)
    if is_new:
        user.set_password(DEMO_PASSWORD)
        user.save(update_fields=["password"])
    return user
