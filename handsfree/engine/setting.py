"""The answer about a job: its figures, and the sentences that belong to them."""

from handsfree.engine import advice, quality, tables, technique
from handsfree.engine.figures import all_figures, trade_runs
from handsfree.engine.job import Job
from handsfree.values import Answer, Figure


def answer_setting(job: Job) -> Answer:
    """The answer with every figure, in the order in which they are said."""
    return answer_with(job, all_figures(job))


def answer_with(job: Job, figures: tuple[Figure, ...]) -> Answer:
    """The answer with these figures and the technique, cautions and notes that bear on them."""
    how, mind, rests = technique.technique(job), technique.cautions(job), technique.notes(job)
    face = technique.face(job)
    used = [figure.source for figure in figures]
    if any(figure.name == "travel_speed" for figure in figures) and trade_runs(job):
        used.append(tables.trade_checks()[0].source)
    used += job.metal.sources
    used += job.tip.sources if job.tip else ()
    used += ("hose_calculation",) if job.hose_counted else ()
    used += advice.sources(*how, *mind, *rests)
    used += (quality.SOURCE,) if face else ()
    return Answer(
        request=job.request,
        figures=figures,
        technique=advice.sentences(*how),
        cautions=advice.sentences(*mind),
        notes=(*face, *technique.how_far(job), *advice.sentences(*rests)),
        fit=job.work.fit,
        thickness=job.metal.quantity,
        thickness_name=job.metal.name,
        sources=tuple(dict.fromkeys(used)),
    )
