"""Which of the offered dates to take, and how the journeys join up."""
