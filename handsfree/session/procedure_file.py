"""The list that is led, kept in a small file, so that a restart offers it at the step it stood at.

The steps themselves stand in the engine's tables and are found again by what they say. No file
where no list is led. What another helper leads over the same folder stays in the file.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from handsfree.dialogue.procedure import Leading
from handsfree.store.faults import Faults
from handsfree.store.files import KeptFile
from handsfree.store.plain import from_yaml, text, to_yaml
from handsfree.values import StepList

FILE_NAME = "led-list.yaml"
HEAD = (
    "# The step list under way. It is offered again when the helper starts; delete it to drop it.\n"
)


@dataclass(frozen=True, slots=True)
class _Begun:
    """A list as it is kept.

    Attributes:
        list: its key.
        run: tells it from another one.
        step: what the step says that waits.
        confirmed: what the confirmed ones say.
    """

    list: str
    run: str
    step: str
    confirmed: tuple[str, ...]


class LedListFile:
    """The file of the list that is led.

    Args:
        folder: where it lies.
        lists: a list by its key.
        faults: takes what is wrong with it.
    """

    def __init__(
        self, folder: Path, lists: Callable[[str], StepList], faults: Faults | None = None
    ) -> None:
        self.path = folder / FILE_NAME
        self._lists = lists
        self._own: set[str] = set()  # runs that this helper leads, or led
        self._file: KeptFile[tuple[_Begun, ...]] = KeptFile(
            self.path,
            "The list under way",
            (),
            parse=self._parsed,
            text=lambda begun: to_yaml(HEAD, [_plain(each) for each in begun]) if begun else None,
            without="Begin the list anew.",
            refused=f"Where the list stands cannot be kept in {self.path}: {{fault}}."
            " After a restart begin it anew.",
            faults=faults or Faults(),
        )

    def read(self) -> Leading | None:
        """The list that was led, with those that were put aside; None where none was."""
        found = [self._leading(each) for each in self._file.read()]
        self._own |= {each.run for each in found}
        if not found:
            return None
        first, *rest = found
        return replace(first, aside=tuple(rest))

    def write(self, leading: Leading | None) -> None:
        """Keep where the list stands, all or nothing; the file goes when none is led.

        Raises:
            SettingsError: the disk refuses; the old file stays as it was.
        """
        own = () if leading is None else _begun(leading)
        self._own |= {each.run for each in own}
        self._file.update(
            lambda kept: (*own, *(each for each in kept if each.run not in self._own))
        )

    def _parsed(self, said: str) -> tuple[_Begun, ...]:
        entries = from_yaml(said) or []
        if not isinstance(entries, list):
            raise ValueError("it is no list")
        begun = tuple(_entry(entry) for entry in entries)
        for each in begun:
            self._leading(each)  # a list that is not known is none
        return begun

    def _leading(self, kept: _Begun) -> Leading:
        """Where a list stood; at its first step not confirmed where its steps have changed."""
        steps = self._lists(kept.list)
        said = [step.say for step in steps.steps]
        done = frozenset(said.index(each) for each in kept.confirmed if each in said)
        open_ones = [at for at in range(len(said)) if at not in done]
        waits = kept.step in said
        at = said.index(kept.step) if waits else next(iter(open_ones), len(said) - 1)
        return Leading(steps, kept.run, at=at, confirmed=done)


def _entry(entry: object) -> _Begun:
    if not isinstance(entry, dict) or not isinstance(entry["confirmed"], list):
        raise ValueError("confirmed must list steps")
    confirmed = tuple(text(each) for each in entry["confirmed"])
    return _Begun(text(entry["list"]), text(entry["run"]), text(entry["step"]), confirmed)


def _plain(begun: _Begun) -> dict[str, object]:
    return {
        "list": begun.list,
        "run": begun.run,
        "step": begun.step,
        "confirmed": list(begun.confirmed),
    }


def _begun(leading: Leading) -> tuple[_Begun, ...]:
    """The lists that have begun; one that is only offered has not."""
    return tuple(
        _Begun(
            each.list.key,
            each.run,
            each.step.say,
            tuple(each.list.steps[at].say for at in sorted(each.confirmed)),
        )
        for each in (leading, *leading.aside)
        if each.begun
    )
