"""The endpoints for programs; they are made in `loftwright.web.api`."""

from __future__ import annotations

from loftwright.web.api.routes import ROUTES

__all__ = ["ROUTES"]
