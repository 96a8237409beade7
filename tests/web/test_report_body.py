"""The body of a report inside a page of the workbench."""

from __future__ import annotations

from loftwright.web.report_body import body_of


def test_only_figures_are_told_where_their_strips_are() -> None:
    said = '<p title="a data-strip=1">'
    page = f'<main>{said}<figure class="full" data-strip="2">x</figure></main><script>1</script>'
    told = '<figure class="full" data-strips="/strips/a" data-strip="2">x</figure>'
    assert body_of(page, "/strips/a") == said + told
