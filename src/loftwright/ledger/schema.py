"""The tables of the ledger, version by version: each version is a step from the one before.

A step is never changed once it has been in anybody's hands; what is to be different is a new one.
"""

from __future__ import annotations

__all__ = ["APPLICATION", "STEPS", "VERSION"]

# Stands in the head of the file, so that another program's database is not taken for a ledger.
APPLICATION = int.from_bytes(b"Loft", "big")

_FIRST = (
    # Documents by their content: the same vehicle.toml flown ten times is kept once.
    "CREATE TABLE document (sha256 TEXT PRIMARY KEY, content BLOB NOT NULL) STRICT",
    "CREATE TABLE build (sha256 TEXT PRIMARY KEY) STRICT",
    """CREATE TABLE build_document (
        build TEXT NOT NULL REFERENCES build,
        file TEXT NOT NULL,
        document TEXT NOT NULL REFERENCES document,
        PRIMARY KEY (build, file)
    ) STRICT""",
    # ``record`` is flight.toml as it stood when the flight was taken in.
    """CREATE TABLE flight (
        name TEXT PRIMARY KEY,
        number INTEGER NOT NULL UNIQUE,
        title TEXT NOT NULL,
        flown TEXT,
        asked TEXT,
        outcome TEXT NOT NULL,
        note TEXT,
        record TEXT NOT NULL REFERENCES document,
        build TEXT REFERENCES build,
        taken_in TEXT NOT NULL
    ) STRICT""",
    """CREATE TABLE evidence (
        flight TEXT NOT NULL REFERENCES flight,
        file TEXT NOT NULL,
        sha256 TEXT NOT NULL,
        size INTEGER NOT NULL,
        kind TEXT NOT NULL,
        source TEXT,
        said TEXT,
        taken_in TEXT NOT NULL,
        PRIMARY KEY (flight, file, sha256)
    ) STRICT""",
    """CREATE TABLE finding (
        number INTEGER PRIMARY KEY,
        noted TEXT NOT NULL,
        what TEXT NOT NULL,
        sure TEXT NOT NULL CHECK (sure IN ('known', 'likely', 'possible')),
        flight TEXT REFERENCES flight,
        who TEXT
    ) STRICT""",
    """CREATE TABLE finding_evidence (
        finding INTEGER NOT NULL REFERENCES finding,
        flight TEXT NOT NULL,
        file TEXT NOT NULL,
        sha256 TEXT NOT NULL,
        PRIMARY KEY (finding, flight, file, sha256),
        FOREIGN KEY (flight, file, sha256) REFERENCES evidence
    ) STRICT""",
    """CREATE TABLE action (
        number INTEGER PRIMARY KEY,
        noted TEXT NOT NULL,
        what TEXT NOT NULL,
        who TEXT,
        due TEXT,
        closed TEXT,
        closed_by TEXT REFERENCES flight,
        closed_why TEXT
    ) STRICT""",
    """CREATE TABLE decision (
        number INTEGER PRIMARY KEY,
        noted TEXT NOT NULL,
        what TEXT NOT NULL,
        why TEXT NOT NULL,
        who TEXT
    ) STRICT""",
    """CREATE TABLE decision_evidence (
        decision INTEGER NOT NULL REFERENCES decision,
        flight TEXT NOT NULL,
        file TEXT NOT NULL,
        sha256 TEXT NOT NULL,
        PRIMARY KEY (decision, flight, file, sha256),
        FOREIGN KEY (flight, file, sha256) REFERENCES evidence
    ) STRICT""",
)

# Findings that have to be settled, what explains a failure, and outcomes of single functions.
_SECOND = (
    "ALTER TABLE finding ADD COLUMN explains TEXT",
    "ALTER TABLE finding ADD COLUMN unsettled INTEGER NOT NULL DEFAULT 0",
    "ALTER TABLE finding ADD COLUMN closed TEXT",
    "ALTER TABLE finding ADD COLUMN closed_by TEXT REFERENCES flight",
    "ALTER TABLE finding ADD COLUMN closed_why TEXT",
    "ALTER TABLE action ADD COLUMN finding INTEGER REFERENCES finding",
    """CREATE TABLE judgement (
        number INTEGER PRIMARY KEY,
        noted TEXT NOT NULL,
        flight TEXT NOT NULL REFERENCES flight,
        function TEXT NOT NULL,
        outcome TEXT NOT NULL,
        why TEXT,
        who TEXT
    ) STRICT""",
    """CREATE TABLE figure (
        flight TEXT NOT NULL REFERENCES flight,
        name TEXT NOT NULL,
        made_by TEXT NOT NULL,
        value REAL NOT NULL,
        sd REAL,
        noted TEXT NOT NULL,
        PRIMARY KEY (flight, name, made_by)
    ) STRICT""",
)

# STEPS[n] makes version n + 1 of version n.
STEPS: tuple[tuple[str, ...], ...] = (_FIRST, _SECOND)
VERSION = len(STEPS)
