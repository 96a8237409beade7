"""Emitted C fits a small controller beside everything else that it does."""

from __future__ import annotations

import pytest
from program.builds import needs
from program.made_up import demo
from program.sizes import TARGETS, size_on

# Bytes of flash with and without checks, and of RAM: a tenth more than measured with gcc 5.4 (AVR)
# and 12.2 (ARM). A controller of the first kind has 32 KiB and 2 KiB.
MOST = {
    "ATmega328P, 8 bits": (3060, 2940, 55),
    "Cortex-M0, 32 bits": (5170, 4820, 60),
    "Cortex-M4F, 32 bits": (1220, 880, 60),
}


@pytest.mark.parametrize("target", TARGETS)
def test_a_program_is_as_small_as_the_docs_say(target, tmp_path):
    needs(TARGETS[target][0])
    size = size_on(target, demo(), tmp_path)
    flash, without_checks, ram = MOST[target]
    assert size.flash <= flash
    assert size.flash_without_checks <= without_checks
    assert size.ram <= ram
    assert size.frames <= 100
