"""What a person sees: words, pictures, the bench sheet, the command line, the window."""
