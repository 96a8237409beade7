"""What stands before every page: who may ask, from where, and how much at once.

`Guard` wraps the whole application and is configured by `Rules`. What each part guards against,
and what nothing here does, is in docs/reference/security.md.
"""

from loftwright.web.guard.guard import Guard
from loftwright.web.guard.lan import Lan
from loftwright.web.guard.rules import Bounds, Rules

__all__ = ["Bounds", "Guard", "Lan", "Rules"]
