"""`handsfree record`: lists the logbook, exports it, prints a record of it, looks at its chain."""

import argparse
import re
from datetime import date, datetime, timedelta
from itertools import chain as joined
from pathlib import Path
from typing import Final

from handsfree.app.terminal import Terminal
from handsfree.errors import RecordError
from handsfree.logbook.chain import Chain
from handsfree.logbook.logbook import Logbook
from handsfree.logbook.record import Head
from handsfree.logbook.record_reading import record_of
from handsfree.logbook.wanted import Wanted
from handsfree.store.local_time import local_now
from handsfree.store.settings import logbook_path
from handsfree.values.clean_text import argument_text
from handsfree.values.record import RecordDetail, RecordKind

USUAL: Final = 20  # entries that are listed when nothing is asked for
NOTHING: Final = "Nothing in the logbook fits that."
_SEAL: Final = re.compile(r"[0-9a-fA-F]{8,64}")


def fill(record: argparse.ArgumentParser) -> None:
    """Add the options."""
    which = record.add_argument_group("which entries")
    which.add_argument("--latest", type=int, metavar="N", help=f"how many at most ({USUAL})")
    which.add_argument("--all", action="store_true", help="all of them")
    which.add_argument("--day", metavar="DAY", help="today, yesterday or 2026-03-04")
    which.add_argument("--since", metavar="DAY", help="from this day on")
    which.add_argument("--until", metavar="DAY", help="up to this day")
    which.add_argument(
        "--kind",
        action="append",
        default=[],
        metavar="KIND",
        help=f"only this kind, and others so named: {', '.join(RecordKind)}",
    )
    which.add_argument(
        "--list", action="append", default=[], metavar="LIST", help="only this step list"
    )
    which.add_argument("--text", default="", metavar="TEXT", help="only with this in it")
    which.add_argument("--logbook", type=Path, metavar="FILE", help="another logbook than yours")
    files = record.add_argument_group('files to write ("-": the standard output, but for PDF)')
    files.add_argument("--csv", metavar="FILE", help="for a spreadsheet")
    files.add_argument("--json", metavar="FILE", help="with the seals, to be checked elsewhere")
    files.add_argument("--html", metavar="FILE", help="a record to print; of the latest day")
    files.add_argument("--pdf", metavar="FILE", help="the same as PDF; needs handsfree[pdf]")
    head = record.add_argument_group("head of the printed record; a line to write on without it")
    head.add_argument(
        "--begin", action="store_true", help="write place, who and permit into the logbook now"
    )
    head.add_argument("--place", default="", help="where the work is")
    head.add_argument("--who", default="", help="who works there")
    head.add_argument("--permit", default="", metavar="NUMBER", help="number of the permit")
    chain = record.add_argument_group("was it changed")
    chain.add_argument("--check", action="store_true", help="tell only that; 1 if it was")
    chain.add_argument(
        "--holds", metavar="SEAL", help="find the seal that a record was printed with"
    )


def act(given: argparse.Namespace, parser: argparse.ArgumentParser) -> int:
    """Do what was asked; the exit status, 1 where the logbook is not as it was written.

    Raises:
        LogbookError: there is a file and it is no logbook.
        RecordError: a file cannot be written.
    """
    wanted = _wanted(given, parser)
    terminal: Terminal = given.terminal
    book = Logbook(given.logbook or logbook_path())
    if given.logbook is not None and not book.path.exists():
        raise RecordError(f"There is no logbook at {given.logbook}. Name the file itself.")
    if given.begin:
        return _begin(book, _head(given), parser, terminal)
    if given.holds is not None:
        return _holds(book, given.holds, parser, terminal)
    if given.check:
        return _told(book.chain(), terminal)
    if any((given.csv, given.json, given.html, given.pdf)):
        return _write_files(book, wanted, given)
    return _list(book, wanted, given)


def _head(given: argparse.Namespace) -> Head:
    return Head(*map(argument_text, (given.place, given.who, given.permit)))


def _begin(book: Logbook, head: Head, parser: argparse.ArgumentParser, terminal: Terminal) -> int:
    """Write down who works where under which permit, for every record of this day."""
    detail: RecordDetail = {}
    if head.place:
        detail["place"] = head.place
    if head.who:
        detail["who"] = head.who
    if head.permit:
        detail["permit"] = head.permit
    if not detail:
        parser.error("--begin needs --place, --who or --permit")
    words = ", ".join(f"{name} {value}" for name, value in detail.items())
    book.note(local_now(), RecordKind.SHIFT, understood=words, detail=detail)
    terminal.say(f"On record: {words}.")
    return 0


def _list(book: Logbook, wanted: Wanted, given: argparse.Namespace) -> int:
    latest = given.latest
    if latest is None and not given.all and wanted == Wanted():
        latest = USUAL
    terminal: Terminal = given.terminal
    if lines := book.lines(latest, wanted):
        terminal.say("\n".join(lines))  # before the whole chain is looked at, which takes as long
    elif wanted != Wanted():
        terminal.say(NOTHING)
    return _told(book.chain(), terminal)


