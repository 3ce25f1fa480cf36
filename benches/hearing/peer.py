"""Hears one recording with faster-whisper, for measure.py: int8, greedy, its voice filter on. Prints the words."""
import os, sys
from faster_whisper import WhisperModel

model = WhisperModel(sys.argv[1], device="cpu", compute_type="int8", cpu_threads=os.cpu_count())
segments, _ = model.transcribe(sys.argv[2], language="en", beam_size=1, vad_filter=True)
for segment in segments:
    print(segment.text.strip())
