"""How the master stands in the cup: what it stands on, the mouth, the foot block."""
