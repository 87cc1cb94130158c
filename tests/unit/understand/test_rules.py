"""The notation of the grammar files, and errors that name the file and the rule."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from handsfree.errors import GrammarError
from handsfree.understand.grammar import load_grammar
from handsfree.understand.rules import (
    Choice,
    Optional,
    Reference,
    Repeat,
    Sequence,
    Tagged,
    Word,
    parse_expansion,
)


def test_words_follow_each_other() -> None:
    assert parse_expansion("half inch") == Sequence((Word("half"), Word("inch")))


def test_alternatives_keep_their_weights() -> None:
    assert parse_expansion("half | /0.2/ quarter") == Choice(
        ((Word("half"), 1.0), (Word("quarter"), 0.2))
    )


def test_brackets_group_and_square_brackets_leave_out() -> None:
    assert parse_expansion("(a) [b]") == Sequence((Word("a"), Optional(Word("b"))))


def test_plus_repeats_and_star_may_be_left_out() -> None:
    assert parse_expansion("a+") == Repeat(Word("a"))
    assert parse_expansion("a*") == Optional(Repeat(Word("a")))


def test_tags_stand_behind_an_item_and_names_in_angles() -> None:
    assert parse_expansion("<length>{thick}") == Tagged(Reference("length"), "thick")
    assert parse_expansion("l p g{fuel=propane}") == Sequence(
        (Word("l"), Word("p"), Tagged(Word("g"), "fuel=propane"))
    )


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("(half inch", "')' is missing"),
        ("half]", "']' is not expected"),
        ("Half inch", "words are lower case"),
        ("/0/ half", "above 0, at most 1"),
        ("/1.5/ half", "above 0, at most 1"),
        ("half {Thick}", "cannot read"),
    ],
)
def test_a_broken_expansion_is_shown(text: str, shown: str) -> None:
    with pytest.raises(GrammarError, match=shown.replace("(", r"\(").replace(")", r"\)")):
        parse_expansion(text)


HEAD = "state: ask\ninclude: [sizes]\nheard_as: unit\nlistens_for: unit\n"


def _folder(tmp_path: Path, sizes: str, head: str = HEAD + "rules:\n  unit: <size>\n") -> Path:
    (tmp_path / "ask.yaml").write_text(head, encoding="utf-8")
    (tmp_path / "sizes.yaml").write_text(sizes, encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize(
    ("sizes", "shown"),
    [
        ("rules:\n  size: (half\n", "grammar/sizes.yaml, rule <size>"),
        ("rules:\n  size: <sise>\n", "no rule <sise>, asked for in <size>"),
        ("rules:\n  size: <unit>\n", "refers to itself: unit > size > unit"),
        ("rules:\n  unit: half\n", "rule <unit> stands in another file too"),
        ("rules: [half]\n", "grammar/sizes.yaml: rules must be a mapping"),
        ("rules: {size: half\n", "grammar/sizes.yaml is not YAML"),
        ("just words\n", "grammar/sizes.yaml holds no rules"),
        ("spotted: [match]\nrules:\n  size: half\n", "grammar/sizes.yaml: spotted"),
    ],
)
def test_a_fault_in_a_file_names_the_file_and_the_rule(
    tmp_path: Path, sizes: str, shown: str
) -> None:
    with pytest.raises(GrammarError) as fault:
        load_grammar(_folder(tmp_path, sizes), "ask")
    assert shown in str(fault.value)


def test_a_missing_include_and_a_missing_state_are_named(tmp_path: Path) -> None:
    folder = _folder(tmp_path, "rules:\n  size: half\n")
    (folder / "sizes.yaml").unlink()
    with pytest.raises(GrammarError, match="includes sizes, which is not there"):
        load_grammar(folder, "ask")
    with pytest.raises(GrammarError, match=r"no steps\.yaml"):
        load_grammar(folder, "steps")


def test_a_file_that_is_no_text_is_named(tmp_path: Path) -> None:
    folder = _folder(tmp_path, "rules:\n  size: half\n")
    (folder / "sizes.yaml").write_bytes(b"\xff\xfe")
    with pytest.raises(GrammarError, match="cannot read .*sizes.yaml"):
        load_grammar(folder, "ask")


def test_heeded_rules_must_exist(tmp_path: Path) -> None:
    head = HEAD + "heeded_rules: [sise]\nrules:\n  unit: <size>\n"
    with pytest.raises(GrammarError, match="heeded_rules"):
        load_grammar(_folder(tmp_path, "rules:\n  size: half\n", head), "ask")


def test_the_cache_gives_the_same_grammar_and_a_broken_one_is_made_anew(tmp_path: Path) -> None:
    folder = _folder(tmp_path / "", "rules:\n  size: half{thick} [inch] | /0.5/ quarter{thick}\n")
    cache = tmp_path / "cache"
    fresh, first = load_grammar(folder, "ask"), load_grammar(folder, "ask", cache)
    assert first.listens_for.arcs == fresh.listens_for.arcs
    kept = load_grammar(folder, "ask", cache)
    assert kept.heard_as == fresh.heard_as
    assert kept.listens_for == fresh.listens_for
    assert (kept.harmless, kept.heeded, kept.spotted) == (
        fresh.harmless,
        fresh.heeded,
        fresh.spotted,
    )
    files = sorted(cache.iterdir())
    assert len(files) == 2
    for file in files:
        file.write_bytes(file.read_bytes()[:40])
    assert load_grammar(folder, "ask", cache).heard_as == fresh.heard_as


def test_a_cache_that_cannot_be_written_costs_nothing_but_speed(tmp_path: Path) -> None:
    folder = _folder(tmp_path, "rules:\n  size: half\n")
    blocked = tmp_path / "blocked"
    blocked.write_text("a file where the folder should be", encoding="utf-8")
    grammar = load_grammar(folder, "ask", blocked)
    assert grammar.words() == {"half"}


def test_a_network_is_the_same_however_python_orders_its_sets() -> None:
    """Else each start on an empty cache would compile a graph of its own."""
    told = (
        "from handsfree.store.resources import shipped_folder;"
        "from handsfree.understand.grammar import load_grammar;"
        "import hashlib;"
        "arcs = load_grammar(shipped_folder('grammar')).word_network().arcs;"
        "print(hashlib.sha256(repr(arcs).encode()).hexdigest())"
    )
    digests = {
        subprocess.run(
            [sys.executable, "-c", told],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(digests) == 1
