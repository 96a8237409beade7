"""``loftwright ledger``: the campaign's memory."""

from __future__ import annotations

import click

from loftwright.cli.lazy import LazyGroup

__all__ = ["SUBCOMMANDS", "command"]

# name -> (module and object, what it does in one line)
SUBCOMMANDS: dict[str, tuple[str, str]] = {
    "take-in": ("ledger_take_in", "Take in flights from their folders below flights/."),
    "list": ("ledger_look:list_flights", "List flights, what is open, and what was decided."),
    "show": ("ledger_look:show", "Show a flight, or a finding, action or decision."),
    "compare": ("ledger_look:compare", "Compare two flights: builds, outcomes and figures."),
    "finding": ("ledger_write:finding", "Write down what was found, and how sure that is."),
    "action": ("ledger_write:action", "Write down what is to be done, by whom and until when."),
    "decision": ("ledger_write:decision", "Write down what was decided, and why."),
    "close": ("ledger_write:close", "Close an action, or a finding that was not settled."),
    "judge": ("ledger_write:judge", "Say how a function went in a flight."),
    "reliability": ("ledger_ask:reliability", "Say what the flights show of each function."),
    "ready": ("ledger_ask:ready", "Say what speaks against a costlier vehicle yet."),
    "verify": ("ledger_keep:verify", "Hold evidence and ledger to their digests."),
    "export": ("ledger_keep:export", "Write all of the ledger as plain files."),
    "import": ("ledger_keep:import_export", "Put an export into an empty ledger."),
}


@click.group("ledger", cls=LazyGroup, table=SUBCOMMANDS, invoke_without_command=True)
@click.pass_context
def command(ctx: click.Context) -> None:
    """Keep what was flown, found, done and decided in DIR/ledger.sqlite, and say what it shows."""
    if ctx.invoked_subcommand is None:
        click.echo(ctx.get_help())
