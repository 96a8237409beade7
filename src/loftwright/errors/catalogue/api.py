"""Codes of the endpoints for programs."""

from __future__ import annotations

from loftwright.errors.catalogue.entry import Entry

__all__ = ["ENTRIES"]

ENTRIES = (
    Entry(
        "api-body",
        "The request is not as the endpoint is described",
        "It is no JSON, or an option is missing, unknown, or has a value it cannot take.",
        "Nothing was started: an endpoint does not guess what was meant.",
        "Compare with the description of the endpoint; its options are those of the command.",
        '{"flights": "many"}   # wrong\n{"flights": 500}      # right',
    ),
    Entry(
        "api-none-such",
        "There is no such thing at this address",
        "The job, flight or command that the address names is not there.",
        "There is nothing to answer.",
        "Ask for the list of them, which stands in the message.",
        "curl ADDRESS/api/jobs",
    ),
    Entry(
        "api-no-answer",
        "The job has no answer",
        "The command still runs, or ended before it could answer.",
        "There is nothing to read.",
        "Ask how it stands with the job; its page says what the command wrote.",
        "curl ADDRESS/api/jobs/ID",
    ),
    Entry(
        "api-busy",
        "Programs have started as many jobs as run at once",
        "Several commands run already, and more would slow all of them down, the pages with them.",
        "The command was not started.",
        "Wait for one to end, or cancel one.",
        'curl -X POST -H "X-Loftwright-Token: $TOKEN" ADDRESS/api/jobs/ID/cancel',
    ),
)
