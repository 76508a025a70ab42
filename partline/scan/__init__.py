"""From a mesh file to a `Master`: a solid of known size that the tool can stand behind."""
