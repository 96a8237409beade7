"""What all tests share.

Helpers beside the tests can be imported: ``from outside import OutsideCheck``. Examples of
property tests have no deadline: how fast a shared machine is says nothing about the code.
"""

from __future__ import annotations

import sys
from pathlib import Path

from hypothesis import settings

sys.path.insert(0, str(Path(__file__).parent))

settings.register_profile("loftwright", deadline=None)
settings.load_profile("loftwright")
