"""Several campaigns in one folder: each is opened as a workbench of its own."""
