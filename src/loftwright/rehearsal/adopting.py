"""Writing what was tried into the documents: a mend of a rehearsal, a setting of tuning."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path, PurePosixPath
from tempfile import TemporaryDirectory

from loftwright.documents.alone import writing_alone
from loftwright.documents.blocks import newline_of
from loftwright.documents.campaign import Campaign
from loftwright.documents.edit import with_values
from loftwright.documents.history import content_of, digest_of, write_documents
from loftwright.documents.reading import read_campaign
from loftwright.errors import Problem, ProblemError, Where
from loftwright.rehearsal.results import Writing

__all__ = ["adopt"]

BOM = "\ufeff"


def adopt(home: Path, writings: Sequence[Writing], what: str, based_on: Mapping[str, str]) -> None:
    """Write a change into the documents of the campaign in ``home``, all of it or nothing.

    Parameters
    ----------
    home : Path
    writings : sequence of Writing
        What is to be written.
    what : str
        What the change is called where it can be taken back.
    based_on : mapping
        SHA-256 of each document as it was when the change was tried.

    Raises
    ------
    ProblemError
        ``adopt-changed-since`` where a document is not as it was when the change was tried,
        ``adopt-nothing`` where there is nothing to be written, ``adopt-refused`` for a file that is
        none of the campaign's; and where the documents would not read afterwards.
    """
    if not writings:
        mend = "write it yourself, as the report says how"
        raise _problem("adopt-nothing", "this change cannot be written by itself", "", mend)
    with writing_alone(home / "campaign.toml"):
        campaign = read_campaign(home)
        if problems := [each for one in writings for each in _refusals(campaign, one, based_on)]:
            raise ProblemError(problems)
        contents = {each.file: _content(home, each) for each in writings}
        _see_that_it_reads(campaign, contents)
        write_documents(home, contents, what)


def _refusals(
    campaign: Campaign, writing: Writing, based_on: Mapping[str, str]
) -> Iterator[Problem]:
    """Yield why a document must not be written."""
    file = writing.file
    if writing.is_new:
        plain = PurePosixPath(file)
        if plain.name != file or plain.suffix != ".toml" or "\\" in file or file.startswith("."):
            yield _refused(file, "this is no name for a new document", "try the change again")
        elif (campaign.folder / file).exists():
            yield _since(file, "a file of this name is there by now")
    elif file not in campaign.hashes:
        yield _refused(file, "this is none of the campaign's documents", "try the change again")
    elif campaign.hashes[file] != based_on.get(file):
        yield _since(file, "the document is not as it was when this change was tried")


def _since(file: str, message: str) -> Problem:
    mend = "try the change again on the documents as they are now"
    return Problem("adopt-changed-since", message, Where(file=file), mend)


def _refused(file: str, message: str, mend: str) -> Problem:
    return Problem("adopt-refused", message, Where(file=file[:80]), mend)


def _problem(code: str, message: str, file: str, mend: str) -> ProblemError:
    return ProblemError([Problem(code, message, Where(file=file or None), mend)])


def _content(home: Path, writing: Writing) -> bytes:
    """Return a document as it is to be."""
    if writing.is_new:
        return writing.added.encode()
    content = content_of(home / writing.file) or b""
    text = content.decode("utf-8-sig")
    mark = BOM if content.startswith(BOM.encode()) else ""
    text = with_values(text, writing.values, writing.file)
    if writing.added:
        newline = newline_of(text)
        text = text if text.endswith("\n") else text + newline
        text += newline.join(writing.added.split("\n"))
    return (mark + text).encode()


def _see_that_it_reads(campaign: Campaign, contents: Mapping[str, bytes]) -> None:
    """See that the campaign reads with what is to be written. Raises ``ProblemError``."""
    with TemporaryDirectory(prefix="loftwright-") as scratch:
        for name in {*campaign.hashes, *contents}:
            content = contents.get(name)
            if content is None:
                content = content_of(campaign.folder / name) or b""
                if digest_of(content) != campaign.hashes[name]:
                    raise ProblemError([_since(name, "the document has been changed just now")])
            copy = Path(scratch) / name
            copy.parent.mkdir(parents=True, exist_ok=True)
            copy.write_bytes(content)
        read_campaign(Path(scratch))
