"""The colours by role, for light and dark, and the contrast between them."""

from __future__ import annotations

__all__ = ["DARK", "LIGHT", "contrast_ratio", "css_variables"]

LIGHT: dict[str, str] = {
    "paper": "#FBFAF6",
    "ink": "#20262B",
    "quiet": "#66645D",
    "rule": "#DDD8CC",
    "vehicle": "#0B7A75",
    "payload": "#7B3F7A",
    "warning": "#A85804",
    "shell": "#FFFFFF",
}

DARK: dict[str, str] = {
    "paper": "#14181B",
    "ink": "#E8E6DF",
    "quiet": "#A3A096",
    "rule": "#30363A",
    "vehicle": "#4FC1BA",
    "payload": "#C79AC9",
    "warning": "#F0A43A",
    "shell": "#1D2327",
}


def css_variables(colours: dict[str, str]) -> str:
    """Return the colours as CSS custom properties, ``--role:#RRGGBB;`` each."""
    return "".join(f"--{role}:{colour};" for role, colour in colours.items())


def _luminance(colour: str) -> float:
    def linear(channel: int) -> float:
        share = channel / 255
        return share / 12.92 if share <= 0.04045 else float(((share + 0.055) / 1.055) ** 2.4)

    red, green, blue = (linear(int(colour[i : i + 2], 16)) for i in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast_ratio(one: str, other: str) -> float:
    """Return the contrast of two ``#RRGGBB`` colours, from 1 to 21.

    References: Web Content Accessibility Guidelines 2.1, "contrast ratio" and "relative
    luminance".
    """
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)
