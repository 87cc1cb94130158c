"""Invented jobs asked as a foreman would hear them, and what of the reply he would sign."""

from pathlib import Path
from typing import Any

import pytest
import yaml

from handsfree.session.session import Session
from handsfree.store.settings import Settings
from handsfree.values import Told, Words

JOBS: list[dict[str, Any]] = yaml.safe_load(
    Path(__file__).with_name("plans.yaml").read_text(encoding="utf-8")
)
AT_LEAST = 25


def test_there_are_jobs_enough_and_each_is_named_once() -> None:
    names = [job["job"] for job in JOBS]
    assert len(names) >= AT_LEAST
    assert len(names) == len(set(names))


def asked(job: dict[str, Any], folder: Path) -> Told:
    session = Session(Settings(folder))
    told = [session.take(Words(words)) for words in job["say"]]
    return told[-1]


@pytest.mark.parametrize("job", JOBS, ids=[job["job"] for job in JOBS])
def test_a_foreman_would_sign_it(job: dict[str, Any], tmp_path: Path) -> None:
    told = asked(job, tmp_path)
    assert told.kind == job.get("kind", "answer"), told.sentences
    everything = " ".join(
        (*told.sentences, *told.more, *told.technique, *told.cautions, *told.notes)
    )
    wrong = [f"not said: {words}" for words in job.get("says", []) if words not in everything]
    aloud = " ".join((*told.sentences, *told.more))
    wrong += [f"said: {words}" for words in job.get("never", []) if words in aloud]
    plan = told.plan
    if plan is None:
        wrong += [f"no plan for {key}" for key in ("parts", "leans", "starts", "fit") if key in job]
        assert wrong == [], everything
        return
    if "parts" in job and [cut.part for cut in plan.cuts] != job["parts"]:
        wrong.append(f"parts: {[cut.part for cut in plan.cuts]}")
    leans = [round(cut.lean[0].m_as("degree")) for cut in plan.cuts]
    if "leans" in job and leans != job["leans"]:
        wrong.append(f"leans: {leans}")
    starts = [cut.start.value for cut in plan.cuts]
    if "starts" in job and starts != job["starts"]:
        wrong.append(f"starts: {starts}")
    if "fit" in job and {cut.fit.value for cut in plan.cuts} != {job["fit"]}:
        wrong.append(f"fit: {[cut.fit.value for cut in plan.cuts]}")
    if "minutes" in job:
        assert plan.time is not None
        low, high = (float(end.m_as("minute")) for end in plan.time)
        least, most = job["minutes"]
        if not least <= low <= high <= most:
            wrong.append(f"minutes: {low:.1f} to {high:.1f}")
    assert wrong == [], everything
