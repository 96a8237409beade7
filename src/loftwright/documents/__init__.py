"""What people write: typed, checked, read from TOML and written back with comments kept."""

from loftwright.documents.campaign import Campaign
from loftwright.documents.flatten import flatten
from loftwright.documents.reading import read_campaign, read_document

__all__ = ["Campaign", "flatten", "read_campaign", "read_document"]
