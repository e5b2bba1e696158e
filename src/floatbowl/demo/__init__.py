"""The invented shop: its pack, its enquiries and how they were made. Nothing here is real."""
