"""How long a sheet of engraved scales takes: run by `make bench`.

All major and harmonic minor keys over two octaves on the horn, best of three, in CPU seconds. The
ratio is against verovio alone on the same music. Nothing here can fail: it measures.
"""

from types import SimpleNamespace

from planner import pitch

EVERY = "major: all; harmonic minor: all; octaves: 2; articulation: slurred up, tongued down"
HORN = SimpleNamespace(name="Horn", lowest="F#2", highest="C6", semitones=-7)


def html(part):
    """Return the handout of a sheet.Part, all of it engraved."""
    from django.template.loader import render_to_string

    student = SimpleNamespace(name="Sam Reyes", instrument="Horn")
    sheet = SimpleNamespace(title="Scales", student=student, parts=[part], troubles=[])
    studio = SimpleNamespace(name="Quayside Brass", season="2026–27")
    context = {"title": "Scales", "sheet": sheet, "weeks": range(1, 9), "studio": studio}
    return render_to_string("handouts/scales_sheet.html", {**context, "paper": "letter"})


def main():
    from studio.entries.drill.asked import Demand, instrument
    from studio.entries.engraving.engrave import engraved, svg
    from studio.entries.engraving.mei import write
    from studio.entries.engraving.sheet import Part
    from studio.handouts import pdf
    from tests.bench import cpu

    problem = pitch.Problem(instrument(HORN), EVERY)
    demand = Demand("Carrow", ((None, SimpleNamespace(keys_at="written")),), EVERY, problem, "")
    texts = [write(scale) for scale in pitch.answer(problem).scales]

    def drawn():
        engraved.cache_clear()
        return html(Part(HORN, [demand]))

    svg(texts[0])  # loads the program
    alone = cpu(lambda: [svg(text) for text in texts])
    page = drawn()
    print(f"\nEngraved scales: {len(texts)} of two octaves")
    for name, work in (
        ("verovio alone", lambda: [svg(text) for text in texts]),
        ("engraved page", drawn),
        ("page kept", lambda: html(Part(HORN, [demand]))),
        ("its PDF", lambda: pdf._draw(page).write_pdf(**pdf.OPTIONS)),
    ):
        spent = cpu(work)
        print(f"       {name:18} {spent:>8.3f} s {spent / alone:>7.1f}")
