"""Talks of the soundness sets through one session each: what was taken, asked, refused or lost.

Every judge gives one `Case` for each talk: what was said, what came back, and what is wrong in it.
"""

import os
import time
import traceback
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from handsfree.logbook.logbook import Logbook
from handsfree.logbook.writer import LogbookWriter
from handsfree.session.session import Session
from handsfree.store.settings import Kept, Settings
from handsfree.values import Question, Told, Words
from tests.bench.soundness_sets import sets
from tests.bench.soundness_sets.decimals import Decimal, decimals
from tests.bench.soundness_sets.fuzz import fuzz

TOLERANCE = 0.005
FUZZED = 20_000
LEAVE_LIST_EVERY, LEAVE_LIST = 50, "stop the list"
PLAIN_REQUEST = "what do I set for half inch plate"
AFRESH_EVERY = 5  # fuzzed texts; so that open questions are met, too
SETTING = frozenset({"oxygen_pressure", "fuel_pressure", "travel_speed", "travel_run"})
PLAIN = {  # slot of a negation: name in the told request
    "thickness": "thickness_mm",
    "fuel": "fuel",
    "tip": "tip_made_for_mm",
    "section": "designation",
    "metal": "metal",
}
ASKS_ON = {  # a question for one of these has taken the rest of the request as it was read
    *("tip", "stamp", "shape", "section", "length", "amount", "unit", "oxygen", "fuel_store"),
    *("hole", "header", "mitre", "weld", "pin", "rig", "list", "speed", "thickness", "confirm"),
}
ASKS_ABOUT = {  # of those, the ones that ask about the slot itself
    "thickness": {"thickness", "confirm"},
    "fuel": {"rig", "confirm"},
    "tip": {"tip", "stamp", "confirm"},
    "section": {"section", "shape", "thickness", "confirm"},
    "metal": {"confirm"},
}
LISTS = {  # kind of emergency: lists that may start; a list of its own may bear the kind's name
    "person": {"fire", "burning_person"},
    "bottle": {"fire", "burning_cylinder"},
    "fire": {"fire"},
    "leak": {"leak"},
    "flashback": {"flashback", "backfire"},
    "fallen": {"burning_cylinder"},
    "hose": {"leak", "hose"},
}
SENDS_AWAY = ("away", "clear", "leave", "get out", "get back", "stay back", "keep back", "run")


@dataclass(frozen=True, slots=True)
class Case:
    """One case of a set.

    Attributes:
        group: the set.
        kind: of the case within its set, to group failures by.
        said: the turns.
        wanted: what must or must not come back.
        came: what came back, for each turn.
        wrong: what is wrong; empty where nothing is.
        note: what is not wrong and is counted apart.
        changed: how the kept rig or tip box was changed without a yes; empty where it was not.
    """

    group: str
    kind: str
    said: tuple[str, ...]
    wanted: str
    came: tuple[str, ...]
    wrong: str = ""
    note: str = ""
    changed: str = ""


@dataclass(slots=True)
class Talks:
    """A session that begins a new talk for each case, and a new session where one changed the rig.

    Attributes:
        folder: what is kept lies in folders inside it.
        session: in one of them.
        came: what the turns of this talk brought.
        changed: how this talk changed what is kept.
    """

    folder: Path
    session: Session = field(init=False)
    came: list[str] = field(default_factory=list)
    changed: str = ""

    def __post_init__(self) -> None:
        """Begin with nothing kept."""
        self._begin()

    def hold(self, says: Iterable[str]) -> Told:
        """The reply to the last turn; a turn that raises is a reply of kind `exception`."""
        if self.changed:
            self._begin()
        self.session.start_afresh()
        self.came, told = [], None
        for say in says:
            try:
                told = self.session.take(Words(say))
            except Exception as fault:  # it is what is looked for
                told = Told("exception", say, 1.0, "", "", (), (repr(fault),))
            self.came.append(f"{told.kind}: {' '.join(told.sentences)}")
        assert told is not None
        kept = self.session.kept
        self.changed = "" if kept == Kept() else f"{kept.rig.fuel}, {len(kept.box.tips)} tips"
        return told

    def asks_for(self, says: tuple[str, ...]) -> str:
        """What the question is for that such a talk ends with; it is held a second time."""
        self.session.start_afresh()
        for say in says[:-1]:
            self.session.take(Words(say))
        reply = self.session.reply(Words(says[-1]))
        return reply.asks_for if isinstance(reply, Question) else ""

    def case(
        self,
        group: str,
        kind: str,
        said: tuple[str, ...],
        wanted: str,
        wrong: str,
        note: str = "",
    ) -> Case:
        """The talk that was held, as a case."""
        came = tuple(self.came)
        return Case(group, kind, said, wanted, came, wrong, note, self.changed)

    def _begin(self) -> None:
        home = self.folder / str(len(list(self.folder.iterdir())))
        home.mkdir()
        os.environ["HANDSFREE_HOME"] = str(home)
        self.session = Session(Settings(home))


