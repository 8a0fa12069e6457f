"""The rows of a set as they are typed: which there are, where each belongs, and what is wrong."""

from studio.requirements.models import Requirement
from studio.requirements.tree import tree, walk
from studio.requirements.writing.rows import DEEPEST, RowForm

MOST = 200  # rows in one go
SPARE, SPARE_AT_FIRST = 2, 5
GONE = "Its group is being removed or is none any more: empty this, or remove the row as well."


class Grid:
    """The editor of a set of `queries.written_sets`. data: what was posted, or None.

    more: show more spare rows, and judge nothing yet.
    """

    def __init__(self, requirement_set, who, data=None, more=False):
        self.set, self.who = requirement_set, who
        self.stored = [node.requirement for node in walk(tree(requirement_set.requirements.all()))]
        self.names = {row.pk: row.name for row in self.stored}
        self.unseen = []  # added by somebody else since the page was made
        self.rows = self._stored_rows() if data is None else self._posted(data)
        self.is_judged = data is not None and not more
        if not self.is_judged:
            self._add_spare(more)
        else:
            self.filled = [row for row in in_order(self.rows) if row.is_filled]
            self._judge()

    def _add_spare(self, more):
        """Add rows to type in, and put the cursor into the first of them, or of all."""
        there = len(self.rows)
        number = SPARE if self.stored or more else SPARE_AT_FIRST
        self.rows += [self._row(there + n) for n in range(number)]
        name = self.rows[there if more else 0].fields["name"]
        name.widget.attrs["autofocus"] = True

    def _row(self, n, requirement=None, data=None, place=None):
        made = requirement or Requirement(requirement_set=self.set)
        group = self.names.get(made.parent_id, "")
        return RowForm(
            data, instance=made, who=self.who, prefix=f"row{n}", group=group, place=place
        )

    def _stored_rows(self):
        rows = [self._row(n, row, place=n + 1) for n, row in enumerate(self.stored)]
        by_key = {row.instance.pk: row for row in rows}
        for row in rows:
            row.parent = by_key.get(row.parent_pk)
        return rows

    def _posted(self, data):
        """Return a form for each posted row; what nobody touched is as it stands by now."""
        there = {row.pk: (place, row) for place, row in enumerate(self.stored, start=1)}
        rows = []
        for n in range(_whole(data.get("rows"), MOST)):
            place, stored = there.pop(_whole(data.get(f"row{n}-key")), (None, None))
            row = self._row(n, stored, data, place)
            if stored and not row.is_touched:
                row = self._row(n, stored, row.as_it_stands(), place)
            rows.append(row)
        self.unseen = [row for _, row in there.values()]
        return rows

    @property
    def blank(self):
        """An empty row for the script to copy; where its number belongs stands "__n__"."""
        return self._row("__n__")

    @property
    def groups(self):
        """The names of the groups, to choose from."""
        return [row.says("name") for row in self.rows if row.is_group and row.says("name")]

    @property
    def removed(self):
        """The rows that are to go."""
        return [row for row in self.rows if row.is_removed]

    @property
    def wrong(self):
        """The rows with something wrong in them, in the order of the page."""
        return [row for row in self.rows if self.is_judged and row.is_filled and row.errors]

    def is_valid(self):
        """Whether all that is posted can be saved: all of it is, or nothing."""
        return self.is_judged and not self.wrong

    def _judge(self):
        for row in self.filled:
            row.full_clean()
            if row.is_overtaken:
                row.warn_overtaken()
        for n, row in enumerate(self.filled):
            self._find_group(row, self.filled[:n])
        for row in self.filled:
            if row.depth >= DEEPEST:
                row.add_error("inside", "A group cannot stand inside itself.")
        self._find_rounds()
        self._find_repeated()

    def _find_group(self, row, above):
        said = row.says("inside")
        if signs := row.signs:
            found = next((each for each in reversed(above) if each.depth < signs), None)
            if found is None or not found.is_group:
                before = f"“{found.name}”, above," if found else "The row above"
                row.add_error("name", f"{before} is no group: only a group can hold others.")
                found = None
            row.parent = found
        elif row.parent_pk and said == row.was["inside"]:
            groups = [each for each in self.filled if each.instance.pk == row.parent_pk]
            row.parent = next((each for each in groups if each.is_group), None)
            if row.parent is None:
                row.add_error("inside", GONE)
        elif said:
            self._find_by_name(row, said)

    def _find_by_name(self, row, said):
        others = [each for each in self.filled if each.is_group and each is not row]
        row.parent = _named(others, said, row.says("round"))
        if row.parent is None:
            names = ", ".join(f"“{each.name}”" for each in others)
            there = f"There is: {names}." if names else "There is none yet."
            row.add_error("inside", f"No group here, or more than one, is called so. {there}")

    def _find_rounds(self):
        last = Requirement.Round.LIVE
        for row in self.filled:
            row.round = last = row.says("round") or (row.parent and row.parent.round) or last
        for row in self.filled:
            if row.parent and row.parent.round != row.round:
                label = Requirement.Round(row.parent.round).label
                row.add_error("round", f"Its group is asked for at: {label}. Choose the same.")

    def _find_repeated(self):
        seen = {(row.name, row.round) for row in self.unseen}
        for row in self.filled:
            key = (row.name, row.round)
            if row.name and key in seen:
                row.add_error("name", f"“{row.name}” stands here twice. Tell them apart.")
            seen.add(key)


def in_order(rows):
    """Return rows in the order in which they are to stand.

    A place that was changed is taken from whoever has it; a new row without one follows the row
    that it was typed under.
    """
    keys, last = [], (0, 0)
    for n, row in enumerate(rows):
        wanted = row.wanted_place
        if wanted is not None:
            last = (wanted, _side(row.place, wanted))
        keys.append((*last, wanted is None, n))
    return [rows[n] for *_, n in sorted(keys)]


def _side(stood, wanted):
    """0: before whoever has the place, 1: it is the row's own, 2: behind."""
    if stood is None or wanted < stood:
        return 0
    return 1 if wanted == stood else 2


def _named(groups, said, round_):
    """Return the group called so, or the only one whose name begins so; None if there is none."""
    wanted = said.casefold()
    named = [each for each in groups if each.name.casefold() == wanted]
    named = named or [each for each in groups if each.name.casefold().startswith(wanted)]
    same = [each for each in named if each.says("round") in {round_, ""}]
    found = same or named
    return found[0] if len(found) == 1 else None


def _whole(text, most=None):
    try:
        number = max(0, int(text or 0))
    except ValueError:
        return 0
    return number if most is None else min(number, most)
