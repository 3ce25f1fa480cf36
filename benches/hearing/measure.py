#!/usr/bin/env python3
"""How well and how fast speech is heard, against the bare model and a peer.

    benches/hearing/measure.py --speak SPEAK.PY --voices VENV/bin/python [--peer VENV/bin/python --peer-model FOLDER]
                               [--cases own-01,own-02] [--noise 0,0.4,1.0] [--pace 1.0] [--pauses 0.25] [--keep FOLDER]

SPEAK.PY speaks a narration to a WAV (`speak.py NARRATION OUT.wav --pace 1.0`) and is run by the Python given with
--voices, which has piper-tts and a voice; `sox` mixes in the yard. With `--espeak VOICE`, espeak-ng speaks instead. The
narrations are those of tests/cases. Between lines a pause is put in, so that the given share of the recording is silence.

The peer is faster-whisper (`pip install faster-whisper` in an environment of its own) with a CTranslate2 folder of the
same weights. All run in turn on each recording. Times are of the whole process, from the start to the last word; memory is
the most that it held. Figures are counted over all recordings; ratios are to `--plain-hearing`.

Words are compared as `words.py` says. A trade term is heard where its letters stand in what was heard at that place,
however divided into words and whatever its ending; a false one stands in what was heard and was not said there.
"""
import argparse, json, os, pathlib, random, subprocess, tempfile, time, wave
from words import ROOT, align, terms, terms_beside, words

RATE = 16000


def speak(args, case, noise, folder):
    """The recording of a case: spoken, pauses put in, yard noise mixed in."""
    out = folder / f"{case}-{args.espeak or 'voice'}-pace{args.pace}-pauses{args.pauses}-yard{noise}.wav"
    if out.exists(): return out
    text, clean = ROOT / f"tests/cases/{case}.txt", folder / f"{case}-{args.espeak or 'voice'}-pace{args.pace}.wav"
    if not clean.exists():
        if args.espeak:
            lines = [line.split("] ", 1)[-1] for line in text.read_text().splitlines() if line.strip()]
            starts, sound, done = [], b"", 0
            for line in lines:
                starts.append({"at_s": done / RATE})
                raw = subprocess.run(["espeak-ng", "-v", args.espeak, "-s", str(int(165 * args.pace)), "--stdout", line],
                                     check=True, capture_output=True).stdout
                mono = subprocess.run(["sox", "-t", "wav", "-", "-r", str(RATE), "-c", "1", "-b", "16", "-t", "raw", "-"],
                                      input=raw, check=True, capture_output=True).stdout
                sound += mono; done += len(mono) // 2
            write(clean, sound)
            clean.with_suffix(".json").write_text(json.dumps(starts))
        else:
            subprocess.run([args.voices, args.speak, text, clean, "--pace", str(args.pace)], check=True)
    with wave.open(str(clean)) as w: sound = w.readframes(w.getnframes())
    starts = [round(s["at_s"] * RATE) * 2 for s in json.loads(clean.with_suffix(".json").read_text())][1:]
    silence = len(sound) // 2 * args.pauses / (1 - args.pauses)
    chance = random.Random(case)
    shares = [chance.random() + 0.2 for _ in starts]
    parts, last = [], 0
    for start, share in zip(starts, shares):
        parts += [sound[last:start], bytes(2 * int(silence * share / sum(shares)))]
        last = start
    sound = b"".join(parts + [sound[last:]])
    paused = folder / "paused.wav"
    write(paused, sound)
    if noise > 0:
        yard = folder / "yard.wav"
        subprocess.run(["sox", "-R", "-n", "-r", str(RATE), "-c", "1", yard, "synth", str(len(sound) / 2 / RATE), "brownnoise",
                        "synth", "pinknoise", "mix", "tremolo", "0.15", "70", "vol", str(0.25 * noise)], check=True)
        subprocess.run(["sox", "-m", "-v", "0.9", paused, "-v", "1", yard, "-r", str(RATE), "-c", "1", "-b", "16", out], check=True)
    else:
        os.replace(paused, out)
    return out


