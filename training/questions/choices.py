"""Options put in the order a person sees them; their ids follow that order, so an id gives nothing away."""

from collections.abc import Sequence
from string import ascii_lowercase

from training.questions.item import Part
from training.questions.specs import Ask, OptionSpec, PartSpec
from training.questions.stream import Draw
from training.questions.values import Values


def choice_part(spec: PartSpec, *, values: Values, stream: Draw) -> Part:
    """Return a part answered by choosing or ordering."""
    prompt = values.fill(spec.prompt)
    working = tuple(values.fill(line) for line in spec.lines)
    if spec.ask is Ask.ORDER:
        places = stream.shuffle(range(len(spec.order)))
        names = {place: name for name, place in zip(ascii_lowercase, places, strict=False)}
        return Part(
            name=spec.name,
            prompt=prompt,
            ask=spec.ask,
            options=tuple((names[place], values.fill(spec.order[place])) for place in places),
            order=tuple(names[place] for place in range(len(spec.order))),
            before=tuple((names[first], names[second]) for first, second in spec.before),
            working=working,
            source=spec.source,
        )
    options = dict(zip(ascii_lowercase, _mixed(spec.options, stream), strict=False))
    return Part(
        name=spec.name,
        prompt=prompt,
        ask=spec.ask,
        options=tuple((name, values.fill(option.text)) for name, option in options.items()),
        right=tuple(name for name, option in options.items() if option.right),
        unsafe=tuple(name for name, option in options.items() if option.unsafe),
        option_says={name: values.fill(option.says) for name, option in options.items() if option.says},
        working=working,
        source=spec.source,
    )


def _mixed(options: Sequence[OptionSpec], stream: Draw) -> list[OptionSpec]:
    """Shuffle the options that may move; a fixed one keeps its written place (a ladder of numbers, 'none of these')."""
    moving = iter(stream.shuffle([option for option in options if not option.fixed]))
    return [option if option.fixed else next(moving) for option in options]
