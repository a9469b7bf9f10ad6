"""One folder for each sheet that leaves a camp."""
