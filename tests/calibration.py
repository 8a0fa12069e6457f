"""Draw how far the forecasts of readiness can be believed: `make pictures` writes the SVG.

What tests/bench_readiness.py measures, on fewer learners: how often ranges hold, by kind, and how
often what was given a chance came. On a paper of its own, so that it can be read everywhere.
"""

from pathlib import Path

from tests import bench_readiness as bench
from tests.planner.learners import KINDS

PICTURE = Path(__file__).resolve().parent.parent / "static" / "pictures" / "calibration.svg"
EACH = 200
BINS = 10
PAPER, INK, SOFT, HAIR, BLUE = "#fffefa", "#1c1a17", "#5e584f", "#d9d4c8", "#1d4b98"
SANS = "'Source Sans 3', 'Segoe UI', Helvetica, Arial, sans-serif"
SERIF = "'Source Serif 4', Georgia, 'Times New Roman', serif"
WIDTH, HEIGHT = 1000, 760


def text(x, y, words, size=15, fill=INK, **more):
    """A line of text; `more` as SVG has it, anchor for text-anchor, weight for font-weight."""
    names = {"anchor": "text-anchor", "weight": "font-weight", "family": "font-family"}
    rest = "".join(f' {names[name]}="{value}"' for name, value in more.items())
    return f'<text x="{x:g}" y="{y:g}" font-size="{size}" fill="{fill}"{rest}>{words}</text>'


def stroke(points, colour=INK, width=1.0, dash=""):
    """A line through (x, y)."""
    through = " ".join(f"{x:.1f},{y:.1f}" for x, y in points)
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<polyline points="{through}" fill="none" stroke="{colour}" '
        f'stroke-width="{width}"{dashed}/>'
    )


def dot(x, y, size, colour=BLUE, fill=None):
    """A point, hollow where `fill` is the paper."""
    return (
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{size}" fill="{fill or colour}" stroke="{colour}"/>'
    )


class Plot:
    """A square of shares: x what was said, y what came, both from `low` to 1."""

    def __init__(self, left, top, side, low, step):
        self.left, self.top, self.side, self.low = left, top, side, low
        self.marks = [low + step * n for n in range(round((1 - low) / step) + 1)]

    def at(self, x, y):
        """Where on the paper a pair of shares lies."""
        scale = self.side / (1 - self.low)
        return self.left + (x - self.low) * scale, self.top + (1 - y) * scale

    def frame(self):
        """Hairlines with their percentages, and the line on which both agree."""
        for mark in self.marks:
            (x, y), (right, _) = self.at(self.low, mark), self.at(1, mark)
            yield stroke([(x, y), (right, y)], HAIR)
            yield text(x - 6, y + 4, f"{100 * mark:.0f}", 13, SOFT, anchor="end")
            across, bottom = self.at(mark, self.low)
            yield text(across, bottom + 17, f"{100 * mark:.0f}", 13, SOFT, anchor="middle")
        yield stroke([self.at(self.low, self.low), self.at(1, 1)], SOFT, 1, "2 3")


def ranges(found, left, top, side):
    """One small square a kind: how often ranges held the ready day."""
    for number, kind in enumerate(KINDS):
        some = [each for each in found if each.kind == kind]
        plot = Plot(left + number * (side + 44), top, side, 0.2, 0.2)
        yield from plot.frame()
        held = [sum(column) / len(some) for column in zip(*(o.held for o in some), strict=True)]
        points = [plot.at(*pair) for pair in zip(bench.COVERAGES, held, strict=True)]
        yield stroke(points, BLUE, 2)
        for (x, y), coverage in zip(points, bench.COVERAGES, strict=True):
            yield dot(x, y, 5 if coverage == bench.SETTINGS.coverage else 3)
        share = held[bench.COVERAGES.index(bench.SETTINGS.coverage)]
        yield text(plot.left, top - 30, kind.capitalize(), 15, weight="600")
        yield text(plot.left, top - 11, f"80 % ranges held {100 * share:.0f} %", 14, SOFT)


def binned(found, name):
    """(mean chance, share that came, how many) of each tenth of the chances that has any."""
    bins = [[] for _ in range(BINS)]
    for each in found:
        bins[min(int(getattr(each, name) * BINS), BINS - 1)].append(each)
    return [(bench.mean(some, name), bench.mean(some, "came"), len(some)) for some in bins if some]


