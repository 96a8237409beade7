"""What the pages of one campaign share: its folder, its documents as read, its long work."""

from __future__ import annotations

from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING

from loftwright.documents.worked import refuse_links
from loftwright.errors import Problem, ProblemError, Where
from loftwright.web.config import Config
from loftwright.web.deeds import Deeds
from loftwright.web.jobs import Jobs
from loftwright.web.memory import Memory, Stamps, folder_stamps
from loftwright.web.once import Once
from loftwright.web.strips import JobStrips, StripShelf
from loftwright.web.whatif.engines import Engines
from loftwright.web.whatif.live_strips import folder_of

if TYPE_CHECKING:
    from starlette.requests import Request

    from loftwright.documents import Campaign

__all__ = ["Bench", "bench_of", "stamps_of"]


class Bench:
    """One campaign on the bench; one for each server, used by many threads.

    Raises ``ProblemError`` where what can be made again would be kept at another place, by a link.
    """

    def __init__(self, home: Path, config: Config) -> None:
        refuse_links(home)
        self.home = home
        self.config = config
        self.jobs = Jobs(home)
        self.strips = StripShelf([JobStrips(self.jobs.folder), JobStrips(folder_of(home))])
        self.once = Once()
        self.deeds = Deeds(home)
        self.memory = Memory(home)
        self.engine = Engines(home)
        self._lock = Lock()
        self._read: tuple[Stamps, Campaign] | None = None

    def close(self) -> None:
        """End what runs for the pages alone; long work goes on."""
        self.engine.end()

    @property
    def begun(self) -> bool:
        """Whether there is a campaign in the folder. Raises as `look_for_folder` does."""
        self.look_for_folder()
        return (self.home / "campaign.toml").is_file()

    def look_for_folder(self) -> None:
        """Raise ``ProblemError`` where the folder was taken away: none is made in its place."""
        if not self.home.is_dir():
            message = "the folder of this campaign is not there any more: moved, or taken away"
            mend = "put it back under this name, or start the workbench on where it is now"
            where = Where(file=str(self.home))
            raise ProblemError([Problem("file-no-folder", message, where, mend)])

    def read_campaign(self) -> Campaign:
        """Read the campaign, anew only if one of its documents has changed.

        Raises ``ProblemError`` like ``documents.read_campaign``.
        """
        from loftwright.documents import read_campaign

        stamps = stamps_of(self.home)
        with self._lock:
            if self._read is not None and self._read[0] == stamps:
                return self._read[1]
        campaign = read_campaign(self.home)
        with self._lock:
            self._read = (stamps, campaign)
        return campaign


def bench_of(request: Request) -> Bench:
    """Return the bench that ``request`` is about."""
    bench: Bench = request.app.state.bench
    return bench


def stamps_of(home: Path) -> Stamps:
    """Return name, time and size of every document of the folder."""
    every = folder_stamps(home, but=frozenset({"flights"}))
    return tuple(each for each in every if each[0].endswith(".toml"))
