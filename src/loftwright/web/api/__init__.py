"""The endpoints for programs: what commands answer with ``--json``, described by OpenAPI 3.1."""