def write(path, sound):
    with wave.open(str(path), "wb") as w:
        w.setnchannels(1); w.setsampwidth(2); w.setframerate(RATE); w.writeframes(sound)


def run(command):
    """What a command prints, its wall and processor seconds, and the most memory that it held, in MB."""
    began = time.monotonic()
    child = subprocess.Popen([str(c) for c in command], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
    text = child.stdout.read().decode("utf-8", "replace")
    _, status, used = os.wait4(child.pid, 0)
    if status: raise SystemExit(f"{' '.join(map(str, command))} failed")
    return text, time.monotonic() - began, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024


class Tally:
    def __init__(self): self.words = self.errors = self.terms = self.missed = self.false = 0; self.wall = self.cpu = self.memory = 0.0

    def add(self, said, heard, known):
        said, heard = words(said), words(heard)
        pairs, errors = align(said, heard)
        self.words += len(said); self.errors += errors
        there = {i: j for i, j in enumerate(pairs) if j is not None}
        kept = list(terms_beside(said, heard, there, known))
        self.terms += len(kept); self.missed += kept.count(False)
        self.false += list(terms_beside(heard, said, {j: i for i, j in there.items()}, known)).count(False)


def main():
    ap = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ap.add_argument("--speak", type=pathlib.Path); ap.add_argument("--voices")
    ap.add_argument("--espeak"); ap.add_argument("--peer"); ap.add_argument("--peer-model")
    ap.add_argument("--program", default=ROOT / "target/release/plainsaid")
    ap.add_argument("--cases", default="own-05,own-07,own-11"); ap.add_argument("--noise", default="0,0.4,1.0")
    ap.add_argument("--pace", type=float, default=1.0); ap.add_argument("--pauses", type=float, default=0.25)
    ap.add_argument("--keep", type=pathlib.Path)
    args = ap.parse_args()
    known = terms()
    folder = args.keep or pathlib.Path(tempfile.mkdtemp())
    folder.mkdir(parents=True, exist_ok=True)
    print(f"{'yard':>5} {'hearing':8} {'words':>6} {'WER':>6} {'terms':>6} {'missed':>6} {'recall':>6} {'false':>6} "
          f"{'wall s':>7} {'cpu s':>7} {'MB':>5}   missed, WER, wall, cpu and MB to plain")
    for noise in map(float, args.noise.split(",")):
        tallies = {}
        for case in args.cases.split(","):
            said = (ROOT / f"tests/cases/{case}.txt").read_text()
            market = json.loads((ROOT / f"tests/cases/{case}.json").read_text())["market"]
            wav = speak(args, case, noise, folder)
            hear = [args.program, "hear", "--quiet", "--market", market, wav]
            ways = {"ours": hear, "plain": hear + ["--plain-hearing"]}
            if args.peer: ways["peer"] = [args.peer, pathlib.Path(__file__).with_name("peer.py"), args.peer_model, wav]
            for name, command in ways.items():
                text, wall, cpu, memory = run(command)
                tally = tallies.setdefault(name, Tally())
                tally.add(said, text, known)
                tally.wall += wall; tally.cpu += cpu; tally.memory = max(tally.memory, memory)
        base = tallies["plain"]
        for name, t in tallies.items():
            ratio = lambda a, b: f"{a / b:.2f}" if b else "-"
            print(f"{noise:5} {name:8} {t.words:6} {t.errors / t.words:6.3f} {t.terms:6} {t.missed:6} "
                  f"{1 - t.missed / max(t.terms, 1):6.3f} {t.false:6} {t.wall:7.1f} {t.cpu:7.1f} {t.memory:5.0f}   "
                  + " ".join([ratio(t.missed, base.missed), ratio(t.errors, base.errors), ratio(t.wall, base.wall),
                              ratio(t.cpu, base.cpu), ratio(t.memory, base.memory)]), flush=True)


if __name__ == "__main__":
    main()
