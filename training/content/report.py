"""What each module holds, counted."""

from dataclasses import dataclass

from training.content.load import Content
from training.content.procedures import ModuleSpec
from training.content.readability import reading_grade
from training.content.spec import Spec


@dataclass(frozen=True, slots=True, kw_only=True)
class Count(Spec):
    """The counts of one module; ``cautions`` are steps that carry one, ``reading_grade`` is a school grade.

    ``questions`` are those on the module as their topic and those asked at its hold points, each counted once.
    """

    module: str
    steps: int
    figures: int
    figures_with_source: int
    cautions: int
    drawings: int
    questions: int
    reading_grade: float


def counts(content: Content) -> tuple[Count, ...]:
    """Count every module, in reading order."""
    return tuple(_count(module, content) for module in content.modules)


def _count(module: ModuleSpec, content: Content) -> Count:
    figures = [figure for step in module.steps for figure in step.figures]
    asked = {key for step in module.steps for key in step.ask}
    return Count(
        module=module.slug,
        steps=len(module.steps),
        figures=len(figures),
        figures_with_source=sum(bool(figure.source.strip()) for figure in figures),
        cautions=sum(bool(step.caution.strip()) for step in module.steps),
        drawings=len(module.drawings),
        questions=len(asked | {question.key for question in content.questions if question.topic == module.slug}),
        reading_grade=round(reading_grade(prose(module), language=module.language), 1),
    )


def prose(module: ModuleSpec) -> list[str]:
    """Return the passages of whole sentences; titles and lists, which are no sentences, would make it look easier."""
    steps = (text for step in module.steps for text in (step.text, step.why, step.caution, step.hold))
    return [module.purpose, *steps]
