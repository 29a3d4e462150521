"""PURE: what a browser says of itself, in the words its owner knows it by."""

import re

# A browser names its forebears as well, so the first that fits is meant. A name here is one that stands in the text.
BROWSERS = (
    (r"\b(?:Edg|EdgA|EdgiOS|Edge)/", "Edge"),
    (r"\b(?:OPR|OPiOS)/", "Opera"),
    (r"\bSamsungBrowser/", "Samsung Internet"),
    (r"\b(?:Firefox|FxiOS)/", "Firefox"),
    (r"\b(?:Chrome|HeadlessChrome|Chromium|CriOS)/", "Chrome"),
    (r"\bVersion/\S+.* Safari/", "Safari"),
)
SYSTEMS = (
    (r"\biPhone\b", "iPhone"),
    (r"\biPad\b", "iPad"),
    (r"\bAndroid\b", "Android"),
    (r"\bWindows NT\b", "Windows"),
    (r"\bCrOS\b", "ChromeOS"),
    (r"\bMac OS X\b", "macOS"),
    (r"\bLinux\b", "Linux"),
)


def named(text: str, names: tuple[tuple[str, str], ...]) -> str:
    """Return the first name whose mark stands in a text, or nothing."""
    return next((name for mark, name in names if re.search(mark, text)), "")


def browser_and_system(text: str) -> tuple[str, str]:
    """Return the browser and the system that a User-Agent text (RFC 9110, 10.1.5) names, each empty where it does not.

    Nothing is guessed: a text may be false, and some systems name another one on purpose.
    """
    return named(text, BROWSERS), named(text, SYSTEMS)
