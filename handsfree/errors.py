"""Everything that can go wrong and is not a reply, as one tree.

HandsfreeError
+-- SettingsError      settings, tip box or rig file cannot be read or written
+-- TableError         a table of figures breaks its own rules (file, row and column named)
+-- GrammarError       a grammar file breaks its own rules (file, rule and place named)
+-- SoundError         a sound file or device cannot be used
|   +-- NoDeviceError  no microphone or loudspeaker, or the one named is not there
+-- ModelError         the speech model or its recogniser is missing, broken or does not fit
+-- VoiceError         the voice cannot be started, died or said nothing
+-- PageError          the page cannot be served
+-- TemplateError      no picture or template can be made, or its library is missing
+-- LogbookError       the logbook cannot be written or read
+-- RecordError        no record can be written, or the library that prints it is missing

What is expected (refused, not understood, please confirm) is a value, never an exception.
Each message says what, where, and what to do about it.
"""


class HandsfreeError(Exception):
    """Any fault of ours that the command line turns into one clear sentence."""


class SettingsError(HandsfreeError):
    """Settings, tip box or rig cannot be read or written."""


class TableError(HandsfreeError):
    """A table of figures breaks the rules at its head."""


class GrammarError(HandsfreeError):
    """A grammar file cannot be read as rules."""


class SoundError(HandsfreeError):
    """A sound file or device cannot be used."""


class NoDeviceError(SoundError):
    """There is no such sound device on this machine."""


class ModelError(HandsfreeError):
    """The speech model, or the recogniser that reads it, is missing or does not load."""


class VoiceError(HandsfreeError):
    """The voice cannot speak."""


class PageError(HandsfreeError):
    """The page cannot be served."""


class TemplateError(HandsfreeError):
    """No picture or template can be made of a reply, or its library is not installed."""


class LogbookError(HandsfreeError):
    """The logbook cannot be written or read."""


class RecordError(HandsfreeError):
    """No record of the logbook can be written, or its library is not installed."""
