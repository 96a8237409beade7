"""The workbench: the campaign in a local web page."""
