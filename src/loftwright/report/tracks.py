"""Lines that run side by side: each on a track on which nothing else runs meanwhile."""

from __future__ import annotations

from collections.abc import Sequence

__all__ = ["assign_tracks"]


def assign_tracks(spans: Sequence[tuple[float, float]], apart: float = 0.0) -> list[int]:
    """Return a track for each span, the shortest spans on the first tracks.

    Two spans on one track are more than ``apart`` away from each other.
    """
    tracks = [0] * len(spans)
    placed: list[int] = []
    for k in sorted(range(len(spans)), key=lambda n: (spans[n][1] - spans[n][0], spans[n][0])):
        low, high = spans[k]
        taken = {
            tracks[other] for other in placed
            if low <= spans[other][1] + apart and spans[other][0] <= high + apart
        }  # fmt: skip
        tracks[k] = next(track for track in range(len(spans)) if track not in taken)
        placed.append(k)
    return tracks
