"""The short reply: few lines, no figure without its status, no caution of the case left out."""

import re

import pytest

from handsfree.app.commands.replying import USUAL
from handsfree.engine import advice
from handsfree.session.session import Session
from handsfree.store.settings import Settings
from handsfree.values import Status, Told, Words
from handsfree.wording.paper import WIDTH, paper
from handsfree.wording.paper_short import FIGURES, short_paper
from handsfree.wording.reply import MORE

CASES = (
    "half inch plate",
    "what do i set for three quarter plate with a quarter inch tip",
    "i have acetylene at fourteen p s i what do i set for two inch plate",
    "how fast on half inch plate",
    "cut a w12x26 with a quarter inch tip",
    "which shade for two inch plate",
    "what do i set for half inch plate with propane and fifty feet of hose",
    "settings for half inch stainless plate",
    "my oxygen gauge is dead",
    "what do i set for",
    "i am on propane today",
    "light it with a match",
    "what is half an inch in millimetres",
    "sing",
)
COLOURS = re.compile(r"\x1b\[\d*m")


@pytest.fixture(scope="module")
def replies(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Told]:
    session = Session(Settings(tmp_path_factory.mktemp("kept")))
    found = {}
    for words in CASES:
        session.start_afresh()
        found[words] = session.take(Words(words))
    return found


def usual() -> frozenset[str]:
    return frozenset(advice.sentences(*USUAL))


def flat(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("words", CASES)
def test_no_caution_of_the_case_is_left_out(replies: dict[str, Told], words: str) -> None:
    told = replies[words]
    printed = flat(short_paper(told, usual()))
    said = flat(" ".join(told.sentences))
    for caution in told.cautions if told.kind == "answer" else ():
        if caution not in usual():
            assert flat(caution) in printed or flat(caution) in said
    hidden = [each for each in told.cautions if flat(each) not in printed]
    if told.kind == "answer" and told.figures and hidden:
        assert f"and {len(hidden)} for every cut: --more" in printed


@pytest.mark.parametrize("words", CASES)
def test_what_a_refusal_or_a_question_says_is_there_word_for_word(
    replies: dict[str, Told], words: str
) -> None:
    told = replies[words]
    if told.kind != "answer":
        printed = flat(short_paper(told, usual()))
        for sentence in told.sentences[1:]:
            assert sentence == MORE or flat(sentence) in printed


@pytest.mark.parametrize("words", CASES)
def test_at_most_five_figures_each_with_its_status(replies: dict[str, Told], words: str) -> None:
    told = replies[words]
    lines = short_paper(told, usual()).splitlines()
    for figure in told.figures[:FIGURES]:
        (line,) = [each for each in lines if each.startswith(f"  {figure.label}  ")]
        assert line.endswith(f"({figure.status.value})")
    left = len(told.figures) - FIGURES
    assert (f"figures: {left}," in lines[-1]) == (left > 0)


@pytest.mark.parametrize("words", CASES)
def test_how_takes_three_lines_and_the_sources_one(replies: dict[str, Told], words: str) -> None:
    told = replies[words]
    lines = short_paper(told, usual()).splitlines()
    if told.sources:
        assert lines[-1].endswith(f"sources: {len(told.sources)}, --more shows them")
    how = [at for at, line in enumerate(lines) if line.startswith("How: ")]
    for at in how:
        end = lines.index("", at) if "" in lines[at:] else len(lines)
        assert end - at <= 3
    assert all(len(line) <= WIDTH for line in lines)
    assert len(lines) < len(paper(told).splitlines()) or not told.figures


@pytest.mark.parametrize("words", CASES)
def test_colours_add_nothing_and_say_nothing(replies: dict[str, Told], words: str) -> None:
    plain = short_paper(replies[words], usual())
    coloured = short_paper(replies[words], usual(), coloured=True)
    assert "\x1b" not in plain
    assert COLOURS.sub("", coloured) == plain


def test_a_figure_that_was_read_says_so(replies: dict[str, Told]) -> None:
    told = replies["i have acetylene at fourteen p s i what do i set for two inch plate"]
    assert Status.READ in {figure.status for figure in told.figures[:FIGURES]}
    assert "(read)" in short_paper(told)