def chances(found, left, top, side):
    """What was given a chance, and how much of it came; bars hold 8 of 10 by luck alone."""
    plot = Plot(left, top, side, 0.0, 0.2)
    yield from plot.frame()
    theirs = binned(found, "line_chance")
    yield stroke([plot.at(said, came) for said, came, _ in theirs], SOFT, 1.5, "7 4")
    for said, came, _ in theirs:
        yield dot(*plot.at(said, came), 3, SOFT, PAPER)
    ours = binned(found, "chance")
    for said, came, count in ours:
        luck = 1.28 * (said * (1 - said) / count) ** 0.5
        yield stroke([plot.at(said, max(came - luck, 0)), plot.at(said, min(came + luck, 1))], BLUE)
    yield stroke([plot.at(said, came) for said, came, _ in ours], BLUE, 2)
    for said, came, _ in ours:
        yield dot(*plot.at(said, came), 4)
    yield text(
        left + side / 2, top + side + 38, "chance that was given, %", 14, SOFT, anchor="middle"
    )
    yield text(left, top - 11, "Share that was ready, %", 14, SOFT)


def errors(found, left, top):
    """The table of Brier scores, the least of each row in bold."""
    columns = (("our chance", "ours"), ("straight line", "line"), ("always on pace", "on_pace"))
    places = [left + 210 + 110 * n for n in range(len(columns))]
    for x, (words, _) in zip(places, columns, strict=True):
        yield text(x, top, words, 14, SOFT, anchor="end")
    for row, kind in enumerate((*KINDS, "all together")):
        some = [each for each in found if kind in (each.kind, "all together")]
        figures = [round(bench.mean(some, name), 3) for _, name in columns]
        y = top + 30 + 27 * row
        yield stroke([(left, y - 19), (places[-1], y - 19)], HAIR)
        yield text(left, y, kind.capitalize())
        for x, figure in zip(places, figures, strict=True):
            weight = "700" if figure == min(figures) else "400"
            yield text(x, y, f"{figure:.3f}", anchor="end", weight=weight)


def picture(found) -> str:
    """The whole drawing as SVG."""
    title = "How far the forecasts of readiness can be believed"
    said = (
        f"{len(found)} invented learners, {len(found) // len(KINDS)} of each kind; one forecast "
        "each, held against what the learner then does. No student is among them."
    )
    should = "Ranges: how often they should hold the ready day, and how often they do"
    reading = (
        "Across: how often a range should hold, %. Up: how often it held. Above the dotted line "
        "ranges are wider than need be, below it too narrow."
    )
    line = "a straight line through the checks, with the chance it gives itself"
    parts = [
        text(40, 50, title, 25, family=SERIF),
        text(40, 77, said, 15, SOFT),
        text(40, 122, should, 17, family=SERIF),
        *ranges(found, 66, 190, 144),
        text(66, 375, reading, 14, SOFT),
        text(40, 423, "Chances: of what was given a chance, so much came", 17, family=SERIF),
        *chances(found, 66, 463, 230),
        text(480, 423, "Mean squared error of the chances: 0 is best", 17, family=SERIF),
        *errors(found, 480, 459),
        *(stroke([(480, 663), (520, 663)], BLUE, 2), dot(500, 663, 4)),
        text(530, 668, "our chances; the bar holds 8 of 10 by luck alone", 14, SOFT),
        *(stroke([(480, 690), (520, 690)], SOFT, 1.5, "7 4"), dot(500, 690, 3, SOFT, PAPER)),
        text(530, 695, line, 14, SOFT),
    ]
    body = "\n".join(parts)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" width="{WIDTH}" '
        f'height="{HEIGHT}" font-family="{SANS}" role="img" aria-labelledby="title said">\n'
        f'<title id="title">{title}</title>\n<desc id="said">{said}</desc>\n'
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="{PAPER}"/>\n{body}\n</svg>\n'
    )


def main():
    PICTURE.parent.mkdir(exist_ok=True)
    PICTURE.write_text(picture(bench.outcomes(EACH, bench.SEED)), encoding="utf-8")


if __name__ == "__main__":
    main()
