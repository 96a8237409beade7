"""Long work: commands that run beside the pages, and outlive a page and the server."""

from loftwright.web.jobs.job import Job, Progress, State
from loftwright.web.jobs.shelf import Jobs

__all__ = ["Job", "Jobs", "Progress", "State"]
