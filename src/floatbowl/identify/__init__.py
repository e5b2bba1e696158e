"""The main job: which carburettor is it, which kit fits, how sure, and what to look at next."""
