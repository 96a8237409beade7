"""Opening the workbench on a phone: its address, and the words and the square that show it."""
