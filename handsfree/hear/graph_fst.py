"""Finite-state operations on machines: the only door to the kaldifst library.

kaldifst and vosk both carry OpenFst, and a process that has loaded the first hangs when it loads
the second. So the library is loaded at the first use only, and used in a process of its own.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from handsfree.hear.graph_states import ArcLine, Machine

if TYPE_CHECKING:
    import kaldifst


@dataclass(frozen=True, slots=True)
class Reduced:
    """A machine with fewer states that says the same; `deterministic` if that could be reached."""

    machine: Machine
    deterministic: bool


def reduce_acceptor(machine: Machine, most_states: int) -> Reduced:
    """Without empty arcs and useless states, one state for each beginning, equal endings shared.

    A network that would grow beyond `most_states` by the second step (some cyclic ones never end)
    keeps its own states instead.
    """
    kaldifst, fst = _library(), _compiled(machine)
    kaldifst.rmepsilon(fst)
    kaldifst.connect(fst)
    tried = fst.copy()
    stopped = kaldifst.determinize_star(tried, max_states=most_states)
    if stopped or tried.num_states == 0:
        return Reduced(_read(fst), deterministic=False)
    kaldifst.minimize_encoded(tried)
    return Reduced(_read(tried), deterministic=True)


def share_endings(machine: Machine) -> Machine:
    """The same transductions and costs with equal endings merged; no two arcs of a state equal."""
    kaldifst, fst = _library(), _compiled(machine)
    kaldifst.connect(fst)
    kaldifst.minimize_encoded(fst)
    return _read(fst)


def write_graph(machine: Machine, path: Path, without_empty_arcs: bool = True) -> tuple[int, int]:
    """Write a decoding graph in the form that loads fastest; returns its states and arcs."""
    kaldifst, fst = _library(), _compiled(machine)
    if without_empty_arcs:
        kaldifst.rmepsilon(fst)
    kaldifst.connect(fst)
    kaldifst.arcsort(fst, "ilabel")
    kaldifst.StdConstFst(fst).write(str(path))
    return fst.num_states, sum(fst.num_arcs(s) for s in range(fst.num_states))


def _library() -> Any:
    import kaldifst

    return kaldifst


def _compiled(machine: Machine) -> "kaldifst.StdVectorFst":
    return _library().compile("\n".join(_lines(machine)) + "\n")


def _lines(machine: Machine) -> Iterable[str]:
    """OpenFst's text form, whose first line names the start."""
    start = machine.start
    later = []
    for a, b, heard, said, cost in machine.arcs:
        line = f"{a} {b} {heard} {said} {cost:.6g}" if cost else f"{a} {b} {heard} {said}"
        if a == start:
            yield line
        else:
            later.append(line)
    yield from later
    for state, cost in machine.finals:
        yield f"{state} {cost:.6g}"


def _read(fst: "kaldifst.StdVectorFst") -> Machine:
    text: str = fst.to_str()
    arcs: list[ArcLine] = []
    finals: list[tuple[int, float]] = []
    for line in text.splitlines():
        parts = line.split()
        if len(parts) >= 4:
            cost = float(parts[4]) if len(parts) > 4 else 0.0
            arcs.append((int(parts[0]), int(parts[1]), int(parts[2]), int(parts[3]), cost))
        elif parts:
            finals.append((int(parts[0]), float(parts[1]) if len(parts) > 1 else 0.0))
    return Machine(fst.start, fst.num_states, tuple(arcs), tuple(finals))
