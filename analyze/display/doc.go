package display
