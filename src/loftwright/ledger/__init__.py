"""The campaign's memory: builds, flights, evidence, findings, actions, decisions, in one file.

`open_ledger` opens it; `take_in` brings flights from their folders into it.
"""
