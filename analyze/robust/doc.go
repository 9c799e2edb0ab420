package robust
