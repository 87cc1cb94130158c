"""Arguments of one command: its usage in one line with every error, and the word that was meant."""

import argparse
import difflib
import re
from collections.abc import Collection, Iterator, Sequence
from typing import Final, NoReturn

_IS_A_VALUE: Final = re.compile(r"-(?!-|h$)")
"""Every option of ours has two minus signs but `-h`: what has one is a value, like -20 or -5F."""


class CommandParser(argparse.ArgumentParser):
    """Takes the arguments of one command; wrong use ends with status 2.

    What begins with one minus is a value, in words and after an option that takes one.

    Args:
        prog: the command as it is typed.
        description: what it does.
        positionals: what is typed beside options, for the usage.
    """

    def __init__(self, prog: str, description: str, positionals: str = "") -> None:
        super().__init__(
            prog=prog,
            description=description,
            formatter_class=argparse.RawDescriptionHelpFormatter,
        )
        self._typed = positionals
        self._negative_number_matcher = _IS_A_VALUE

    @property
    def in_one_line(self) -> str:
        """How the command is used, without the list of its options."""
        return f"usage: {self.prog} {self._typed}".rstrip() + " [options]"

    def error(self, message: str) -> NoReturn:
        """End with what is wrong, how the command is used, and where more is told."""
        self.exit(
            2, f"{self.prog}: {message}\n{self.in_one_line}   ({self.prog} --help tells more)\n"
        )

    def parse_args(  # type: ignore[override]
        self, args: Sequence[str], namespace: argparse.Namespace | None = None
    ) -> argparse.Namespace:
        """The arguments; ends with status 2 where one of them is none."""
        given, rest = self.parse_known_args(list(self._with_values(args)), namespace)
        if rest:
            self.error(self._unknown(rest[0]))
        return given

    def _get_option_tuples(
        self, option_string: str
    ) -> list[tuple[argparse.Action, str, str | None]]:
        """Beginnings of options that are taken for them; `-half` is a word, and not `-h`."""
        found: list[tuple[argparse.Action, str, str | None]] = []
        if option_string.startswith("--"):
            found = super()._get_option_tuples(option_string)
        return found

    @property
    def _options(self) -> dict[str, argparse.Action]:
        return {name: action for action in self._actions for name in action.option_strings}

    def _with_values(self, arguments: Sequence[str]) -> Iterator[str]:
        """The arguments, with an option and its value as one where that begins with a minus."""
        options = self._options
        waiting = iter(arguments)
        for each in waiting:
            if each == "--":
                yield from (each, *waiting)
                return
            if each.startswith("-") and f"-{each}".partition("=")[0] in options:
                self.error(self._unknown(each))
            action = options.get(each)
            value = next(waiting, None) if action is not None and action.nargs is None else None
            if value is not None and _IS_A_VALUE.match(value) and value != "-":
                yield f"{each}={value}"
            else:
                yield from (part for part in (each, value) if part is not None)

    def _unknown(self, argument: str) -> str:
        if not argument.startswith("-"):
            return f"{argument!r} is one word too many."
        name = argument.partition("=")[0]
        return f"there is no option {name}.{did_you_mean(name, self._options)}"


def did_you_mean(word: str, known: Collection[str]) -> str:
    """A question for the one that was meant, with a blank before it; empty where none is near.

    >>> did_you_mean("akc", ["ask", "hear"])
    ' Did you mean ask?'
    """
    near = difflib.get_close_matches(word.lower(), list(known), 1, 0.6)
    return f" Did you mean {near[0]}?" if near else ""


def whole_number(text: str) -> int:
    """A whole number that was typed.

    Raises:
        argparse.ArgumentTypeError: it is none.
    """
    try:
        return int(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is no whole number") from None
