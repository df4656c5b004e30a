"""Questions asked of the network: is it adequate, and why."""