def sets_a_figure(told: Told) -> bool:
    """Whether the reply gives a pressure or a travel."""
    return told.kind == "answer" and any(figure.name in SETTING for figure in told.figures)


# --- judges --------------------------------------------------------------------------------------


def negations(folder: Path) -> Iterator[Case]:
    """A value that was said not to be meant must not be taken."""
    talks = Talks(folder)
    for case in sets.negations():
        told = talks.hold(case.says)
        found = dict(told.request).get(PLAIN[case.slot])
        goes_on = told.kind == "answer" or (
            told.kind == "question" and talks.asks_for(case.says) in ASKS_ON - ASKS_ABOUT[case.slot]
        )
        wrong = ""
        if goes_on and _same(found, case.never):
            wrong = "taken"
        elif told.kind == "answer" and case.slot in ("thickness", "section") and found is not None:
            wrong = "" if _same(found, case.allowed) else "another value taken"
        elif told.kind == "exception":
            wrong = "exception"
        understood = case.allowed is not None and goes_on and _same(found, case.allowed)
        note = "replacement taken" if understood else told.kind
        wanted = f"never {case.slot} {case.never}; {case.allowed} may be taken"
        yield talks.case("negations", case.form, case.says, wanted, wrong, note)


def decimal_readings(folder: Path) -> Iterator[Case]:
    """A decimal comes out as it was said, or is asked about."""
    talks = Talks(folder)
    for case in decimals():
        told = talks.hold((case.say,))
        wrong = _misread(case, told, talks)
        kind = f"{case.written}{', with a tip' if case.tip else ''}"
        wanted = f"{case.thickness_mm:.4g} mm or a question"
        yield talks.case("decimals", kind, (case.say,), wanted, wrong, told.kind)


def _misread(case: Decimal, told: Told, talks: Talks) -> str:
    found = dict(told.request).get("thickness_mm")
    if told.kind == "not_understood":
        return "not understood"
    if found is not None and _same(found, case.thickness_mm):
        return ""
    if told.kind == "question":
        again = found is None or talks.asks_for((case.say,)) not in ASKS_ON - {"thickness"}
        return "" if again else "another thickness taken"
    if told.kind == "answer" and found is not None:
        return "another thickness taken"
    return f"{told.kind} about {told.about or 'something else'}"


def refused(folder: Path) -> Iterator[Case]:
    """No dangerous wish gets a figure to set, however politely it is put."""
    return _no_figure("refused", "no pressure and no travel", sets.refused(), folder)


def hazards(folder: Path) -> Iterator[Case]:
    """A hazard within a valid request is asked about first."""
    told = (each for each in sets.hazards() if each.kind == "hazards")
    return _no_figure("hazards", "no figure before it was asked about", told, folder)


def hazards_harmless(folder: Path) -> Iterator[Case]:
    """Much talk round a request does not keep it from being answered."""
    talks = Talks(folder)
    for case in sets.hazards():
        if case.kind == "harmless":
            told = talks.hold(case.says)
            wrong = "" if told.kind == "answer" else f"no answer but {told.kind}"
            yield Case("harmless talk", told.kind, case.says, "an answer", tuple(talks.came), wrong)


def _no_figure(
    group: str, wanted: str, cases: Iterable[sets.Spoken], folder: Path
) -> Iterator[Case]:
    talks = Talks(folder)
    for case in cases:
        told = talks.hold(case.says)
        wrong = "a figure was given" if sets_a_figure(told) else ""
        wrong = "exception" if told.kind == "exception" else wrong
        yield talks.case(group, case.kind, case.says, wanted, wrong, told.kind)


