"""The list that is led, kept in a small file, so that a restart offers it at the step it stood at.

It is written beside and renamed, so that a crash loses nothing; the steps themselves stand in the
engine's tables and are found again by what they say. No file where no list is led.
"""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import yaml

from handsfree.dialogue.leading import Leading
from handsfree.errors import SettingsError
from handsfree.values import StepList
from handsfree.whole_file import write_whole

FILE_NAME = "led-list.yaml"
HEAD = (
    "# The step list under way. It is offered again when the helper starts; delete it to drop it.\n"
)


class LedListFile:
    """The file of the list that is led.

    Args:
        folder: where it lies.
        lists: a list by its key.
    """

    def __init__(self, folder: Path, lists: Callable[[str], StepList]) -> None:
        self.path = folder / FILE_NAME
        self._lists = lists

    def read(self) -> Leading | None:
        """The list that was led, with those that were put aside; None where none was.

        Raises:
            SettingsError: the file is there and makes no sense; it is left untouched.
        """
        try:
            text = self.path.read_text(encoding="utf-8")
        except FileNotFoundError:
            return None
        except (OSError, UnicodeError) as fault:
            raise SettingsError(
                f"The list under way in {self.path} cannot be read: {fault}. Mend or delete it."
            ) from fault
        try:
            found = [self._leading(entry) for entry in yaml.safe_load(text) or []]
        except (yaml.YAMLError, AttributeError, KeyError, TypeError, ValueError) as fault:
            raise SettingsError(
                f"{self.path} holds no list under way: {fault}. Delete it, and begin the list anew."
            ) from fault
        if not found:
            return None
        first, *rest = found
        return replace(first, aside=tuple(rest))

    def write(self, leading: Leading | None) -> None:
        """Keep where the list stands, all or nothing; the file goes when none is led.

        Raises:
            SettingsError: the disk refuses; the old file stays as it was.
        """
        complaint = (
            f"Where the list stands cannot be kept in {self.path}: {{fault}}."
            " After a restart begin it anew."
        )
        if leading is not None and (kept := _begun(leading)):
            text = HEAD + yaml.safe_dump(kept, sort_keys=False, allow_unicode=True)
            write_whole(self.path, text, complaint)
            return
        try:
            self.path.unlink(missing_ok=True)
        except OSError as fault:
            raise SettingsError(complaint.replace("{fault}", str(fault))) from fault

    def _leading(self, entry: dict[str, object]) -> Leading:
        """Where a list stood; at its first step not confirmed where its steps have changed."""
        steps = self._lists(str(entry["list"]))
        said = [step.say for step in steps.steps]
        confirmed = entry["confirmed"]
        if not isinstance(confirmed, list):
            raise ValueError("confirmed must list steps")
        done = frozenset(said.index(each) for each in confirmed if each in said)
        waits = str(entry["step"])
        open_ones = [at for at in range(len(said)) if at not in done]
        at = said.index(waits) if waits in said else next(iter(open_ones), len(said) - 1)
        return Leading(steps, str(entry["run"]), at=at, confirmed=done)


def _begun(leading: Leading) -> list[dict[str, object]]:
    """The lists that have begun, as plain names and values; one that is only offered has not."""
    return [
        {
            "list": each.list.key,
            "run": each.run,
            "step": each.step.say,
            "confirmed": [each.list.steps[at].say for at in sorted(each.confirmed)],
        }
        for each in (leading, *leading.aside)
        if each.begun
    ]
