import uuid

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("stash", "0003_card_print")]

    operations = [
        migrations.CreateModel(
            name="StashIdentity",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("uuid", models.UUIDField(default=uuid.uuid4, editable=False)),
                (
                    "release",
                    models.CharField(
                        blank=True,
                        editable=False,
                        help_text="the oldest that knows this schema",
                        max_length=40,
                    ),
                ),
            ],
            options={
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("pk", 1)), name="stash_identity_is_single"
                    )
                ],
            },
        ),
    ]
