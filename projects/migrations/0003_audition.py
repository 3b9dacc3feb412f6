import django.db.models.deletion
import stash.fields
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("projects", "0006_aims"),
        ("stash", "0002_by_eye_and_one_light"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Audition",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=120)),
                (
                    "shape",
                    models.CharField(
                        choices=[
                            ("square", "squares"),
                            ("triangle", "half-square triangles"),
                            ("strip", "strips"),
                            ("block", "a block"),
                        ],
                        default="square",
                        max_length=10,
                        verbose_name="laid as",
                    ),
                ),
                ("block", models.CharField(blank=True, max_length=60)),
                ("width", stash.fields.LengthField(default=24384)),
                ("length", stash.fields.LengthField(default=73152)),
                ("side_by_side", models.BooleanField(default=False)),
                ("removed_at", models.DateTimeField(blank=True, null=True)),
                ("created_at", models.DateTimeField(auto_now_add=True)),
                ("updated_at", models.DateTimeField(auto_now=True)),
                (
                    "owner",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "project",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="auditions",
                        to="projects.project",
                    ),
                ),
            ],
            options={
                "ordering": ["-updated_at", "-pk"],
            },
        ),
        migrations.CreateModel(
            name="LaidFabric",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("arrangement", models.PositiveSmallIntegerField(default=1)),
                ("position", models.PositiveSmallIntegerField()),
                ("pinned", models.BooleanField(default=False)),
                ("folded", models.BooleanField(default=False)),
                ("turn", models.PositiveSmallIntegerField(default=0)),
                ("shift_right", stash.fields.LengthField(default=0)),
                ("shift_down", stash.fields.LengthField(default=0)),
                (
                    "audition",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="laid",
                        to="projects.audition",
                    ),
                ),
                (
                    "fabric",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="laid",
                        to="stash.fabric",
                    ),
                ),
            ],
            options={
                "ordering": ["arrangement", "position", "pk"],
            },
        ),
        migrations.AddConstraint(
            model_name="audition",
            constraint=models.CheckConstraint(
                condition=models.Q(("name", ""), _negated=True), name="audition_has_name"
            ),
        ),
        migrations.AddConstraint(
            model_name="audition",
            constraint=models.CheckConstraint(
                condition=models.Q(("shape__in", ["square", "triangle", "strip", "block"])),
                name="audition_shape_known",
            ),
        ),
        migrations.AddConstraint(
            model_name="audition",
            constraint=models.CheckConstraint(
                condition=models.Q(("length__gt", 0), ("width__gt", 0)),
                name="audition_patches_have_size",
            ),
        ),
        migrations.AddConstraint(
            model_name="audition",
            constraint=models.CheckConstraint(
                condition=models.Q(("block", ""), ("shape", "block"), _negated=True),
                name="audition_block_named",
            ),
        ),
        migrations.AddConstraint(
            model_name="laidfabric",
            constraint=models.UniqueConstraint(
                fields=("audition", "arrangement", "fabric"), name="laid_once_in_an_arrangement"
            ),
        ),
        migrations.AddConstraint(
            model_name="laidfabric",
            constraint=models.CheckConstraint(
                condition=models.Q(("arrangement__in", [1, 2])),
                name="laid_in_one_of_two_arrangements",
            ),
        ),
        migrations.AddConstraint(
            model_name="laidfabric",
            constraint=models.CheckConstraint(
                condition=models.Q(("turn__in", [0, 90, 180, 270])), name="laid_turned_by_quarters"
            ),
        ),
    ]
