"""From HTML to PDF: `press` renders, `finish` makes it small, `joined` puts prints together, `metrics` measures."""

from training.printing.pdf.joined import joined
from training.printing.pdf.metrics import missing, width
from training.printing.pdf.press import REPORT, AssetRefused, Assets, Printed, Sheet, held_assets, render_pdf

__all__ = [
    "REPORT",
    "AssetRefused",
    "Assets",
    "Printed",
    "Sheet",
    "held_assets",
    "joined",
    "missing",
    "render_pdf",
    "width",
]
