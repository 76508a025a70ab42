"""Where there is detail that must not be cut, sanded or lost."""
