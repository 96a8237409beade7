"""Documents that a campaign may have or not: beginning one, and leaving one out."""

from __future__ import annotations

from pathlib import Path

from loftwright.documents.alone import writing_alone
from loftwright.documents.campaign import CampaignFile
from loftwright.documents.change import Changed, Edit, change, edited
from loftwright.documents.fields import rules
from loftwright.documents.flights import home_of
from loftwright.documents.history import content_of, digest_of, write_documents
from loftwright.documents.named import Named, documents_named, head_units
from loftwright.documents.reading import CAMPAIGN_FILE, MODELS, ROLES
from loftwright.documents.template import starter, starters_of_electronics
from loftwright.errors import Problem, ProblemError, Where

__all__ = ["add_document", "addable_documents", "leave_out_document", "optional_roots"]


def optional_roots() -> tuple[str, ...]:
    """Return the roots of the documents that a campaign need not have."""
    declared = rules(CampaignFile)
    return tuple(root for root in ROLES if not declared[root].required)


def addable_documents(folder: Path) -> tuple[str, ...]:
    """Return the roots of documents that the campaign in ``folder`` could have and has not."""
    there = documents_named(folder)
    return tuple(root for root in optional_roots() if root not in there)


def add_document(folder: Path, root: str) -> Changed:
    """Begin a document with examples in it, or take up one that lies in the folder already.

    The examples are in the campaign's units.

    Raises ``ProblemError``: ``edit-needed`` where the campaign has it, ``edit-no-document`` where
    there is no such document, and where something cannot be written.
    """
    home = home_of(folder)
    with writing_alone(home / CAMPAIGN_FILE):
        _refuse_adding(root, documents_named(home))
        file = f"{root}.toml"
        begun = {} if content_of(home / file) is not None else _starters(home, root, file)
        head = content_of(home / CAMPAIGN_FILE) or b""
        contents = {**begun, CAMPAIGN_FILE: edited(head, Edit({root: file}), CAMPAIGN_FILE)}
        write_documents(home, contents, f"{root} added")
        hashes = {name: digest_of(content) or "" for name, content in contents.items()}
        return Changed(hashes, tuple(contents))


def leave_out_document(folder: Path, root: str) -> Changed:
    """Take a document out of the campaign; its file stays in the folder.

    Raises ``ProblemError``: ``edit-needed`` for one that a campaign must have.
    """
    if root not in optional_roots():
        message, mend = f"a campaign always has its {root}", "change it instead"
        raise ProblemError([Problem("edit-needed", message, Where(field=root), mend)])
    model = {CAMPAIGN_FILE: CampaignFile}
    return change(folder, {CAMPAIGN_FILE: Edit(removed=(root,))}, model, f"{root} left out")


def _refuse_adding(root: str, there: dict[str, Named]) -> None:
    where = Where(field=root)
    if root in there:
        message, mend = f"the campaign has its {root} already", "change that one"
        raise ProblemError([Problem("edit-needed", message, where, mend)])
    if root not in optional_roots():
        mend = f"add one of {', '.join(each for each in optional_roots() if each not in there)}"
        message = f"there is no document {root} to be added"
        raise ProblemError([Problem("edit-no-document", message, where, mend)])


def _starters(home: Path, root: str, file: str) -> dict[str, bytes]:
    system = head_units(home)
    if root == "avionics":
        texts = starters_of_electronics(system)
        named = {name: text.encode("utf-8") for name, text in texts.items()}
        return {name: text for name, text in named.items() if content_of(home / name) is None}
    kind = root if root in MODELS else "payload"
    return {file: starter(kind, root.capitalize(), system=system).encode("utf-8")}
