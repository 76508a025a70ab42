"""What stands on the shelf and on the scale: containers, mixes, the run."""
