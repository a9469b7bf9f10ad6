"""The letter to the home coach, on screen and as PDF."""
