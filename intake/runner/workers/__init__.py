"""Where the work of a run is done: in this process, on several, or on a cluster."""
