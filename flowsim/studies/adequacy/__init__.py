"""The main job: sweep, draws, decisions and records put together."""
