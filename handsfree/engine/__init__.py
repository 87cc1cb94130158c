"""The cutting engine: a request becomes an answer or a refusal. Pure: no speech, no clock."""
