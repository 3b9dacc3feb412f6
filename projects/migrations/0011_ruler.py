"""Give every project the ruler that its cuts are set to: millimetres for whoever measures so."""

from typing import Any

from django.db import migrations, models


def _metric_rulers(apps: Any, schema_editor: Any) -> None:
    preferences = apps.get_model("stash", "Preferences").objects.filter(units="cm")
    projects = apps.get_model("projects", "Project").objects
    projects.filter(owner__in=preferences.values("owner")).update(ruler="0.1 cm")


class Migration(migrations.Migration):
    dependencies = [
        ("projects", "0010_unread_lines"),
        ("stash", "0006_order_of_recording"),
    ]

    operations = [
        migrations.AddField(
            model_name="project",
            name="ruler",
            field=models.CharField(
                choices=[
                    ("1/8 in", "eighths of an inch"),
                    ("1/16 in", "sixteenths of an inch"),
                    ("0.5 cm", "half centimetres"),
                    ("0.1 cm", "millimetres"),
                ],
                default="1/16 in",
                max_length=8,
                verbose_name="the ruler is set to",
            ),
        ),
        migrations.AddConstraint(
            model_name="project",
            constraint=models.CheckConstraint(
                condition=models.Q(("ruler__in", ["1/8 in", "1/16 in", "0.5 cm", "0.1 cm"])),
                name="project_ruler_known",
            ),
        ),
        migrations.RunPython(_metric_rulers, migrations.RunPython.noop),
    ]
