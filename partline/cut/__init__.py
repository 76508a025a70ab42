"""Where the knife goes, how far, and whether the piece comes out."""
