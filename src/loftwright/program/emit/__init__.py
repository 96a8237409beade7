"""A release program as C99 that a controller's own loop can call."""

from loftwright.program.emit.emit import MARK, emit, is_emitted

__all__ = ["MARK", "emit", "is_emitted"]
