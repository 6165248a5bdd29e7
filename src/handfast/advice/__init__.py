"""From an inquiry and a shelf to advice."""
