"""Criteria and limits judged apart, and the water that leaves, as parts of the page."""

from __future__ import annotations

from pondsim.comparison.limit_lines import limit_lines, limits_heading
from pondsim.reporting.blocks import Block, Both, Group, Part, Row, Table, alike, note, words
from pondsim.reporting.study import Study
from pondsim.reporting.tables import measure_table

DRAWN = ("Water drawn at the ", "Sediment in the water drawn")  # sections of what was sampled


def limits_part(study: Study) -> Part:
    """Which limit fails in which design: how often, from when to when."""
    title = "Which limit fails, and when"
    us, si = (limit_lines(study.comparison, system) for system in ("us", "si"))
    if not us:
        return Part("judged", title, (note("No limit can be judged: it needs results at least every hour."),))
    rows = tuple(
        Row(
            Both(one.title, other.title),
            tuple(
                words(Both(*texts), f"limit.{place}#{design}")
                for design, texts in enumerate(zip(one.answers, other.answers, strict=True))
            ),
        )
        for place, (one, other) in enumerate(zip(us, si, strict=True))
    )
    table = Table(
        "judged",
        alike(limits_heading(study.comparison)),
        ("limit", *study.titles),
        (Group(alike(""), rows),),
    )
    return Part("judged", title, (table,))


def leaving_part(study: Study) -> Part:
    """The water drawn at the outlet and at the intake over the whole run."""
    table = measure_table(
        study.comparison,
        "leaving",
        "What the outlet and the intake draw over the whole run; means are weighted by the flow",
        lambda row: row.section.startswith(DRAWN),
    )
    blocks: list[Block] = [table] if table is not None else []
    if table is None:
        blocks = [note("These results do not hold the water that leaves: run the designs again.")]
    return Part("leaving", "The water that leaves", tuple(blocks))
