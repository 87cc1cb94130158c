"""A whole invented shift through the real rooms: spoken requests in, spoken answers out.

No microphone and no loudspeaker are needed: the sound is made, and the time is made of it.
"""
