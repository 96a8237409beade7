"""What a field of a document is called, where two builds are told apart."""

from __future__ import annotations

from loftwright.report.words import input_words

__all__ = ["path_words"]

_DOCUMENTS = {
    "payload": "payload", "payload2": "second payload", "payload3": "third payload",
    "boosters": "boosters", "upper": "upper stage",
}  # fmt: skip


def path_words(path: str) -> str:
    """Return what a field or a whole document is called."""
    if path in _DOCUMENTS:
        return _DOCUMENTS[path]
    root, _, field = path.partition(".")
    if root == "program":
        return _program_words(field)
    if root in _DOCUMENTS and root != "payload":  # the words of the first would mislead
        return f"{_DOCUMENTS[root]}: {_field_words(field)}"
    return _field_words(path)


def _field_words(path: str) -> str:
    """Return a field's words; those of an entry in a list say which one it is."""
    words, steps = input_words(path), path.split(".")
    numbered = [k for k, step in enumerate(steps) if step.isdigit()]
    whole = numbered[-1:] == [len(steps) - 1]
    if not numbered or (not whole and str(int(steps[numbered[0]]) + 1) in words):
        return words
    at = numbered[0]
    rest = " ".join(steps[at + 1 :]).replace("_", " ")
    entry = f"{steps[at - 1].replace('_', ' ')} {int(steps[at]) + 1}"
    return f"{entry}: {rest}" if rest else entry


def _program_words(path: str) -> str:
    """Return what a field of a controller's program is called, entries counted from 1."""
    controller, *steps = path.split(".")
    words = [f"program of {controller}"]
    for step in steps:
        if step.isdigit():
            words[-1] += f" {int(step) + 1}"
        else:
            words.append(step.replace("_", " "))
    return ": ".join([words[0], ", ".join(words[1:])]) if words[1:] else words[0]
