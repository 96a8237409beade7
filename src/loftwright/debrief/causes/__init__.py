"""Why a flight went wrong."""