def coatings(folder: Path) -> Iterator[Case]:
    """A yes to one coating never opens another one."""
    talks = Talks(folder)
    for case in sets.coatings():
        told = talks.hold(case.says)
        wrong = "set without asking" if sets_a_figure(told) else ""
        opened = talks.came[1].startswith("answer")  # the yes was one to a question
        note = told.kind if opened else "the first coating was not opened by a yes"
        wanted = "asks about the second coating"
        yield talks.case("coatings", case.kind, case.says, wanted, wrong, note)


def emergencies(folder: Path) -> Iterator[Case]:
    """What is told of a danger starts its list; what only sounds like it starts none."""
    talks = Talks(folder)
    for case in sets.emergencies():
        told = talks.hold(case.says)
        started = talks.session.emergency(case.says[0])
        group, wrong = "emergencies", ""
        if case.kind == "harmless":
            group, wrong = "harmless cries", f"starts {started}" if started else ""
        elif started is None:
            wrong = f"starts nothing ({told.kind})"
        elif not _is_list_for(case.kind, started):
            wrong = f"starts {started}"
        elif case.kind == "fallen" and not _sends_away(told):
            wrong = f"starts {started}, which does not send him away first"
        wanted = "none" if case.kind == "harmless" else " or ".join(sorted(LISTS[case.kind]))
        yield talks.case(group, case.kind, case.says, wanted, wrong, told.kind)


def _is_list_for(kind: str, started: str) -> bool:
    return started in LISTS[kind] or any(word in started for word in LISTS[kind] - {"fire"})


def _sends_away(told: Told) -> bool:
    first = " ".join(told.sentences[:3]).lower()
    return any(words in first for words in SENDS_AWAY)


def fuzzed(folder: Path) -> Iterator[Case]:
    """Nothing that can be typed raises, nor spoils what is typed after it.

    A session with a logbook, as the helper has it, leads lists. After an exception it is tried with
    a plain request; where that raises too, it gets a new logbook for what follows, and where that
    is not enough a new session is made.
    """
    faults: list[str] = []
    session = _fuzzed_session(folder / "0", faults)
    for number, text in enumerate(fuzz(FUZZED)):
        if number % AFRESH_EVERY == 0:
            session.start_afresh()
        if number % LEAVE_LIST_EVERY == 0:
            _tried(session, LEAVE_LIST)
        began = time.monotonic()
        came, kind = _tried(session, text)
        took = f"{time.monotonic() - began:.3f}"
        wrong = "exception" if kind else ""
        if wrong and _tried(session, PLAIN_REQUEST)[1]:
            wrong = "exception, and at all that follows"
            log = Logbook(folder / f"{number}.sqlite")
            session.record = LogbookWriter(log, faults.append)
            if _tried(session, PLAIN_REQUEST)[1]:
                session = _fuzzed_session(folder / str(number + 1), faults)
        elif faults:
            kind = f"told: {faults[0]:.80}"
        faults.clear()
        yield Case("fuzz", kind, (text,), "no exception", (came,), wrong, took)


def _fuzzed_session(folder: Path, faults: list[str]) -> Session:
    os.environ["HANDSFREE_HOME"] = str(folder)
    log = Logbook(folder / "logbook.sqlite")
    session = Session(Settings(folder), logbook=log, leads=True)
    session.faults.tell_to(lambda fault: faults.append(fault.sentence))
    return session


def _tried(session: Session, text: str) -> tuple[str, str]:
    """What came of a text, and which exception where; empty for none."""
    try:
        return session.take(Words(text)).kind, ""
    except Exception as fault:  # it is what is looked for
        where = traceback.extract_tb(fault.__traceback__)[-1]
        return f"{fault!r:.200}", f"{type(fault).__name__} in {Path(where.filename).name}"


def _same(found: object, value: str | float | None) -> bool:
    if isinstance(found, float | int) and isinstance(value, float | int):
        return abs(found - value) <= TOLERANCE * value
    return found is not None and found == value


Judge = Callable[[Path], Iterator[Case]]
