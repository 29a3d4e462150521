"""Whether letters stand out from their ground (WCAG 2.2, 1.4.3), judged by axe-core once for each pairing of the two.

To judge every text of every page took longer than all other rules together, and the pairings are few: colours come
from style sheets alone.
"""

from playwright.sync_api import Page

# All that the contrast of a text is made from: its letters, and what it and those around it paint under them.
PAIRINGS = """() => {
    const held = new Map([[null, ""]]);
    const ground = (one) => {
        if (!held.has(one)) {
            const { backgroundColor, backgroundImage, filter, mixBlendMode, opacity } = getComputedStyle(one);
            const own = [backgroundColor, backgroundImage, filter, mixBlendMode, opacity].join(" ");
            const plain = own === "rgba(0, 0, 0, 0) none none normal 1";
            held.set(one, ground(one.parentElement) + (plain ? "" : `/${own}`));
        }
        return held.get(one);
    };
    const speaks = (one) => one.checkVisibility({ visibilityProperty: true }) && (one.matches("input, select, textarea")
        || [...one.childNodes].some((node) => node.nodeType === Node.TEXT_NODE && node.data.trim()));
    window.speaking = [...document.body.querySelectorAll("*")].filter(speaks);
    return window.speaking.map((one) => {
        const { color, fontSize, fontWeight, textShadow } = getComputedStyle(one);
        return [color, fontSize, fontWeight, textShadow, ground(one)].join(" ");
    });
}"""
# Which of the chosen were judged at all, for what is disabled or set aside is not, and what was found.
JUDGE = """(chosen) => axe.run(
    { include: chosen.map((place) => window.speaking[place]) },
    { runOnly: ["color-contrast"], preload: false, elementRef: true },
).then(({ passes, violations }) => ({
    judged: [...passes, ...violations].flatMap(({ nodes }) => nodes.map((one) => window.speaking.indexOf(one.element))),
    pale: violations.flatMap(({ nodes }) => nodes.map((one) => one.html.slice(0, 90))),
}))"""


class Contrast:
    """The pairings that were judged on the pages so far."""

    def __init__(self) -> None:
        self.judged: set[str] = set()

    def pale(self, page: Page) -> list[str]:
        """Return the texts of an open page that do not stand out, of those in a pairing that is new."""
        pairings: list[str] = page.evaluate(PAIRINGS)
        chosen = [place for place, one in enumerate(pairings) if one not in self.judged]
        if not chosen:
            return []
        found = page.evaluate(JUDGE, chosen)
        self.judged |= {pairings[place] for place in found["judged"] if place >= 0}
        return list(found["pale"])
