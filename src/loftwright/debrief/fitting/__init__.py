"""The flight model fitted to recorded flights."""
