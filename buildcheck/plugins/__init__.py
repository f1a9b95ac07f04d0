"""How rules and whatever else a shop adds are loaded, refused and watched."""
