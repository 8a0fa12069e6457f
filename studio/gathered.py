"""Rows of another table in one column, so that a page that shows them asks no further question.

For pages that are near their twelve queries and show a few short rows more: `gathered` goes into
`annotate`, `read` makes model instances of what comes back.
"""

import json

from django.db.models import Aggregate, Func, JSONField, Subquery
from django.db.models.functions import JSONObject


class _Row(JSONObject):
    """One row as a JSON object."""

    def as_sqlite(self, compiler, connection, **context):
        # Whether SQLite knows JSON is no question (Django asks it with three queries).
        return Func.as_sql(self, compiler, connection, **context)


class _Array(Aggregate):
    """All values of a group as one JSON array; SQLite and PostgreSQL have names of their own."""

    function = "JSON_GROUP_ARRAY"
    output_field = JSONField()

    def as_postgresql(self, compiler, connection, **context):
        return self.as_sql(compiler, connection, function="JSONB_AGG", **context)


def gathered(rows, owner, fields, **more):
    """Return an expression that holds, for each row it annotates, the `rows` that are its own.

    rows: a queryset filtered by OuterRef; owner: the field it is filtered by. fields: of the model,
    by their names in the database (`student_id`). more: names for other expressions.
    """
    made_of = {name: name for name in fields} | more
    grouped = rows.order_by().values(owner).annotate(gathered=_Array(_Row(**made_of)))
    return Subquery(grouped.values("gathered"), output_field=JSONField())


def read(model, found, fields):
    """Return what `gathered` found as instances of `model` with `fields`, and each one's values."""
    columns = {field.attname: field for field in model._meta.concrete_fields}
    return [
        (model(**{name: columns[name].to_python(values[name]) for name in fields}), values)
        for values in found or ()
    ]


def inner(found):
    """Return the rows of a `gathered` within another, which SQLite hands over as text."""
    return json.loads(found) if isinstance(found, str) else found or ()
