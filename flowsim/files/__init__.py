"""Case file in, result out: the only place where units and formats exist."""
