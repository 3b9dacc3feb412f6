"""How far an open question is looked into is counted in work, no more in seconds.

Rows that were open get the work of a first answer: how a question is told changed as well, so that
each is asked anew when its project is next looked at.
"""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("projects", "0011_ruler")]

    operations = [
        migrations.RemoveField("openquestion", "seconds"),
        migrations.AddField(
            "openquestion",
            "work",
            models.PositiveBigIntegerField(default=500_000),
            preserve_default=False,
        ),
    ]
