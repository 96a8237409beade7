"""The pages, one step of the job a file; each module lists its ``ROUTES``."""
