"""Jobs on the bench as the database keeps them: booking, writing down, moving on, and what a job holds now."""
