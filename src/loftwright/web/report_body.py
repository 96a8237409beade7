"""The body of a report, as the workbench shows it inside a page of its own."""

from __future__ import annotations

from markupsafe import Markup

__all__ = ["body_of"]

FIGURE = '<figure class="full" data-strip='


def body_of(page: str, strips: str) -> Markup:
    """Return what stands in a report between its head and its script, to be shown as it is.

    ``page`` is one of our reports, in which everything is escaped already; its strips are told
    where windows of them are to be asked for.
    """
    main = page.partition("<main>")[2].partition("</main>")[0]
    told = FIGURE.replace("data-strip=", f'data-strips="{strips}" data-strip=')
    return Markup(main.replace(FIGURE, told))
