import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('projects', '0002_links'),
    ]

    operations = [
        migrations.CreateModel(
            name='QuiltDrawing',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('layout', models.JSONField()),
                ('replaced', models.JSONField(blank=True, default=dict)),
                ('updated_at', models.DateTimeField(auto_now=True)),
                ('project', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='drawing', to='projects.project')),
            ],
        ),
        migrations.CreateModel(
            name='DrawnRole',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('role', models.CharField(max_length=40)),
                ('drawing', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='roles', to='projects.quiltdrawing')),
                ('part', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='drawn_roles', to='projects.part')),
            ],
            options={
                'ordering': ['pk'],
            },
        ),
        migrations.AddConstraint(
            model_name='drawnrole',
            constraint=models.UniqueConstraint(fields=('drawing', 'role'), name='drawn_role_once'),
        ),
        migrations.AddConstraint(
            model_name='drawnrole',
            constraint=models.CheckConstraint(condition=models.Q(('role', ''), _negated=True), name='drawn_role_has_name'),
        ),
    ]
