"""The reply on paper: all that is in it, in few columns, and nothing that upsets a screen."""

from dataclasses import replace

from handsfree.values import Status, Told, ToldFigure
from handsfree.wording.paper import WIDTH, paper

OXYGEN = ToldFigure(
    *("oxygen_pressure", "cutting oxygen", 24, 35, "psi", "24-35", "twenty four", "a handbook"),
    Status.MEMORY,
    "at the regulator",
)
TOLD = Told(
    kind="answer",
    heard="three quarter plate",
    sureness=0.996,
    understood="three quarter inch plate",
    about="setting",
    request=(),
    sentences=("Three quarter inch plate.", "Cutting oxygen, twenty four p s i."),
    figures=(OXYGEN, replace(OXYGEN, name="shade", label="shade", status=Status.READ, note="")),
    technique=("Set it with the lever held down.",),
    cautions=("Goggles down. " * 12,),
    notes=("From memory.",),
    sources=("A handbook",),
)


def test_everything_that_is_told_is_printed() -> None:
    printed = paper(TOLD)
    for part in (
        *("Heard: three quarter plate", "Understood: three quarter inch plate"),
        *("cutting oxygen  24-35 psi  at the regulator (memory)", "Set it with the lever"),
        *("Goggles down.", "From memory.", "A handbook"),
    ):
        assert part in printed, part


def test_nothing_that_was_heard_is_called_quite_sure() -> None:
    assert "How sure: 99%" in paper(TOLD)
    assert "How sure" not in paper(replace(TOLD, sureness=1.0)), "typed words are"


def test_a_figure_that_was_read_needs_no_word_about_it() -> None:
    assert [line for line in paper(TOLD).splitlines() if line.strip().startswith("shade")] == [
        "  shade           24-35 psi"
    ]


def test_lines_are_short_and_printable() -> None:
    printed = paper(replace(TOLD, heard="\x1b[2J\x07" + "plate " * 500))
    assert max(map(len, printed.splitlines())) <= WIDTH
    assert all(letter.isprintable() or letter == "\n" for letter in printed)
