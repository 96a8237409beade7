"""The memory of a campaign: builds, flights, evidence, findings, actions, decisions."""
