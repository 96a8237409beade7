"""What must hold between the fields of a site."""

from __future__ import annotations

from collections.abc import Iterator

from loftwright.documents.finding import Finding
from loftwright.documents.site import Site

__all__ = ["SITE_RULES"]


def gust_exceeds_mean(site: Site) -> Iterator[Finding]:
    """See that a gust is stronger than the mean wind."""
    gust, mean = site.wind.gust, site.wind.speed
    if gust is not None and gust.value < mean.value * (1.0 - 1e-9):
        message = "the gust is weaker than the mean wind"
        mend = "give the strongest wind seen, or leave gust out"
        yield Finding("site-weak-gust", ("wind", "gust"), message, mend)


def wind_is_measured_above_ground(site: Site) -> Iterator[Finding]:
    """See that the wind was measured above the roughness, where a profile exists."""
    if site.wind.at_height.value <= site.wind.roughness.value:
        message = "the wind was measured below the roughness length of the ground"
        mend = 'short grass has a roughness length of about "0.03 m"; correct either of the two'
        yield Finding("site-low-wind", ("wind", "at_height"), message, mend)


SITE_RULES = (gust_exceeds_mean, wind_is_measured_above_ground)
