"""Whether the files agree with one another: what one names must exist in another."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from training.content.mistakes import Mistake
from training.content.papers import PaperSpec
from training.questions.papers import Cell, Infeasible, Pooled, assemble
from training.questions.pools import Pool

if TYPE_CHECKING:
    from training.content.load import Content

SET = "set:"
PLACES = {"safety": 10}


def loose(content: "Content", homes: Sequence[str], *, whole: bool) -> Iterator[Mistake]:
    """Yield every name that leads nowhere.

    ``homes`` is the file of each question; ``whole`` says that no file was refused, so a missing name is a mistake.
    """
    yield from _twice(content, homes)
    if whole:
        yield from _steps(content, homes)
        yield from _enemies(content, homes)
        yield from _asked(content)
        yield from _held(content)
        yield from _papers(content)
        yield from _schemes(content)


def _twice(content: "Content", homes: Sequence[str]) -> Iterator[Mistake]:
    places: dict[str, list[str]] = {}
    for question, home in zip(content.questions, homes, strict=True):
        places.setdefault(question.key, []).append(home)
    for key, files in places.items():
        if len(files) > 1:
            reason = f"is used {len(files)} times ({', '.join(files)}); a key is never reused"
            yield Mistake(files[-1], f"question[{key}].key", reason)
    for order, count in Counter(module.order for module in content.modules).items():
        if count > 1:
            slugs = [module.slug for module in content.modules if module.order == order]
            yield Mistake(f"{slugs[-1]}/procedure.toml", "order", f"{order} is shared by {' and '.join(slugs)}")


def _steps(content: "Content", homes: Sequence[str]) -> Iterator[Mistake]:
    known = {f"{module.slug}.{step.slug}" for module in content.modules for step in module.steps}
    for question, home in zip(content.questions, homes, strict=True):
        for step in question.steps:
            if step not in known:
                yield Mistake(home, f"question[{question.key}].steps", f"{step!r} is no step of any module")
    for check in content.checks:
        if check.step not in known:
            yield Mistake(
                f"{check.module}/practical.toml",
                f"check[{check.slug}].step",
                f"{check.step!r} is no step of any module",
            )


def _enemies(content: "Content", homes: Sequence[str]) -> Iterator[Mistake]:
    keys = {question.key for question in content.questions}
    sets = Counter(enemy for question in content.questions for enemy in set(question.enemies) if enemy.startswith(SET))
    for question, home in zip(content.questions, homes, strict=True):
        for enemy in question.enemies:
            reason = ""
            if enemy == question.key:
                reason = f"{enemy!r} is the question itself"
            elif enemy.startswith(SET):
                reason = f"{enemy!r} is carried by this question alone; check its spelling" if sets[enemy] < 2 else ""
            elif enemy not in keys:
                reason = f"{enemy!r} is no question's key; a shared mark begins with {SET!r}"
            if reason:
                yield Mistake(home, f"question[{question.key}].enemies", reason)


def _asked(content: "Content") -> Iterator[Mistake]:
    keys = {question.key for question in content.questions}
    for module in content.modules:
        for key in module.revision.questions if module.revision else ():
            if key not in keys:
                yield Mistake(f"{module.slug}/procedure.toml", "revision.questions", f"{key!r} is no question's key")


def _held(content: "Content") -> Iterator[Mistake]:
    bank = {question.key: (question.pool, question.language) for question in content.questions}
    for module in content.modules:
        asked = ((step.slug, key) for step in module.steps for key in step.ask)
        for step, reason in unaskable(asked, module.language, bank):
            yield Mistake(f"{module.slug}/procedure.toml", f"step[{step}].ask", reason)


def unaskable(
    asked: Iterable[tuple[str, str]], language: str, bank: Mapping[str, tuple[Pool, str]]
) -> Iterator[tuple[str, str]]:
    """Yield the step and a reason for each question asked at a hold point that cannot be.

    ``asked`` is pairs of a step's slug and a key, ``language`` that of the module, ``bank`` pool and language of every
    question in use, by key.
    """
    for step, key in asked:
        if key not in bank:
            yield step, f"{key!r} is no question's key"
            continue
        pool, written = bank[key]
        if not pool.for_practice:
            yield step, f"{key!r} is kept for papers; a hold point asks questions of the pool practice or both"
        if written != language:
            yield step, f"{key!r} is written in {written!r} and the module in {language!r}"


def _papers(content: "Content") -> Iterator[Mistake]:
    anchors = Counter((question.topic, question.level) for question in content.questions if question.anchor)
    pools = _pools(content)
    for paper in content.papers:
        reasons = []
        for cell in paper.cells:
            if anchors[cell.topic, cell.level] > cell.count:
                reasons.append(
                    f"{cell.topic} {cell.level} has {anchors[cell.topic, cell.level]} anchors for {cell.count} places"
                )
            held = pools[cell.topic, cell.level, paper.language]
            if held < cell.count:
                reasons.append(
                    f"{cell.topic} {cell.level} wants {cell.count} questions and {held} exist in {paper.language!r}"
                )
        for reason in reasons or _at_odds(content, paper):
            yield Mistake("papers.toml", f"paper[{paper.slug}].cell", reason)


def _at_odds(content: "Content", paper: PaperSpec) -> Iterator[str]:
    """Yield why a paper cannot be put together though every cell has questions enough: enemies stand in the way."""
    cells = [Cell(topic=cell.topic, level=cell.level, count=cell.count) for cell in paper.cells]
    pool = [
        Pooled(key=one.key, topic=one.topic, level=one.level, enemies=one.enemies, anchor=one.anchor)
        for one in content.questions
        if one.pool.for_papers and one.language == paper.language
    ]
    try:
        assemble(cells, pool, seed=paper.slug)
    except Infeasible as error:
        yield str(error)


def _pools(content: "Content") -> Counter[tuple[str, str, str]]:
    """Count what papers may draw; practice questions are no part of it."""
    questions = (question for question in content.questions if question.pool.for_papers)
    return Counter((question.topic, question.level, question.language) for question in questions)


def thin(content: "Content") -> Iterator[str]:
    """Yield a line for each cell of a paper whose pool is too small to vary: five a place are wanted, ten for safety.

    A small pool is no mistake: it only makes the same questions come back.
    """
    pools = _pools(content)
    for paper in content.papers:
        for cell in paper.cells:
            held, wanted = pools[cell.topic, cell.level, paper.language], cell.count * PLACES.get(cell.topic, 5)
            if held < wanted:
                yield f"{paper.slug}: {cell.topic} {cell.level} draws {cell.count} of {held}; {wanted} are wanted"


def _schemes(content: "Content") -> Iterator[Mistake]:
    modules = {module.slug for module in content.modules}
    practicals = {check.module for check in content.checks}
    papers = {paper.slug for paper in content.papers}
    for scheme in content.schemes:
        key = f"scheme[{scheme.slug}]"
        for slug in scheme.modules:
            if slug not in modules:
                yield Mistake("schemes.toml", f"{key}.modules", f"{slug!r} is no module")
        for slug in scheme.practical:
            if slug not in practicals:
                yield Mistake("schemes.toml", f"{key}.practical", f"{slug!r} has no practical.toml with checks")
        if scheme.paper not in papers:
            yield Mistake("schemes.toml", f"{key}.paper", f"{scheme.paper!r} is no paper of papers.toml")
