from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("stash", "0002_by_eye_and_one_light")]

    operations = [
        migrations.AddField(
            model_name="preferences",
            name="card_print",
            field=models.JSONField(blank=True, editable=False, null=True),
        ),
        migrations.AddField(
            model_name="preferences",
            name="card_print_changed_at",
            field=models.DateTimeField(blank=True, editable=False, null=True),
        ),
        migrations.AddField(
            model_name="photo",
            name="read_at",
            field=models.DateTimeField(blank=True, null=True),
        ),
    ]
