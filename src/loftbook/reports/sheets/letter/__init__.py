"""The letter to the home coach."""
