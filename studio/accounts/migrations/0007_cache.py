from django.core.management import call_command
from django.db import migrations


def make(apps, editor):
    call_command("createcachetable", database=editor.connection.alias, verbosity=0)


def drop(apps, editor):
    editor.execute("DROP TABLE IF EXISTS cache")


class Migration(migrations.Migration):
    """The table of the cache in which rate limits are counted."""

    dependencies = [("accounts", "0006_people")]

    operations = [migrations.RunPython(make, drop)]
