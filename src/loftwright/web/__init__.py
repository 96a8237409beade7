"""The workbench: a campaign in the browser. A thin face; no computation lives here."""
