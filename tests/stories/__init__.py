"""Stories of machines that failed, told by a model that shares no code with the program, and a benchmark of `why`."""
