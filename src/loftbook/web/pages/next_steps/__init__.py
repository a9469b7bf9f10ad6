"""How far everybody at a camp would come round on her next rung, and whom nobody has measured yet."""
