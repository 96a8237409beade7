"""An uncertain field at both ends of what the documents say, as if it were known exactly there."""

from __future__ import annotations

from typing import Final, NamedTuple

from loftwright.documents.campaign import Campaign
from loftwright.documents.flatten import flatten
from loftwright.flight.draws import bounds_of, kept
from loftwright.study.spans import placed

__all__ = ["End", "ends_of"]

# Standard normal quantile of 95 %: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.1,
# table of the cumulative standard normal distribution (from memory).
NORMAL_95: Final = 1.6448536


class End(NamedTuple):
    """A value, SI, and the campaign that has it."""

    value: float
    campaign: Campaign


def ends_of(campaign: Campaign, path: str) -> tuple[End, End]:
    """Return a field at 5 and at 95 % of what the documents say of it, kept in its bounds."""
    import numpy as np

    values, sds, _ = flatten(campaign)
    both = values[path] + sds[path] * np.array([-NORMAL_95, NORMAL_95])
    low, high = kept(values, {path: both}, bounds_of(campaign))[path].tolist()
    return (
        End(low, placed(campaign, {path: low}, exactly=True)),
        End(high, placed(campaign, {path: high}, exactly=True)),
    )
