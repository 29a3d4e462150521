"""Putting papers together: how long beside a draw by chance, and how evenly the questions of the content are used."""

from collections import Counter

from tests.bench.measure import Figure, side_by_side
from tests.bench.paper import CONTENT
from training.content.load import Content, read_content
from training.content.papers import PaperSpec
from training.questions.papers import Cell, Infeasible, Pooled, assemble
from training.questions.stream import Draw

PAPERS = 300
GOAL = 50.0
# A pool of five a place lets chance alone give one question half as much again as its share.
EVEN = 1.5
TOPICS, LEVELS = ("safety", "setup", "firing", "field-repair"), ("know", "apply", "judge")


def put_together(papers: int = PAPERS) -> tuple[Figure, ...]:
    """Time the assembly of forty questions, then count the use of every question over so many papers."""
    content = read_content(CONTENT, seeds=0)
    return (forty(), *(figure for spec in content.papers for figure in used(content, spec, papers)))


def forty() -> Figure:
    """Time a paper of forty from a pool of five a place, every fifth question in a set of enemies, against chance."""
    cells, pool = blueprint()
    held = {(cell.topic, cell.level): [one for one in pool if one.topic == cell.topic] for cell in cells}

    def by_chance() -> None:
        stream = Draw("chance", 1)
        for cell in cells:
            stream.shuffle(held[cell.topic, cell.level])[: cell.count]

    def measured() -> None:
        assemble(cells, pool, seed=1)

    return side_by_side("papers", measured, by_chance, goal=GOAL)


def blueprint() -> tuple[list[Cell], list[Pooled]]:
    """Return forty places over twelve cells, and two hundred questions for them."""
    counts = [4 if place < 4 else 3 for place in range(12)]
    places = [(topic, level) for topic in TOPICS for level in LEVELS]
    cells = [Cell(topic=topic, level=level, count=count) for (topic, level), count in zip(places, counts, strict=True)]
    pool = [
        Pooled(
            key=f"{cell.topic}-{cell.level}-{number}",
            topic=cell.topic,
            level=cell.level,
            enemies=(f"set:{cell.topic}-{number % 3}",) if number % 5 == 0 else (),
        )
        for cell in cells
        for number in range(cell.count * 5)
    ]
    return cells, pool


def used(content: Content, spec: PaperSpec, papers: int) -> tuple[Figure, Figure, Figure]:
    """Count the use of each question of a paper's cells beside what the pool itself asks for: places by questions.

    The share of a question that is on every paper of its cell by rule is no choice, and is left out.
    """
    cells = [Cell(topic=cell.topic, level=cell.level, count=cell.count) for cell in spec.cells]
    uses, failed = Counter[str](), 0
    for seed in range(papers):
        try:
            uses.update(assemble(cells, pool(content, spec, uses), seed=seed))
        except Infeasible:
            failed += 1
    shares = {}
    for cell in cells:
        mine = [one for one in pool(content, spec, uses) if (one.topic, one.level) == (cell.topic, cell.level)]
        free = [one for one in mine if not one.anchor]
        floor = (cell.count - len(mine) + len(free)) / max(1, len(free))
        shares |= {one.key: (one.uses / papers, floor) for one in free if floor}
    most, least = max(share for share, _floor in shares.values()), min(share for share, _floor in shares.values())
    over = max(share / floor for share, floor in shares.values())
    under = max(floor / max(share, 1 / papers) for share, floor in shares.values())
    name = f"papers {spec.slug}"
    return (
        Figure(f"{name} most used", round(over, 3), EVEN, round(100 * most, 1), "% of papers"),
        Figure(f"{name} least used", round(under, 3), 2 * EVEN, round(100 * least, 1), "% of papers"),
        Figure(f"{name} not put together", failed, 0, papers, "papers"),
    )


def pool(content: Content, spec: PaperSpec, uses: Counter[str]) -> list[Pooled]:
    """Return the questions a paper may draw, as worn as they are."""
    return [
        Pooled(
            key=one.key, topic=one.topic, level=one.level, enemies=one.enemies, uses=uses[one.key], anchor=one.anchor
        )
        for one in content.questions
        if one.pool.for_papers and one.language == spec.language
    ]
