"""Where air stays when a cavity is poured, and which way to tip it."""
