"""The Qt window; nothing is computed here."""