def _told(chain: Chain, terminal: Terminal) -> int:
    terminal.say(chain.told)
    return 0 if chain.broken_at is None else 1


def _holds(book: Logbook, seal: str, parser: argparse.ArgumentParser, terminal: Terminal) -> int:
    plain = re.sub(r"\s", "", seal)
    if not _SEAL.fullmatch(plain):
        parser.error("a seal is 8 to 64 of the signs 0-9 and a-f, as the record has it")
    number = book.holds(plain)
    if number is None:
        terminal.say(f"No entry has the seal {plain}: what was printed is not in this logbook.")
        return 1
    terminal.say(f"Entry {number} has this seal.")
    return _told(book.chain(), terminal)


# --- files ----------------------------------------------------------------------------------------


def _write_files(book: Logbook, wanted: Wanted, given: argparse.Namespace) -> int:
    from handsfree.logbook.record_export import record_csv, record_json

    terminal: Terminal = given.terminal
    chain, made = book.chain(), local_now()
    entries = book.entries(given.latest, wanted)
    left_out = _left_out(wanted, given.latest)
    if given.csv:
        _write(given.csv, record_csv(entries), len(entries), terminal)
    if given.json:
        text = record_json(entries, chain, made, left_out)
        _write(given.json, text, len(entries), terminal)
    if given.html or given.pdf:
        _print_record(book, wanted, chain, made, given)
    if chain.broken_at is not None:
        raise RecordError(f"{chain.told} The files were written all the same.")
    return 0


def _print_record(
    book: Logbook, wanted: Wanted, chain: Chain, made: datetime, given: argparse.Namespace
) -> None:
    """The record as HTML and PDF: of the days that were named, else of the latest day."""
    if wanted.since is None and wanted.until is None and not given.all:
        last = book.entries(1)
        day = date.fromisoformat(last[0].at[:10]) if last else made.date()
        wanted = Wanted(day, day, wanted.kinds, wanted.lists, wanted.text)
    terminal: Terminal = given.terminal
    entries = book.entries(given.latest, wanted)
    record = record_of(entries, chain, _head(given), made, _left_out(wanted, given.latest))
    if given.html:
        from handsfree.logbook.record_html import record_html

        _write(given.html, record_html(record), len(entries), terminal)
    if given.pdf:
        from handsfree.logbook.record_pdf import record_pdf

        if given.pdf == "-":
            raise RecordError("PDF is not written to the standard output: name a file.")
        _write(given.pdf, record_pdf(record), len(entries), terminal)


def _write(name: str, content: str | bytes, count: int, terminal: Terminal) -> None:
    whole = content if isinstance(content, bytes) else content.encode("utf-8", "replace")
    if name == "-":
        terminal.pour(whole)
        return
    try:
        Path(name).write_bytes(whole)
    except OSError as fault:
        raise RecordError(
            f"{name} cannot be written: {fault.strerror}. Name another file or folder."
        ) from fault
    terminal.say(f"{name}: {count} {'entry' if count == 1 else 'entries'}.")


# --- which ----------------------------------------------------------------------------------------


def _wanted(given: argparse.Namespace, parser: argparse.ArgumentParser) -> Wanted:
    if given.latest is not None and given.latest < 1:
        parser.error("--latest must be 1 or more")
    if given.day and (given.since or given.until):
        parser.error("give --day, or --since and --until")
    kinds = tuple(kind.strip().lower() for kind in given.kind)
    if unknown := [kind for kind in kinds if kind not in set(RecordKind)]:
        parser.error(f"no kind is called {unknown[0]!r}; one of: {', '.join(RecordKind)}")
    try:
        since, until = _day(given.since or given.day), _day(given.until or given.day)
    except ValueError:
        parser.error("a day is today, yesterday, or like 2026-03-04")
    if since is not None and until is not None and until < since:
        parser.error("--until is before --since")
    lists = tuple(map(argument_text, given.list))
    return Wanted(since, until, kinds, lists, argument_text(given.text))


def _day(said: str | None) -> date | None:
    today = local_now().date()
    match (said or "").strip().lower():
        case "":
            return None
        case "today":
            return today
        case "yesterday":
            return today - timedelta(days=1)
        case day:
            return date.fromisoformat(day)


def _left_out(wanted: Wanted, latest: int | None) -> str:
    """What a filter leaves out of its days, in words, so that no part passes for the whole."""
    parts = joined(
        [f"only the kinds {', '.join(wanted.kinds)}"] if wanted.kinds else [],
        [f"only the lists {', '.join(wanted.lists)}"] if wanted.lists else [],
        [f'only entries with "{wanted.text}"'] if wanted.text else [],
        [f"only the latest {latest}"] if latest is not None else [],
    )
    return "; ".join(parts)
