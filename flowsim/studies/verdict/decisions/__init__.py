"""Everything that decides the verdict beside the flows, a module for each topic."""
