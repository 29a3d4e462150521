"""Who sits down to an invigilated paper: a trainer who did not train the candidate confirms it."""
