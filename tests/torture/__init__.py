"""The program under what can go wrong: kills, full and vanished disks, a second window, bad input."""
