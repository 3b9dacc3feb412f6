"""Access to the routes of signing in and out."""

from django.contrib.auth.models import User

from tests.access.matrix import Row
from tests.builders import PASSWORD


def wrong_token(owner: User) -> dict[str, str]:
    return {"token": "0" * 32}


ROWS = [
    Row("accounts:account", methods=("GET", "POST"), post={"units": "cm", "words": "us"}),
    Row("accounts:sign_in", methods=("GET", "POST"), owner=(200, 302), anonymous="public"),
    Row("accounts:sign_out", methods=("POST",)),
    Row(
        "accounts:change_password",
        methods=("GET", "POST"),
        post={
            "old_password": PASSWORD,
            "new_password1": "selvage-to-selvage-9",
            "new_password2": "selvage-to-selvage-9",
        },
    ),
    Row(
        "accounts:set_up",
        make=wrong_token,
        methods=("GET", "POST"),
        owner=(404,),
        anonymous=404,
    ),
    Row("accounts:backup", methods=("POST",)),
    Row("accounts:backup_newest", owner=(404,)),
    Row("accounts:export"),
    Row("accounts:look_around", methods=("POST",), anonymous=404),
]
