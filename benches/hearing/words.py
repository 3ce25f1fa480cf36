"""What counts as the same word, and which words are the trade's.

Numbers are written as they are spoken, spellings are folded, punctuation and fillers fall away. Trade terms are the names
of parts and faults in `vocab/base`, as they stand there.
"""
import pathlib, re, tomllib

ROOT = pathlib.Path(__file__).resolve().parents[2]
SMALL = ("zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen "
         "eighteen nineteen").split()
TENS = "_ _ twenty thirty forty fifty sixty seventy eighty ninety".split()
FILLERS = {"um", "uh", "er", "erm", "ah", "hmm", "mm", "oh"}
SAME = {"okay": "ok", "grey": "gray", "colour": "color", "tyre": "tire", "tyres": "tires", "kerb": "curb",
        "kerbed": "curbed", "kerbing": "curbing", "kerbs": "curbs", "centre": "center", "aluminium": "aluminum",
        "alright": "all right", "gonna": "going to", "em": "them", "mm": "millimetres", "mil": "millimetres",
        "cos": "because", "cause": "because", "bodywork": "body work", "paintwork": "paint work",
        "windscreen": "wind screen", "dashboard": "dash board", "tailgate": "tail gate", "nearside": "near side",
        "offside": "off side", "percent": "per cent", "litre": "liter", "metre": "meter", "mould": "mold",
        "armrest": "arm rest", "headrest": "head rest", "headlight": "head light", "headlights": "head lights",
        "taillight": "tail light", "tailgates": "tail gates", "wheelarch": "wheel arch", "handbrake": "hand brake",
        "toolkit": "tool kit", "sunroof": "sun roof", "airbag": "air bag", "airbags": "air bags", "onto": "on to",
        "anytime": "any time", "anymore": "any more", "towbar": "tow bar", "gearbox": "gear box", "footwell": "foot well",
        "subframe": "sub frame", "touchscreen": "touch screen", "steelies": "steel wheels"}


def spoken(n):
    """A whole number in words."""
    if n < 20: return [SMALL[n]]
    if n < 100: return [TENS[n // 10]] + ([SMALL[n % 10]] if n % 10 else [])
    for size, name in ((10**9, "billion"), (10**6, "million"), (1000, "thousand"), (100, "hundred")):
        if n >= size:
            rest = n % size
            return spoken(n // size) + [name] + (spoken(rest) if rest else [])


def number(text):
    whole, _, part = text.replace(",", "").partition(".")
    if len(whole) > 9 or (len(whole) > 1 and whole[0] == "0"):
        words = [SMALL[int(d)] for d in whole]
    elif len(whole) == 4 and not text.count(",") and 1900 <= int(whole) <= 2099 and not 2000 <= int(whole) <= 2009:
        words = spoken(int(whole[:2])) + spoken(int(whole[2:]))
    else:
        words = spoken(int(whole or 0))
    return words + (["point"] + [SMALL[int(d)] for d in part] if part else [])


def words(text):
    text = re.sub(r"^\[[\d:]+\]\s*", "", text.lower(), flags=re.M).replace("(unclear)", " ").replace("\u2019", "'")
    text = re.sub(r"[£$€]\s*(\d[\d,.]*\d|\d)", r"\1 pounds", text).replace("%", " per cent")
    text = re.sub(r"(\d)(st|nd|rd|th)\b", r"\1", re.sub(r"(\d)([a-z])", r"\1 \2", re.sub(r"([a-z])(\d)", r"\1 \2", text)))
    out = []
    for token in re.findall(r"\d[\d,]*(?:\.\d+)?|[a-z']+", text):
        if token[0].isdigit():
            out += [w for w in number(token.rstrip(",")) if w != "and"]
            continue
        # "The wheel's marked" and "the wheels marked" sound the same.
        token = token.replace("'", "")
        if token in FILLERS or not token: continue
        out += SAME.get(token, token).split()
    # "a hundred and twenty" and "120" are the same.
    figures = set(SMALL + TENS + ["hundred", "thousand"])
    return [w for i, w in enumerate(out)
            if not (w == "and" and 0 < i < len(out) - 1 and out[i - 1] in ("hundred", "thousand") and out[i + 1] in figures)
            and not (w == "a" and i < len(out) - 1 and out[i + 1] in ("hundred", "thousand"))]


def align(said, heard):
    """For each word said, the place of the word heard in its stead (or None); and the number of errors."""
    n, m = len(said), len(heard)
    cost = [[0] * (m + 1) for _ in range(n + 1)]
    for i in range(n + 1): cost[i][0] = i
    for j in range(m + 1): cost[0][j] = j
    for i in range(1, n + 1):
        row, up, w = cost[i], cost[i - 1], said[i - 1]
        for j in range(1, m + 1):
            row[j] = min(up[j - 1] + (w != heard[j - 1]), up[j] + 1, row[j - 1] + 1)
    pairs, i, j = [None] * n, n, m
    while i and j:
        if cost[i][j] == cost[i - 1][j - 1] + (said[i - 1] != heard[j - 1]):
            pairs[i - 1] = j - 1; i -= 1; j -= 1
        elif cost[i][j] == cost[i - 1][j] + 1: i -= 1
        else: j -= 1
    return pairs, cost[n][m]


def phrases(pattern):
    out = [""]
    for stretch in re.findall(r"\[[^\]]*\]|\([^)]*\)|[^\[(]+", pattern):
        choices = stretch[1:-1].split("|") if stretch[0] in "[(" else [stretch]
        if stretch[0] == "[": choices = choices + [""]
        out = [a + b for a in out for b in choices]
    return out


def terms():
    """Every name of a part or a fault, as a tuple of words; the idle ones ("low", "step") left out."""
    found = set()
    for name in ("parts", "defects"):
        for kind, entries in tomllib.loads((ROOT / f"vocab/base/{name}.toml").read_text()).items():
            if kind not in ("part", "defect"): continue
            for entry in entries:
                if entry.get("weak") or entry.get("also"): continue
                for key in ("say", "noun", "state"):
                    for pattern in entry.get(key, []):
                        found.update(tuple(words(p)) for p in phrases(pattern))
    return {tuple(map(stem, t)) for t in found if t}


def stem(word):
    """One and several sound the same where "is" follows: "the bumper cover's cracked"."""
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


def spans(said, terms, longest=5):
    """The terms in a row of words, the longest at each place."""
    at = 0
    while at < len(said):
        for length in range(min(longest, len(said) - at), 0, -1):
            if tuple(map(stem, said[at:at + length])) in terms:
                yield at, at + length
                at += length
                break
        else:
            at += 1


def root(word):
    """A word without its ending: "scuff", "scuffs", "scuffed" and "scuffing" name the same fault."""
    word = stem(word)
    for ending in ("ing", "ed"):
        if len(word) > len(ending) + 3 and word.endswith(ending): word = word[:-len(ending)]; break
    return word.rstrip("e") if len(word) > 3 else word


def terms_beside(row, other, pairs, terms):
    """For each term in a row of words, whether it also stands there in the other row. `pairs` gives for places in the row
    places in the other. A term stands there however it is divided into words ("air con", "aircon") and whatever its
    endings: to a listener, and to the program that reads on, it is the same."""
    for first, past in spans(row, terms):
        low = next((pairs[first - d] - 1 for d in range(6) if first - d in pairs), None)
        high = next((pairs[past - 1 + d] + 2 for d in range(6) if past - 1 + d in pairs), None)
        if low is None: low = (high or 3) - 8
        if high is None: high = low + 9
        yield "".join(map(root, row[first:past])) in "".join(map(root, other[max(0, low):high]))
