#!/usr/bin/env python3
"""How true the moments of words are, in seconds.

    benches/hearing/moments.py PLAINSAID WAV NARRATION [WAV NARRATION …]

Each WAV was spoken from its narration, typed line after typed line, by a speaker that leaves WAV.json beside it with the
moment at which each line begins. Within a line the voice begins where the sound first rises: that is when the line's first
word was said. Printed are the median, the ninth decile and the largest difference between that and the moment heard, over
the first words that were heard right.
"""
import array, json, pathlib, statistics, subprocess, sys, wave
from words import align, words


def onset(sound, rate, at):
    """When the voice begins after a moment: the first hundredth of a second that is loud for what follows."""
    step = rate // 100
    power = lambda i: sum(s * s for s in sound[i:i + step]) / step
    first = int(at * rate)
    stretch = [power(i) for i in range(first, min(first + 2 * rate, len(sound) - step), step)]
    loud = sorted(stretch)[len(stretch) * 9 // 10] / 30
    return at + next((n for n, p in enumerate(stretch) if p > loud), 0) / 100


def main():
    program, pairs = sys.argv[1], list(zip(sys.argv[2::2], sys.argv[3::2]))
    off = []
    for wav, _ in pairs:
        with wave.open(wav) as w: rate, sound = w.getframerate(), array.array("h", w.readframes(w.getnframes()))
        heard = json.loads(subprocess.run([program, "hear", "--quiet", "--format", "json", wav], check=True, capture_output=True).stdout)["words"]
        known, lines = [], json.loads(pathlib.Path(wav).with_suffix(".json").read_text())
        for n, line in enumerate(lines):
            known += [(w, n if i == 0 else None) for i, w in enumerate(words(line["words"]))]
        told = [(w, h["start"]) for h in heard for i, w in enumerate(words(h["text"])) if i == 0]
        pairs_, _ = align([w for w, _ in known], [w for w, _ in told])
        for (word, line), j in zip(known, pairs_):
            if line is not None and j is not None and told[j][0] == word:
                off.append(told[j][1] - onset(sound, rate, lines[line]["at_s"]))
    apart = sorted(map(abs, off))
    print(f"{len(apart)} first words: median {statistics.median(apart):.2f} s, nine in ten within {apart[len(apart) * 9 // 10]:.2f} s, "
          f"at most {apart[-1]:.2f} s; early or late by {statistics.median(off):+.2f} s")


if __name__ == "__main__":
    main()
