"""System and scenarios to arrays; the batch solve; what came out."""
