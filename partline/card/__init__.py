"""The cutting card: how deep and at what lean the blade goes, and where, on the block's outside."""
